import type { SegmentKind } from './identification.js';
import type { DriveSignals } from './signals.js';

/** A stretch of samples [start, end), what it is, why, and whether the fit may use it. Speed at the motor. */
export interface Stretch {
  kind: SegmentKind;
  start: number;
  end: number;
  /** Mean speed [rad/s] and its slope [rad/s²]. */
  level: number;
  slope: number;
  why: string;
  used: boolean;
}

/** The scales that decide what counts as still, steady or moving; all from the recording itself. */
export interface Scales {
  /** Largest speed magnitude [rad/s], a few stray samples left out. */
  readonly range: number;
  /** Below this the shaft counts as still [rad/s]. */
  readonly restSpeed: number;
  /** White noise of one speed sample [rad/s]. */
  readonly speedNoise: number;
  /** Largest torque magnitude [N·m], a few stray samples left out; 0 without torque. */
  readonly torqueSpan: number;
}

/** Mean [rad/s] and least-squares slope [rad/s²] of the speed over the samples [start, end). */
export function lineThrough(
  signals: DriveSignals,
  start: number,
  end: number,
): { level: number; slope: number } {
  const { time, speed } = signals;
  let n = 0;
  let t = 0;
  let y = 0;
  for (let i = start; i < end; i++) {
    if (Number.isNaN(speed[i])) continue;
    n++;
    t += time[i];
    y += speed[i];
  }
  t /= n;
  y /= n;
  let tt = 0;
  let ty = 0;
  for (let i = start; i < end; i++) {
    if (Number.isNaN(speed[i])) continue;
    tt += (time[i] - t) ** 2;
    ty += (time[i] - t) * (speed[i] - y);
  }
  return { level: y, slope: tt > 0 ? ty / tt : 0 };
}
