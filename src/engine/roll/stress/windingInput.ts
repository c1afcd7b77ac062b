import type { Caliper, Length, Modulus, Ratio, TensionPerWidth } from '../../units/quantity.js';
import type { StackModulus } from './stackModulus.js';

/**
 * How the radial modulus of a lap is taken while the next lap is wound on. mid-increment: at the pressure in the middle of the increment, second order in the lap's
 * pressure. corrected: the same, each lap solved twice, the second time with its own increments: the reference for the first. explicit: at the pressure before it, as the
 * model was first published: low by up to a few percent in soft stacks.
 */
export const stressUpdates = ['mid-increment', 'corrected', 'explicit'] as const;
export type StressUpdate = (typeof stressUpdates)[number];

/** A moving fine window: the newest `fine` laps are followed one by one, of the older interfaces every `thinning`-th, the core always. */
export interface FineWindow {
  readonly fine: number;
  readonly thinning: number;
}

/** A roll to be wound, SI. */
export interface WindingInput {
  readonly laps: number;
  readonly caliper: Caliper;
  /** Outer radius of the core. */
  readonly coreRadius: Length;
  /** Modulus along the web. */
  readonly modulus: Modulus;
  /** Poisson cross term of radial and hoop direction [1]. */
  readonly poisson: Ratio;
  readonly stack: StackModulus;
  /** Pressure over radial strain of the core's surface; Infinity for a rigid core. */
  readonly coreStiffness: Modulus;
  /** Wound-on tension of lap k (0 the innermost) per width. */
  readonly woundOn: (lap: number, radius: Length) => TensionPerWidth;
  readonly update?: StressUpdate;
  /** Follow only the newest laps one by one; every lap when left out. */
  readonly window?: FineWindow;
  /** Numbers of laps after which the pressure of the unfinished roll is kept, in any order. */
  readonly lookAt?: readonly number[];
}

/** An unfinished roll: the pressure under each of its laps. */
export interface PartRoll {
  readonly laps: number;
  readonly pressure: Float64Array;
}

/** What is in the roll. Entry i of each array belongs to the interface under lap i + 1, at radius rc + i·h; hoop stress is that of the lap. */
export interface WoundRoll {
  readonly radius: Float64Array;
  readonly pressure: Float64Array;
  readonly hoopStress: Float64Array;
  readonly woundOn: Float64Array;
  /** While it was wound, after the numbers of laps that were asked for, from the smallest. */
  readonly during: readonly PartRoll[];
}
