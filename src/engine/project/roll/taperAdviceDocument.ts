import type { TaperAdvice, TaperMeasures } from '../../program/roll/taperAdvice.js';
import { plain, tidy } from '../plain.js';
import { type RollProfile, toRollProfile } from './places.js';

/** Three schedules held against each other, and whether taper is the lever. */
export interface TaperAdviceDocument {
  readonly verdict: string;
  readonly words: readonly string[];
  readonly schedules: readonly {
    readonly name: string;
    readonly startTension_N_per_m: number;
    readonly endTension_N_per_m: number;
    readonly minimumSlipMargin?: { readonly value: number; readonly radius_m: number; readonly case: string };
    readonly minimumHoopStress_Pa: number;
    readonly outerPressure_Pa: number;
    readonly corePressure_Pa: number;
    readonly profile: RollProfile;
  }[];
}

/** The advice as a document. */
export const toTaperAdviceDocument = ({ verdict, words, variants }: TaperAdvice): TaperAdviceDocument =>
  plain({
    verdict,
    words,
    schedules: variants.map(({ name, measures, prediction }) => ({
      name,
      ...measured(measures),
      profile: toRollProfile(prediction),
    })),
  });

const measured = (m: TaperMeasures) => ({
  startTension_N_per_m: tidy(m.startTension),
  endTension_N_per_m: tidy(m.endTension),
  ...(m.slip &&
    Number.isFinite(m.slip.value) && {
      minimumSlipMargin: {
        value: tidy(m.slip.value),
        radius_m: tidy(m.slip.radius),
        case: m.slip.case,
      },
    }),
  minimumHoopStress_Pa: tidy(m.minimumHoopStress),
  outerPressure_Pa: tidy(m.outerPressure),
  corePressure_Pa: tidy(m.corePressure),
});
