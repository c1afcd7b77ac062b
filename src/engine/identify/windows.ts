import type { DriveSignals } from './signals.js';

/**
 * The impulse-momentum form of the equation of motion. Over a window the slope of the speed is taken by least squares,
 * a = Σ c_k ω_k; that equals a weighted mean of the acceleration with the parabola g_j = -Σ_{k<=j} c_k as kernel. Every
 * other term is averaged with that same kernel, so no term is smoothed more than another and no differentiation takes
 * place. Exact up to the trapezoidal rule. Theory: docs/models/drive.md, section 2.
 */
export interface Kernel {
  /** Σ slope[k]·y[k] is the kernel mean of dy/dt. */
  readonly slope: Float64Array;
  /** Σ mean[k]·y[k] is the kernel mean of y; sums to 1. */
  readonly mean: Float64Array;
}

/** Kernel of the samples [start, end) of the signals; where sampling is even it depends on their number only. */
export function kernelOf(signals: DriveSignals, start: number, end: number): Kernel {
  if (!signals.isEven) return windowKernel(signals.time, start, end);
  let kernels = evenKernels.get(signals);
  if (kernels === undefined) evenKernels.set(signals, (kernels = new Map()));
  let kernel = kernels.get(end - start);
  // always of the first samples, so that the last digits do not depend on which window came first
  if (kernel === undefined) kernels.set(end - start, (kernel = windowKernel(signals.time, 0, end - start)));
  return kernel;
}

/** Kernels of evenly sampled signals by length: the same few lengths come back for every window. */
const evenKernels = new WeakMap<DriveSignals, Map<number, Kernel>>();

/** Kernel of the samples [start, end) of a time base [s]; at least three samples. */
export function windowKernel(time: Float64Array, start: number, end: number): Kernel {
  const n = end - start;
  let centre = 0;
  for (let k = 0; k < n; k++) centre += time[start + k];
  centre /= n;
  let stt = 0;
  for (let k = 0; k < n; k++) stt += (time[start + k] - centre) ** 2;
  const slope = new Float64Array(n);
  const mean = new Float64Array(n);
  let sum = 0;
  for (let k = 0; k < n; k++) {
    slope[k] = (time[start + k] - centre) / stt;
    if (k === n - 1) break;
    sum -= slope[k];
    const half = 0.5 * sum * (time[start + k + 1] - time[start + k]);
    mean[k] += half;
    mean[k + 1] += half;
  }
  return { slope, mean };
}

/** One window as an observation of the equation of motion. Means are kernel means. */
export interface WindowRow {
  readonly start: number;
  readonly end: number;
  /** Mid time and length [s]. */
  readonly time: number;
  readonly duration: number;
  /** Number of the stretch it lies in: rows of one stretch share their errors. */
  readonly stretch: number;
  /** True when the drive was off, so that the motor torque is zero whatever the column says. */
  readonly coasting: boolean;
  readonly direction: 1 | -1;
  /** dω/dt [rad/s²], ω [rad/s], ω|ω| [rad²/s²]. */
  readonly acceleration: number;
  readonly speed: number;
  readonly speedSquared: number;
  /** Motor torque [N·m]; 0 when coasting. */
  readonly torque: number;
  /** Unwinds and winders: inertia at the motor per density of the roll at its present radius [m⁵]. */
  readonly inertiaPerDensity?: number;
  /** Kernel means of sin and cos of shaft angles, when a once-per-turn ripple is looked for. */
  readonly ripple?: readonly number[];
}

/** Stretch of samples to cut windows from; the caller has already trimmed its corners. */
export interface WindowSource {
  readonly start: number;
  readonly end: number;
  readonly stretch: number;
  readonly coasting: boolean;
  /** How many windows to cut it into. */
  readonly count: number;
}

const minimumSamples = 4;

/**
 * Cuts each source into `count` equal windows and averages the equation of motion over each. A window that holds a gap,
 * a change of direction or a speed below `lowestSpeed` [rad/s] gives no row.
 */
export function windowRows(
  signals: DriveSignals,
  torque: Float64Array | undefined,
  sources: readonly WindowSource[],
  lowestSpeed: number,
): WindowRow[] {
  const rows: WindowRow[] = [];
  for (const source of sources) {
    const n = source.end - source.start;
    const count = Math.max(1, Math.min(source.count, Math.floor(n / minimumSamples)));
    for (let q = 0; q < count; q++) {
      const start = source.start + Math.floor((q * n) / count);
      const end = source.start + Math.floor(((q + 1) * n) / count);
      if (end - start < minimumSamples) continue;
      const row = windowRow(signals, source.coasting ? undefined : torque, start, end, lowestSpeed, source);
      if (row !== undefined) rows.push(row);
    }
  }
  return rows;
}

function windowRow(
  signals: DriveSignals,
  torque: Float64Array | undefined,
  start: number,
  end: number,
  lowestSpeed: number,
  source: WindowSource,
): WindowRow | undefined {
  const { time, speed } = signals;
  // Noise may carry single samples of a slow plateau through zero, so direction is judged on means of the ends.
  const quarter = Math.max(1, Math.floor((end - start) / 4));
  const first = sampleMean(speed, start, start + quarter);
  const last = sampleMean(speed, end - quarter, end);
  if (!(first * last > 0 && Math.min(Math.abs(first), Math.abs(last)) >= lowestSpeed)) return undefined;
  const kernel = kernelOf(signals, start, end);
  let acceleration = 0;
  let meanSpeed = 0;
  let meanSquare = 0;
  let meanTorque = 0;
  for (let k = start; k < end; k++) {
    const w = speed[k];
    const m = kernel.mean[k - start];
    acceleration += kernel.slope[k - start] * w;
    meanSpeed += m * w;
    meanSquare += m * w * Math.abs(w);
    if (torque !== undefined) meanTorque += m * torque[k];
  }
  if (Number.isNaN(meanTorque) || Number.isNaN(meanSpeed)) return undefined;
  return {
    start,
    end,
    time: 0.5 * (time[start] + time[end - 1]),
    duration: time[end - 1] - time[start],
    stretch: source.stretch,
    coasting: source.coasting,
    direction: first > 0 ? 1 : -1,
    acceleration,
    speed: meanSpeed,
    speedSquared: meanSquare,
    torque: meanTorque,
  };
}

function sampleMean(values: Float64Array, start: number, end: number): number {
  let sum = 0;
  for (let k = start; k < end; k++) sum += values[k];
  return sum / (end - start);
}

/** Kernel mean of any function of the speed over a window, e.g. the Stribeck term. Same kernel as the row's own means. */
export function windowMeanOfSpeed(
  signals: DriveSignals,
  row: WindowRow,
  f: (omega: number) => number,
): number {
  const kernel = kernelOf(signals, row.start, row.end);
  let sum = 0;
  for (let k = row.start; k < row.end; k++) sum += kernel.mean[k - row.start] * f(signals.speed[k]);
  return sum;
}
