import type { Finding } from '../../findings.js';
import type { RollPrediction } from '../../program/roll/predictRoll.js';
import { plain, tidy } from '../plain.js';
import { type AfterResult, toAfterResult } from './afterWindingDocument.js';
import type { DesignDocument } from './designDocument.js';
import type { RollBandDocument } from './rollBandDocument.js';
import type { TaperAdviceDocument } from './taperAdviceDocument.js';

interface Place {
  readonly value: number;
  readonly radius_m: number;
}

/**
 * `tautline/roll-result@1`: what `tautline roll` prints. Index 0 is the interface between core and first lap; entry i is the interface under lap
 * i + 1, and the hoop stress and wound-on tension of that lap.
 */
export interface RollResultDocument {
  readonly schema: 'tautline/roll-result@1';
  readonly name: string;
  readonly radius_m: readonly number[];
  readonly pressure_Pa: readonly number[];
  readonly hoopStress_Pa: readonly number[];
  readonly woundOnTension_N_per_m: readonly number[];
  /** Torque that the layers hold over torque that is asked of them, in the stop when one is stated, else while winding; null where nothing is asked. */
  readonly slipMargin?: readonly (number | null)[];
  /** `window` is `full` when every lap was followed, else newest laps / thinning of the older ones, as `64/8`. Errors are shares of the largest pressure. */
  readonly scheme: {
    readonly stressUpdate: string;
    readonly window: string;
    readonly errorEstimate: number;
    readonly windowErrorEstimate: number;
  };
  /** Pressure in the middle of the build; absent when it is not flat there. */
  readonly plateauPressure_Pa?: number;
  readonly corePressure_Pa: number;
  readonly minimumHoopStress: Place;
  readonly minimumSlipMargin?: Place;
  readonly slip: readonly (Place & { readonly case: string })[];
  /** Before a stop braked at the core slips; absent where no deceleration makes it slip. */
  readonly largestDeceleration_m_per_s2?: { readonly webOn?: number; readonly webBroken?: number };
  /** Friction that slip was judged with: 30 % below what is stated. */
  readonly frictionUsed?: number;
  readonly stackStrain?: number;
  /** Outer radius and density of the roll with its layers compressed; pressures are those of small strain. */
  readonly compressedRadius_m?: number;
  readonly rollDensity_kgm3?: number;
  /** Air between the laps: film as laid, what is left of it, share of the friction that it leaves. */
  readonly air?: {
    readonly film_m: readonly number[];
    readonly left_m: readonly number[];
    readonly frictionShare?: readonly number[];
    readonly lapThickness_m: number;
  };
  /** After each step that follows winding. */
  readonly after?: readonly AfterResult[];
  /** Whether taper is what this roll needs. */
  readonly taper?: TaperAdviceDocument;
  /** Only where one was asked for. */
  readonly design?: DesignDocument;
  /** Only where one was asked for; of the designed schedule where there is one. */
  readonly band?: RollBandDocument;
  readonly findings: readonly Finding[];
}

/** How a window is written: `full`, or newest laps / thinning. */
export const windowText = (window: RollPrediction['scheme']['window']): string =>
  window === 'full' ? window : `${window.fine}/${window.thinning}`;

const list = (values: Float64Array): number[] => Array.from(values, tidy);
const finite = (x: number | undefined): x is number => x !== undefined && Number.isFinite(x);

/** A prediction as a document. `findings` with their places in the file. */
export function toRollResult(
  name: string,
  p: RollPrediction,
  findings: readonly Finding[] = p.findings,
  more: Pick<RollResultDocument, 'taper' | 'design' | 'band'> = {},
): RollResultDocument {
  const place = ({ value, radius }: { value: number; radius: number }): Place => ({
    value: tidy(value),
    radius_m: tidy(radius),
  });
  const limits = p.largestDeceleration;
  return plain({
    schema: 'tautline/roll-result@1',
    name,
    radius_m: list(p.radius),
    pressure_Pa: list(p.pressure),
    hoopStress_Pa: list(p.hoopStress),
    woundOnTension_N_per_m: list(p.woundOnTension),
    ...(p.slip && {
      slipMargin: Array.from(p.slip.margin, (m) => (Number.isFinite(m) ? tidy(m) : null)),
      ...(finite(p.slip.smallest.value) && { minimumSlipMargin: place(p.slip.smallest) }),
    }),
    scheme: {
      stressUpdate: p.scheme.update,
      window: windowText(p.scheme.window),
      errorEstimate: tidy(p.scheme.error),
      windowErrorEstimate: tidy(p.scheme.windowError),
    },
    ...(finite(p.plateauPressure) && { plateauPressure_Pa: tidy(p.plateauPressure) }),
    corePressure_Pa: tidy(p.corePressure),
    minimumHoopStress: place(p.minimumHoopStress),
    slip: p.slipCases
      .filter((c) => Number.isFinite(c.smallest.value))
      .map((c) => ({ case: c.name, ...place(c.smallest) })),
    ...(limits && {
      largestDeceleration_m_per_s2: {
        ...(finite(limits.webOn) && { webOn: tidy(limits.webOn) }),
        ...(finite(limits.webBroken) && { webBroken: tidy(limits.webBroken) }),
      },
    }),
    ...(finite(p.frictionUsed) && { frictionUsed: tidy(p.frictionUsed) }),
    ...(finite(p.stackStrain) && { stackStrain: tidy(p.stackStrain) }),
    ...(finite(p.compressed.outerRadius) && { compressedRadius_m: tidy(p.compressed.outerRadius) }),
    ...(finite(p.compressed.density) && { rollDensity_kgm3: tidy(p.compressed.density) }),
    ...(p.air && {
      air: {
        film_m: list(p.air.film),
        left_m: list(p.air.left),
        ...(p.air.frictionShare && { frictionShare: list(p.air.frictionShare) }),
        lapThickness_m: tidy(p.air.lapThickness),
      },
    }),
    ...(p.after.length > 0 && { after: p.after.map(toAfterResult) }),
    ...more,
    findings,
  });
}
