import type { Pressure, Ratio, TensionPerWidth } from '../../../units/quantity.js';
import type { ShareBounds } from '../lineLimits/shareBounds.js';

/** What a schedule is designed for. */
export type DesignTarget =
  /** The largest smallest margin against slip; reached from `wanted` on. */
  | { readonly kind: 'slip margin'; readonly wanted: Ratio }
  /** Pressure that differs least over the central 80 % of the build; reached when it differs by no more than `wanted` of its mean, up or down. */
  | { readonly kind: 'flat pressure'; readonly wanted: Ratio }
  /** Hoop stress nowhere below a floor, with the least change of the schedules. */
  | { readonly kind: 'hoop stress'; readonly floor: Pressure };

/** Lowest and highest value that a knob may take. */
export type Range = readonly [low: TensionPerWidth, high: TensionPerWidth];

/** What drive, web and traction allow. Only knobs with a range are changed. */
export interface DesignLimits {
  readonly tension: Range;
  /** Share of the tension that the torque differential may be, -1 to 1 [1]. */
  readonly differentialShare?: readonly [Ratio, Ratio];
  readonly nip?: Range;
  /** Largest slope of tension and nip: change per diameter as a share of their largest value [1/m]. */
  readonly slope?: number;
  readonly highestPressure?: Pressure;
  readonly highestCorePressure?: Pressure;
  /** What motors and drums of the line bear over the diameter. */
  readonly shares?: ShareBounds;
  /** What makes the ends of the ranges, where it is not simply what was stated. */
  readonly names?: {
    readonly lowestTension?: string;
    readonly highestTension?: string;
    readonly lowestNip?: string;
    readonly highestNip?: string;
  };
}
