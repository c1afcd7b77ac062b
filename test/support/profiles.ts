import type { SegmentKind } from '../../src/engine/identify/identification.js';
import type { DriveSignals } from '../../src/engine/identify/signals.js';
import type { Scales, Stretch } from '../../src/engine/identify/stretch.js';

/**
 * Small deterministic signals for unit tests: profiles made of straight pieces between knots, whose slope is known in
 * closed form at every sample. Nothing here is read from a recording or computed by the code under test.
 */

/** Sample times from 0 to `duration` [s]. */
export const evenTime = (duration: number, interval: number): Float64Array =>
  Float64Array.from({ length: Math.round(duration / interval) + 1 }, (_, i) => i * interval);

/** A corner of a profile: time [s] and value there. */
export type Knot = readonly [time: number, value: number];

export interface Profile {
  readonly time: Float64Array;
  readonly value: Float64Array;
  /** Slope of the straight piece that the sample lies in; at a knot that of the piece after it. */
  readonly slope: Float64Array;
  /** Samples of the straight pieces: [start, end). */
  readonly pieces: readonly { readonly start: number; readonly end: number; readonly slope: number }[];
}

/** The polyline through the knots, sampled evenly; knot times should be whole numbers of intervals. */
export function polyline(knots: readonly Knot[], interval: number): Profile {
  const time = evenTime(knots[knots.length - 1][0], interval);
  const value = new Float64Array(time.length);
  const slope = new Float64Array(time.length);
  const pieces: { start: number; end: number; slope: number }[] = [];
  for (let k = 0; k + 1 < knots.length; k++) {
    const [[t0, y0], [t1, y1]] = [knots[k], knots[k + 1]];
    const start = Math.round(t0 / interval);
    const end = k + 2 === knots.length ? time.length : Math.round(t1 / interval);
    const m = (y1 - y0) / (t1 - t0);
    for (let i = start; i < end; i++) {
      value[i] = y0 + m * (time[i] - t0);
      slope[i] = m;
    }
    pieces.push({ start, end, slope: m });
  }
  return { time, value, slope, pieces };
}

/** Signals for identification from plain arrays on an even time base. */
export function signalsOf(parts: Pick<DriveSignals, 'time' | 'speed'> & Partial<DriveSignals>): DriveSignals {
  return { interval: parts.time[1] - parts.time[0], isEven: true, speedFrom: 'motor-speed', ...parts };
}

/** Scales as an engineer would state them for a clean recording. */
export function scalesFor(range: number, torqueSpan: number, speedNoise = 0): Scales {
  return { range, restSpeed: Math.max(0.003 * range, 4 * speedNoise), speedNoise, torqueSpan };
}

/** The straight pieces of a speed profile as stretches, plateau or ramp by their known slope. */
export function stretchesOf(profile: Profile): Stretch[] {
  return profile.pieces.map(({ start, end, slope }): Stretch => {
    let level = 0;
    for (let i = start; i < end; i++) level += profile.value[i] / (end - start);
    const still = slope === 0 && level === 0;
    const kind: SegmentKind = still ? 'rest' : slope === 0 ? 'plateau' : 'ramp';
    return { kind, start, end, level, slope, used: !still, why: 'by construction' };
  });
}

/** Plateaus at `levels` for `hold` [s] each, joined by ramps of `rate` [per s²]; starts on the first level. */
export function staircase(levels: readonly number[], hold: number, rate: number, interval: number): Profile {
  const knots: Knot[] = [[0, levels[0]]];
  let t = 0;
  levels.forEach((level, k) => {
    t += hold;
    knots.push([t, level]);
    if (k + 1 === levels.length) return;
    // Whole sampling intervals, so that every corner is a sample.
    t += Math.max(1, Math.round(Math.abs(levels[k + 1] - level) / rate / interval)) * interval;
    knots.push([t, levels[k + 1]]);
  });
  return polyline(knots, interval);
}
