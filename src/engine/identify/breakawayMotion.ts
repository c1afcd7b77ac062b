/**
 * What the slow motion around the starts of a breakaway test says: the inertia, and the torque ripple of motor and roller,
 * which makes the shaft break loose at another torque at every angle. It is enough alone, without ramps or plateaus.
 * Theory: docs/models/breakaway.md.
 */
import type { Drive } from '../line/drive.js';
import { type LeastSquaresSolution, solveLeastSquares } from '../numerics/leastSquares.js';
import { median } from '../numerics/quantile.js';
import type { Start } from './breakaway.js';
import { shaftAngle, valueAt } from './ripple.js';
import type { DriveSignals } from './signals.js';
import type { Scales } from './stretch.js';

export interface StartingMotion {
  /** At the motor, with its standard error [kg·m²]. */
  readonly inertia: { readonly value: number; readonly standardError: number };
  /** Ripple at the motor [N·m] at a time of the recording [s], by the angle at which the shafts then stand. */
  rippleAt(time: number): number;
  /** Variance [N²·m²] of the mean ripple at these times [s]: what all of them share because the ripple is known only so well. */
  meanRippleVariance(times: readonly number[]): number;
}

/** A start that runs on to more than this share of top speed is no breakaway test any more. */
const mostSpeedShare = 0.1;
/** Motion is taken from this share of the rest speed up to this multiple of the speed that the starts reach. */
const lowestOfRest = 0.3;
const highestOfReached = 1.2;
const fewestSamples = 10;
/** Knots of the friction over speed, even in the logarithm of the speed. */
const knots = 7;
/** Usual ripple as a share of the breakaway torque, the scatter assumed before looking (ours): it decides where the motion cannot. */
const usualRipple = 0.05;
/** The same for the friction at a knot: so wide that it only stands in where a knot was never passed. */
const usualFriction = 10;
const mostRows = 2000;

/** Slow motion of one sign, samples [start, end). */
interface Section {
  readonly start: number;
  readonly end: number;
  readonly direction: 1 | -1;
}

/** One section's observations: impulse of the motor torque against the columns of the design, each less its mean. */
interface Block {
  readonly rows: Float64Array[];
  readonly impulse: Float64Array;
}

/**
 * Fits J·(ω - ω̄) + Σ c_k·∫h_k(|ω|)dt + Σ (a_m·∫sin(ρ_m·θ)dt + b_m·∫cos(ρ_m·θ)dt) to ∫T dt over every stretch of slow
 * motion, each with a level of its own. θ is the motor's angle, ρ the turns of a shaft a turn of the motor, h_k hats over
 * the logarithm of the speed, a set a direction. Undefined without a breakaway test, or without slow motion after it.
 *
 * @param torque motor torque [N·m], delays already corrected
 * @param starts of which those with an event count
 */
export function fitStartingMotion(
  signals: DriveSignals,
  torque: Float64Array,
  starts: readonly Start[],
  scales: Scales,
  drive: Drive,
): StartingMotion | undefined {
  const events = starts.flatMap((s) => (s.event === undefined ? [] : [s.event]));
  const low = lowestOfRest * scales.restSpeed;
  const high =
    highestOfReached *
    speedReached(signals, starts, low, mostSpeedShare * (drive.maxMotorSpeed ?? Number.POSITIVE_INFINITY));
  if (!(high > 2 * low)) return undefined;
  const level = median(Float64Array.from(events, (e) => e.torque));
  const sections = slowSections(signals, torque, low, high);
  if (sections.length === 0) return undefined;
  const shafts = drive.gearRatio === 1 ? [1] : [1 / drive.gearRatio, 1];
  const angle = shaftAngle(signals, 1);
  const ripple = (theta: number): number[] =>
    shafts.flatMap((r) => [Math.sin(r * theta), Math.cos(r * theta)]);
  const directions = ([1, -1] as const).filter((d) => sections.some((s) => s.direction === d));
  const first = 1 + directions.length * knots;
  const size = first + 2 * shafts.length;
  const terms = (i: number, direction: 1 | -1, out: Float64Array): void => {
    out.fill(0);
    const at = ((knots - 1) * Math.log(Math.abs(signals.speed[i]) / low)) / Math.log(high / low);
    const k = Math.min(knots - 2, Math.max(0, Math.floor(at)));
    const base = 1 + directions.indexOf(direction) * knots + k;
    out[base] = direction * (k + 1 - at);
    out[base + 1] = direction * (at - k);
    out.set(ripple(angle[i]), first);
  };
  const total = sections.reduce((n, s) => n + s.end - s.start, 0);
  const stride = Math.ceil(total / mostRows);
  const blocks = sections.map((s) => impulses(signals, torque, s, size, stride, terms));
  const scatter = Float64Array.from({ length: size - 1 }, (_, k) =>
    k + 1 < first ? usualFriction * level : usualRipple * level,
  );
  const fit = solve(blocks, scatter);
  if (fit === undefined || !(fit.coefficients[0] > 0)) return undefined;
  const { coefficients, covariance } = fit;
  const basisAt = (time: number): number[] => ripple(valueAt(signals.time, angle, time));
  return {
    inertia: { value: coefficients[0], standardError: Math.sqrt(covariance[0]) },
    rippleAt: (time) => basisAt(time).reduce((sum, b, m) => sum + b * coefficients[first + m], 0),
    meanRippleVariance: (times) => {
      const mean = new Float64Array(2 * shafts.length);
      for (const t of times)
        basisAt(t).forEach((b, m) => {
          mean[m] += b / times.length;
        });
      let variance = 0;
      for (let m = 0; m < mean.length; m++)
        for (let q = 0; q < mean.length; q++)
          variance += mean[m] * mean[q] * covariance[(first + m) * size + first + q];
      return variance;
    },
  };
}

