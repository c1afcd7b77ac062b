import type { WinderType } from '../../line/line.js';
import type { AfterWinding } from '../../roll/afterWinding/afterWinding.js';
import type { RollStates } from '../../roll/slip/handling.js';
import type { StackSpread } from '../../roll/stackTest/stackSpread.js';
import type { WoundOnCoefficients } from '../../roll/woundOnTension.js';
import type {
  Acceleration,
  Length,
  Modulus,
  Pressure,
  Ratio,
  Speed,
  TensionPerWidth,
} from '../../units/quantity.js';
import type { StackLaw, Web } from '../../web/web.js';
import type { ScheduleLaw } from '../schedule/types.js';

/** Lines struck on the side of a roll while it is wound, and what is known of the stack's shear. */
export interface JLineInput {
  readonly struckAt: readonly Length[];
  readonly shear: { readonly modulus: Modulus } | { readonly shareOfRadial: Ratio };
}

/** A roll to be predicted, as a roll document states it. */
export interface RollInput {
  readonly web: Web & { readonly modulus: Modulus; readonly stack: StackLaw };
  readonly core: { readonly outerRadius: Length; readonly stiffness: Modulus };
  readonly laps: number;
  readonly tension: ScheduleLaw;
  readonly torqueDifferential?: ScheduleLaw;
  readonly nip: TensionPerWidth;
  /** Nip force over diameter, in place of the constant one. */
  readonly nipSchedule?: ScheduleLaw;
  readonly method: WinderType;
  readonly woundOn?: Partial<WoundOnCoefficients>;
  readonly speed?: Speed;
  /** Air that laps take along; nothing is taken when left out. */
  readonly air?: { readonly filmShare?: Ratio };
  readonly stop?: { readonly deceleration: Acceleration; readonly brakedAt: 'core' | 'surface' };
  /** Acceleration of the web in a start while the roll is wound. */
  readonly acceleration?: Acceleration;
  /** How the finished roll is unwound later. */
  readonly unwinding?: RollStates['unwinding'];
  /** Lines struck on its side while it is wound. */
  readonly jLine?: JLineInput;
  /** Pressure that the product bears without blocking, and that the core bears without crushing. */
  readonly highestPressure?: Pressure;
  readonly highestCorePressure?: Pressure;
  /** Pressure that is needed near the outside, where laps else shift in handling. */
  readonly lowestOuterPressure?: Pressure;
  /** What happens to the roll after winding. */
  readonly afterWinding?: AfterWinding;
  /** How uncertain the web is, where that was stated. */
  readonly uncertainty?: RollUncertainty;
}

/** How uncertain a roll's web is, as far as it is stated: half widths of 95 % intervals, as shares of the values [1]. */
export interface RollUncertainty {
  readonly modulus?: Ratio;
  readonly friction?: Ratio;
  /** Of the pressures in the stack law (K1) and of its slope (K2), independent of each other; or what the stack test found. */
  readonly stack?: { readonly pressure?: Ratio; readonly slope?: Ratio } | StackSpread;
}

/** Whether laps of a roll take air along: it is asked for, the web lets none through, and it runs. Source: docs/models/wound-air.md. */
export const takesAir = ({ air, web, speed = 0 }: RollInput): boolean =>
  air !== undefined && web.permeable !== true && speed > 0;
