import type { Finding } from '../../findings.js';
import type { Length, Ratio } from '../../units/quantity.js';

/**
 * What a knob (tension, nip, torque differential: a force per width [N/m]) follows over the diameter D from core D₀ to full roll D₁.
 * `taper` and `end` are two ways to state one thing, and exactly one of them is given:
 *
 *   linear      start·[1 − taper·(D − D₀)/(D₁ − D₀)]              ends at start·(1 − taper)
 *   hyperbolic  start·[1 − taper·(1 − D₀/D)]                      ends at start·[1 − taper·(1 − D₀/D₁)]; taper 1 = constant torque
 *   blend       start·[1 − taper·{a·linear + (1 − a)·hyperbolic}]  a = linearShare
 *   table       smooth and monotone between points
 *
 * The same taper leaves different ends, so a schedule always states its start and end in force.
 */
export type ScheduleLaw =
  | { readonly law: 'constant'; readonly start: number }
  | (Fall & { readonly law: 'linear' | 'hyperbolic' })
  | (Fall & { readonly law: 'blend'; readonly linearShare: Ratio })
  | { readonly law: 'table'; readonly points: readonly SchedulePoint[] };

export interface Fall {
  readonly start: number;
  readonly taper?: Ratio;
  readonly end?: number;
}

export interface SchedulePoint {
  readonly diameter: Length;
  readonly value: number;
}

/**
 * More at the core: the law times 1 + boost·(1 − 3u² + 2u³), u = (D − D₀)/depth up to 1, nothing after. Value and slope join the law at the end,
 * and at the core the slope is the law's own. A negative boost is a soft start.
 */
export interface HardStart {
  /** Share on top of the law at the core [1]; above -1. */
  readonly boost: Ratio;
  /** Diameter over which it fades, not more than the build-up [m]. */
  readonly depth: Length;
}

export interface ScheduleOptions {
  /** What it schedules, for messages. */
  readonly name?: string;
  readonly hardStart?: HardStart;
  /** True for a torque differential; tension and nip cannot be below 0, which is the default. */
  readonly mayBeNegative?: boolean;
  /** Largest slope allowed: change per diameter as a share of the largest value in the build [1/m]. */
  readonly slopeLimit?: number;
}

/** Where a schedule changes fastest. */
export interface SteepestPoint {
  readonly diameter: Length;
  /** Change per diameter as a share of the largest magnitude in the build, with its sign [1/m]. */
  readonly relativeSlope: number;
}

export interface Schedule {
  /** Value at a diameter; outside core and full roll that of the nearer end is held. NaN in, NaN out. */
  at(diameter: Length): number;
  /** Derivative over diameter; 0 outside core and full roll. */
  slopeAt(diameter: Length): number;
  /** Value in force at the core, hard start included. */
  readonly start: number;
  /** Value in force at the full roll. */
  readonly end: number;
  /** The taper of the law itself, where it has one and does not start at 0. */
  readonly taper?: Ratio;
  readonly steepest: SteepestPoint;
  readonly findings: readonly Finding[];
}