/** Highest speed [rad/s] that motion after a breakaway test reaches before it stops; those that run on past `most` left out. */
function speedReached({ speed }: DriveSignals, starts: readonly Start[], low: number, most: number): number {
  let reached = 0;
  for (const start of starts) {
    if (start.event === undefined) continue;
    let top = 0;
    for (let i = start.motionStart; i < speed.length && Math.abs(speed[i]) > low; i++)
      top = Math.max(top, Math.abs(speed[i]));
    if (top <= most) reached = Math.max(reached, top);
  }
  return reached;
}

function slowSections({ speed }: DriveSignals, torque: Float64Array, low: number, high: number): Section[] {
  const sections: Section[] = [];
  let start = 0;
  for (let i = 0; i <= speed.length; i++) {
    const size = Math.abs(speed[i]);
    // A gap is NaN and fails the comparison.
    const slow = i < speed.length && size > low && size < high && !Number.isNaN(torque[i]);
    if (slow && speed[i] * speed[start] > 0) continue;
    if (i - start >= fewestSamples) sections.push({ start, end: i, direction: speed[start] > 0 ? 1 : -1 });
    start = slow ? i : i + 1;
  }
  return sections;
}

/** Integrals from the start of the section by the trapezoidal rule, kept at every `stride`-th sample. */
function impulses(
  { time, speed }: DriveSignals,
  torque: Float64Array,
  { start, end, direction }: Section,
  size: number,
  stride: number,
  terms: (i: number, direction: 1 | -1, out: Float64Array) => void,
): Block {
  const rows: Float64Array[] = [];
  const impulse: number[] = [];
  const sums = new Float64Array(size);
  let [before, now] = [new Float64Array(size), new Float64Array(size)];
  let total = 0;
  for (let i = start; i < end; i++) {
    terms(i, direction, now);
    if (i > start) {
      const half = 0.5 * (time[i] - time[i - 1]);
      total += half * (torque[i] + torque[i - 1]);
      for (let k = 1; k < size; k++) sums[k] += half * (now[k] + before[k]);
    }
    [before, now] = [now, before];
    if ((i - start) % stride !== 0) continue;
    const row = Float64Array.from(sums);
    row[0] = speed[i];
    rows.push(row);
    impulse.push(total);
  }
  const n = rows.length;
  for (let k = 0; k < size; k++) {
    const mean = rows.reduce((s, r) => s + r[k], 0) / n;
    for (const r of rows) r[k] -= mean;
  }
  const mean = impulse.reduce((s, v) => s + v, 0) / n;
  return { rows, impulse: Float64Array.from(impulse, (v) => v - mean) };
}

/**
 * Least squares over all blocks, with the usual scatter [N·m] of every coefficient but the first as a row of its own. The
 * weight of those rows is the noise of the impulse, enlarged for residuals that are alike from row to row; so it is solved
 * twice more, with the noise that was found. The covariance is that of the coefficients.
 */
function solve(
  blocks: readonly Block[],
  scatter: Float64Array,
): { coefficients: Float64Array; covariance: Float64Array } | undefined {
  const size = scatter.length + 1;
  const n = blocks.reduce((s, b) => s + b.rows.length, 0);
  if (n < 3 * size) return undefined;
  const design = new Float64Array((n + size - 1) * size);
  const y = new Float64Array(n + size - 1);
  let at = 0;
  for (const { rows, impulse } of blocks)
    rows.forEach((row, i) => {
      design.set(row, at * size);
      y[at++] = impulse[i];
    });
  let noise = 1e-3 * Math.max(...y);
  let solved: LeastSquaresSolution | undefined;
  for (let pass = 0; pass < 3; pass++) {
    for (let k = 1; k < size; k++) design[(n + k - 1) * size + k] = noise / scatter[k - 1];
    solved = solveLeastSquares(design, n + size - 1, size, y);
    noise = independentNoise(blocks, solved.residuals);
  }
  return (
    solved && {
      coefficients: solved.coefficients,
      covariance: solved.unscaledCovariance.map((c) => c * noise * noise),
    }
  );
}

/** Correlations below this share are taken as none. */
const leastCorrelation = 0.05;

/** Noise that independent rows would need to say as little as these [N·m·s]: σ·√(1 + 2·Σ ρ_k), ρ within blocks. */
function independentNoise(blocks: readonly Block[], residuals: Float64Array): number {
  const products = (lag: number): number => {
    let sum = 0;
    let at = 0;
    for (const { rows } of blocks) {
      for (let i = at; i + lag < at + rows.length; i++) sum += residuals[i] * residuals[i + lag];
      at += rows.length;
    }
    return sum;
  };
  const squares = products(0);
  const n = blocks.reduce((s, b) => s + b.rows.length, 0);
  const longest = Math.max(...blocks.map((b) => b.rows.length));
  let inflation = 1;
  for (let lag = 1; lag < longest; lag++) {
    const correlation = products(lag) / squares;
    if (!(correlation > leastCorrelation)) break;
    inflation += 2 * correlation;
  }
  return Math.sqrt((inflation * squares) / n);
}
