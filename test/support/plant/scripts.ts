/** Tests that an engineer runs on a drive, as scripts of phases. Levels are fractions of top speed. */
import { breakaway } from './friction.js';
import type { Random } from './random.js';
import type { Rig } from './rig.js';
import type { Phase } from './run.js';

export const lowAndHigh = [0.008, 0.015, 0.025, 0.05, 0.1, 0.2, 0.35, 0.5, 0.7, 0.85, 1];
export const usual = [0.05, 0.1, 0.2, 0.35, 0.5, 0.7, 0.85, 1];

/** Plateaus one after the other from level `from`, ramps at the slope that takes `rampTime` to top speed. */
export function staircase(
  rig: Rig,
  levels: readonly number[],
  from: number,
  hold: number,
  rampTime = rig.rampTime,
): Phase[] {
  let last = from;
  return levels.map((level) => {
    const ramp = Math.max(0.3, Math.abs(level - last) * rampTime);
    last = level;
    // Slow plateaus last long enough for two motor revolutions, within reason.
    const turns = level === 0 ? 0 : (2 * 2 * Math.PI) / (Math.abs(level) * rig.topSpeed);
    return {
      mode: 'speed',
      to: level * rig.topSpeed,
      ramp,
      hold: level === 0 ? 1 : Math.max(hold, Math.min(turns, 6)),
    };
  });
}

export const upAndDown = (levels: readonly number[]): number[] => [...levels, ...[...levels].reverse(), 0];

/** One ramp up and one down between two levels, with short holds. */
export const rampPair = (rig: Rig, low: number, high: number, rampTime: number, hold = 2): Phase[] => [
  ...staircase(rig, [high], low, hold, rampTime),
  ...staircase(rig, [low], high, hold, rampTime),
];

/** Slow torque ramps from rest, each ended when the shaft clearly moves, then stopped by the speed loop or left to coast. */
export function breakaways(rig: Rig, random: Random, count: number, direction: 1 | -1 = 1): Phase[] {
  const level = breakaway(direction > 0 ? rig.machine.forward : rig.machine.reverse);
  const braked = random.chance(0.5);
  return Array.from({ length: count }, (): Phase[] => {
    const dwell = random.uniform(1, 3);
    const ramp: Phase = {
      mode: 'torque',
      // Without brake the shaft first coasts out, so the drive waits longer at zero torque.
      dwell: braked ? dwell : dwell + 3,
      rate: (direction * level) / random.uniform(4, 7),
      stopSpeed: 0.02 * rig.topSpeed,
      most: rig.ratedTorque,
      timeout: 12,
    };
    return braked ? [ramp, still(random.uniform(1.5, 2.5))] : [ramp];
  }).flat();
}

export const still = (hold: number): Phase => ({ mode: 'speed', to: 0, ramp: 0, hold });
export const coast = (most = 200): Phase => ({ mode: 'off', least: 1, most });

/** A whole commissioning test: breakaway ramps, two ramp rates, plateaus up and down from very slow ones, coast-down. */
export const fullTest = (rig: Rig, random: Random): Phase[] => [
  still(1),
  ...breakaways(rig, random, 5),
  ...rampPair(rig, 0, 1, rig.rampTime),
  ...rampPair(rig, 0, 1, 2 * rig.rampTime),
  ...staircase(rig, [...lowAndHigh, ...[...usual].reverse()], 0, 3),
  ...staircase(rig, [1], usual[0]!, 3),
  coast(),
];
