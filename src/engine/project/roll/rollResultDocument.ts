import type { Finding } from '../../findings.js';
import type { RollPrediction } from '../../program/roll/predictRoll.js';
import type { Slide, SlipPlace } from '../../program/roll/slipOverDiameter.js';
import { plain, tidy } from '../plain.js';
import { type AfterResult, toAfterResult } from './afterWindingDocument.js';
import type { DesignDocument } from './designDocument.js';
import { list, orNull, sampled } from './places.js';
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
  /** The same at each diameter on the way, the full roll last: margin, what is borne of acceleration or deceleration, how far layers slide in the stated ramp (absent arc: more than a turn). */
  readonly slipOverDiameter?: readonly {
    readonly diameter_m: number;
    readonly cases: readonly {
      readonly case: string;
      readonly margin: number;
      readonly radius_m: number;
      readonly borne_m_per_s2?: number;
      readonly slides?: {
        readonly arc_m?: number;
        readonly radius_m: number;
        /** Where what lies inside gets to, in winding direction. */
        readonly inside: 'ahead' | 'behind';
      };
    }[];
  }[];
  /** Before a stop braked at the core slips; absent where no deceleration makes it slip. */
  readonly largestDeceleration_m_per_s2?: { readonly webOn?: number; readonly webBroken?: number };
  /** What interfaces bear of such a stop, at up to 101 radii evenly over the build; null where none makes them slip. */
  readonly decelerationLimit?: {
    readonly radius_m: readonly number[];
    readonly webOn_m_per_s2: readonly (number | null)[];
    readonly webBroken_m_per_s2: readonly (number | null)[];
  };
  /** Lines struck on the side of the roll, as they stand on the finished one, at up to 101 radii. */
  readonly jLines?: readonly {
    readonly struckAtDiameter_m: number;
    readonly radius_m: readonly number[];
    readonly elasticShift_m: readonly number[];
    readonly steps: readonly {
      readonly case: string;
      readonly diameter_m: number;
      readonly radius_m: number;
      readonly arc_m?: number;
      readonly inside: 'ahead' | 'behind';
    }[];
  }[];
  /** Against what product, core and handling ask. */
  readonly limits: readonly {
    readonly name: string;
    readonly value_Pa: number;
    readonly radius_m: number;
    readonly limit_Pa?: number;
    readonly kept?: boolean;
  }[];
  /** The deepest place where the pressure is lower than further out. */
  readonly pressureDip?: {
    readonly radius_m: number;
    readonly pressure_Pa: number;
    readonly outsideRadius_m: number;
    readonly outsidePressure_Pa: number;
    readonly depth: number;
  };
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

const finite = (x: number | undefined): x is number => x !== undefined && Number.isFinite(x);

const insideOf = ({ direction }: Pick<Slide, 'direction'>): 'ahead' | 'behind' =>
  direction > 0 ? 'ahead' : 'behind';

const toPlace = ({ diameter, cases }: SlipPlace) => ({
  diameter_m: tidy(diameter),
  cases: cases
    .filter((c) => Number.isFinite(c.margin))
    .map(({ name, margin, radius, borne, slides }) => ({
      case: name,
      margin: tidy(margin),
      radius_m: tidy(radius),
      ...(finite(borne) && { borne_m_per_s2: tidy(borne) }),
      ...(slides && {
        slides: {
          ...(finite(slides.arc) && { arc_m: tidy(slides.arc) }),
          radius_m: tidy(slides.radius),
          inside: insideOf(slides),
        },
      }),
    })),
});

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
      slipMargin: orNull(p.slip.margin),
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
    ...(p.slipOverDiameter.length > 0 && { slipOverDiameter: p.slipOverDiameter.map(toPlace) }),
    ...(p.decelerationLimit && {
      decelerationLimit: {
        radius_m: list(sampled(p.radius)),
        webOn_m_per_s2: orNull(sampled(p.decelerationLimit.webOn)),
        webBroken_m_per_s2: orNull(sampled(p.decelerationLimit.webBroken)),
      },
    }),
    ...(p.jLines.length > 0 && {
      jLines: p.jLines.map((line) => ({
        struckAtDiameter_m: tidy(line.struckAt),
        radius_m: list(sampled(line.radius)),
        elasticShift_m: list(sampled(line.elasticShift)),
        steps: line.steps.map((s) => ({
          case: s.name,
          diameter_m: tidy(s.diameter),
          radius_m: tidy(s.radius),
          ...(finite(s.arc) && { arc_m: tidy(s.arc) }),
          inside: insideOf(s),
        })),
      })),
    }),
    limits: p.limits.map(({ name, value, radius, limit, isKept }) => ({
      name,
      value_Pa: tidy(value),
      radius_m: tidy(radius),
      ...(limit !== undefined && { limit_Pa: limit, kept: isKept === true }),
    })),
    ...(p.dip && {
      pressureDip: {
        radius_m: tidy(p.dip.radius),
        pressure_Pa: tidy(p.dip.pressure),
        outsideRadius_m: tidy(p.dip.outside.radius),
        outsidePressure_Pa: tidy(p.dip.outside.pressure),
        depth: tidy(p.dip.depth),
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
