import { type DragShape, dragTerms } from '../../src/engine/identify/equation.js';
import type { Fit } from '../../src/engine/identify/fit.js';
import { fitRows } from '../../src/engine/identify/fit.js';
import { type FitContext, observations } from '../../src/engine/identify/observations.js';
import type { Drive } from '../../src/engine/line/drive.js';
import { createRandom } from '../../src/engine/numerics/random.js';
import { type Profile, scalesFor, signalsOf, staircase, stretchesOf } from './profiles.js';

/** An invented drive for unit tests: nothing of it is measured. */
export const helperDrive: Drive = {
  name: 'helper',
  element: 'driven-idler',
  gearRatio: 3,
  rollerRadius: 0.1,
  ratedTorque: 20,
  maxMotorSpeed: 100,
};

export interface StaircaseTruth {
  readonly inertia: number;
  /** Drag magnitude [N·m] at a speed magnitude [rad/s]. */
  readonly drag: (omega: number) => number;
  /** Torque that is neither inertia nor drag [N·m], at a sample. */
  readonly extra?: (i: number, profile: Profile) => number;
  readonly noise?: number;
  readonly seed?: number;
}

/**
 * A staircase of plateaus and ramps with the torque that the equation of motion asks for, J·a + drag, and white noise; the
 * stretches are those it was made of. One direction, from rest excluded.
 */
export function staircaseContext(
  truth: StaircaseTruth,
  levels: readonly number[],
  options: { hold?: number; rate?: number; interval?: number } = {},
): FitContext & { readonly profile: Profile; readonly torque: Float64Array } {
  const { hold = 4, rate = 20, interval = 0.01 } = options;
  const profile = staircase(levels, hold, rate, interval);
  const random = createRandom(truth.seed ?? 1);
  const torque = profile.value.map((w, i) => {
    const noise = truth.noise ? truth.noise * random.normal() : 0;
    return truth.inertia * profile.slope[i] + truth.drag(w) + (truth.extra?.(i, profile) ?? 0) + noise;
  });
  const range = Math.max(...levels);
  return {
    profile,
    signals: signalsOf({ time: profile.time, speed: profile.value, torque }),
    torque,
    stretches: stretchesOf(profile),
    drive: helperDrive,
    scales: scalesFor(range, Math.max(...torque.map(Math.abs))),
    cutting: { trim: 0.02, fineness: 1, lowestSpeed: 0.01 * range, lowestPlateau: 0.05 * range },
  };
}

/** Least squares of inertia and the drag terms named to the windows of a context. */
export function baseFit(context: FitContext, shape: Omit<DragShape, 'stribeck'>): Fit {
  const { signals, torque, stretches, scales, cutting } = context;
  const fit = fitRows(
    observations(signals, torque, stretches, scales, cutting),
    { terms: [{ name: 'inertia', direction: 0 }, ...dragTerms({ ...shape, stribeck: false }, 1)] },
    signals,
  );
  if (fit === undefined) throw new Error('the windows do not carry these terms');
  return fit;
}
