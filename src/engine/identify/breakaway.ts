import { studentTQuantile } from '../numerics/distributions.js';
import { median } from '../numerics/quantile.js';
import { noiseLevel } from '../recording/segment.js';
import type { BreakawayEvent, Estimate } from './identification.js';
import type { DriveSignals } from './signals.js';
import type { Scales } from './stretch.js';

/** A start from rest as it was found, with the reason when it cannot serve as a breakaway test. */
export interface Start {
  readonly event?: BreakawayEvent;
  /** Samples: start of the torque ramp, start of motion. */
  readonly rampStart: number;
  readonly motionStart: number;
  readonly rejected?: string;
}

const samplesInRow = 3;
const fewestRampSamples = 8;
/** Torque may change by at most this fraction of itself within the time by which the start of motion is uncertain. */
export const mostChangeWhileUncertain = 0.05;
/** A torque that leaves a line by more than this share of its level before motion is no torque ramp. */
const mostBend = 0.06;
/** The ramp must raise the torque by this share of its level from half of it up to the start. */
const leastRise = 0.25;
/** A torque that is higher by more than this share once motion is clear did not rise on a slow ramp. */
const mostJump = 0.4;
/** Time by which the start of motion is uncertain besides two samples: delays and filters of usual drives (ours) [s]. */
export const usualLatency = 0.02;

/**
 * Every start of motion from rest. The start is found by stepping on to clear motion, fitting the growth of the first speeds
 * and going back along it to zero; the torque there is read off a line through the ramp before it. So the value holds no
 * part of the acceleration that follows, and noise is averaged. Theory: docs/models/breakaway.md.
 *
 * @param torque motor torque [N·m], delays already corrected
 * @param inertia at the motor [kg·m²], when it is known: the growth of the first motion is then known too
 * @param torqueNoise of one torque sample [N·m], for who has it already
 */
export function findStarts(
  signals: DriveSignals,
  torque: Float64Array,
  scales: Scales,
  inertia?: number,
  torqueNoise = noiseLevel(torque),
): Start[] {
  const { time, speed } = signals;
  const threshold = scales.restSpeed;
  const known = {
    speeds: { noise: scales.speedNoise, rest: threshold },
    torqueNoise,
    inertia,
  };
  const starts: Start[] = [];
  let stillSince = -1;
  let moving = 0;
  for (let i = 0; i < speed.length; i++) {
    const w = Math.abs(speed[i]);
    if (Number.isNaN(w)) {
      stillSince = -1;
      moving = 0;
    } else if (w <= threshold) {
      if (stillSince < 0) stillSince = i;
      moving = 0;
    } else if (++moving >= samplesInRow) {
      const first = i - moving + 1;
      if (stillSince >= 0 && first - stillSince >= fewestRampSamples)
        starts.push(examine(time, speed, torque, stillSince, first, known));
      stillSince = -1;
    }
  }
  return starts;
}

/** What is known of the whole recording: noise and rest speed [rad/s], torque noise [N·m], inertia [kg·m²]. */
interface Known {
  readonly speeds: { readonly noise: number; readonly rest: number };
  readonly torqueNoise: number;
  readonly inertia: number | undefined;
}

function examine(
  time: Float64Array,
  speed: Float64Array,
  torque: Float64Array,
  stillSince: number,
  first: number,
  { speeds, torqueNoise, inertia }: Known,
): Start {
  const direction = speed[first] > 0 ? 1 : -1;
  const jerk =
    inertia === undefined
      ? undefined
      : (direction * slopeBefore(time, torque, stillSince, first, torqueNoise)) / inertia;
  const onset = motionOnset(time, speed, stillSince, first, speeds, direction, jerk);
  let last = first;
  while (last > stillSince && time[last] > onset) last--;
  const block = quietBlock(direction * meanBefore(torque, stillSince, last, samplesInRow), torqueNoise);
  const level = direction * meanBefore(torque, stillSince, last, block);
  const rampStart = rampFrom(torque, stillSince, last, direction * 0.5 * level, block);
  const where = { rampStart, motionStart: first };
  if (!(level > 0))
    return { ...where, rejected: 'the torque at the start of motion does not push the way it moves' };
  const n = last - rampStart + 1;
  if (n < fewestRampSamples)
    return {
      ...where,
      rejected: `the torque rose within ${n} sample${n === 1 ? '' : 's'}: too fast to read where motion began`,
    };
  const line = lineAt(time, torque, rampStart, last, onset);
  const value = direction * line.value;
  const rate = direction * line.slope;
  if (line.rms > Math.max(mostBend * value, 1.5 * torqueNoise))
    return { ...where, rejected: 'the torque did not rise on a line before motion began: no torque ramp' };
  const interval = (time[first] - time[stillSince]) / (first - stillSince);
  if (!(rate * (time[last] - time[rampStart]) > leastRise * value))
    return { ...where, rejected: 'the torque was not rising steadily when motion began: no torque ramp' };
  const after = meanBefore(torque, stillSince, Math.min(torque.length - 1, first + (block >> 1)), block);
  if (direction * after > (1 + mostJump) * value)
    return { ...where, rejected: 'the torque jumped when motion began: no torque ramp' };
  if (rate * (2 * interval + usualLatency) > mostChangeWhileUncertain * value)
    return {
      ...where,
      rejected: `the torque rose by ${Math.round((100 * rate) / value)} % per second: too fast`,
    };
  return {
    ...where,
    event: { time: onset, torque: value, direction, dwell: time[last] - time[stillSince], rate },
  };
}

/** Torque rate [N·m/s] over the last stretch before clear motion in which the torque rose from 60 % of its level. */
function slopeBefore(
  time: Float64Array,
  torque: Float64Array,
  stillSince: number,
  first: number,
  noise: number,
): number {
  const block = quietBlock(Math.abs(meanBefore(torque, stillSince, first, samplesInRow)), noise);
  const level = meanBefore(torque, stillSince, first, block);
  return lineAt(time, torque, rampFrom(torque, stillSince, first, 0.6 * level, block), first, time[first])
    .slope;
}

/** Where a level is judged, samples are averaged until their noise is below this share of the level, but not more than so many. */
const quietShare = 0.025;
const mostBlock = 50;

/** Samples whose mean is quiet enough at a torque level. */
function quietBlock(level: number, noise: number): number {
  const block = Math.ceil((noise / (quietShare * level)) ** 2);
  return level > 0 ? Math.min(mostBlock, Math.max(1, block)) : 1;
}

/** Mean of up to `count` samples that end with `last`. */
function meanBefore(values: Float64Array, from: number, last: number, count: number): number {
  const start = Math.max(from, last - count + 1);
  let sum = 0;
  for (let k = start; k <= last; k++) sum += values[k];
  return sum / (last - start + 1);
}

/** First sample of the ramp: back from `last` while the mean of the `block` samples before stays beyond `level`, on its side. */
function rampFrom(
  torque: Float64Array,
  stillSince: number,
  last: number,
  level: number,
  block: number,
): number {
  const side = Math.sign(level);
  let start = last;
  while (start > stillSince && side * meanBefore(torque, stillSince, start - 1, block) > side * level)
    start--;
  return start;
}

/** Growth rates κ [1/s] of the first motion that are tried: 0 is friction that holds, more is friction that falls with speed. */
const growthRates = [0, ...Array.from({ length: 13 }, (_, k) => 0.5 * 2 ** (k / 2))];
const mostOnsetSamples = 400;
const onsetsTried = 120;
/**
 * With the growth known, motion is followed up to this share of the rest speed only (above the noise by `clearOfNoise`
 * times): a friction that falls in proportion to speed is right for the first motion alone.
 */
const firstMotionShare = 0.6;
const clearOfNoise = 6;

/**
 * Time [s] at which motion began. While the torque rises at rate r and friction falls by c per speed, J·ω' = r·τ + c·ω
 * from the start, τ = t - t0, so ω = (r/J)·φ(τ) with φ = (exp(κτ) - 1 - κτ)/κ², κ = c/J, and φ = τ²/2 for κ = 0. t0 and κ
 * by search; r/J (`jerk` [rad/s³]) as known, else by least squares; over the samples from well before the first clear
 * motion up to it. Waiting for a clear speed instead would read the torque late by √(2·J·ω·r).
 * Source: equation of motion linearised about standstill, derived here; docs/models/breakaway.md.
 */
function motionOnset(
  time: Float64Array,
  speed: Float64Array,
  stillSince: number,
  first: number,
  speeds: { readonly noise: number; readonly rest: number },
  direction: number,
  jerk: number | undefined,
): number {
  let clear = first;
  const enough = Math.max(clearOfNoise * speeds.noise, firstMotionShare * speeds.rest);
  if (jerk !== undefined)
    while (
      clear - fewestRampSamples > stillSince &&
      meanBefore(speed, stillSince, clear - 1, samplesInRow) * direction > enough
    )
      clear--;
  let quiet = clear - 1;
  let run = 0;
  // Ten samples in a row within the noise are before any motion; noise alone seldom keeps one side that long.
  while (quiet > stillSince && run < 10 && clear - quiet < mostOnsetSamples) {
    run = direction * speed[quiet] <= 2 * speeds.noise ? run + 1 : 0;
    quiet--;
  }
  // A coarse encoder pulses so seldom at first that the search above may end in motion. With the growth known, as much again
  // of rest before does no harm; without it, a growth as slow as the rest is long would fit.
  const before = jerk === undefined ? 10 : Math.max(10, clear - quiet);
  const start = Math.max(stillSince, quiet - before);
  const end = Math.min(speed.length, clear + 2);
  let best = { error: Number.POSITIVE_INFINITY, onset: time[clear] };
  const span = time[clear] - time[start];
  const growth = new Float64Array(end - start);
  for (const kappa of growthRates) {
    for (let i = start; i < end; i++) growth[i - start] = Math.exp(kappa * (time[i] - time[start]));
    for (let k = 0; k < onsetsTried; k++) {
      const onset = time[start] + (k / onsetsTried) * span;
      const shrink = Math.exp(-kappa * (onset - time[start]));
      let xy = 0;
      let xx = 0;
      let yy = 0;
      for (let i = start; i < end; i++) {
        const tau = time[i] - onset;
        const y = direction * speed[i];
        if (tau > 0) {
          const x =
            kappa === 0 ? 0.5 * tau * tau : (shrink * growth[i - start] - 1 - kappa * tau) / kappa ** 2;
          xy += x * y;
          xx += x * x;
        }
        yy += y * y;
      }
      const error =
        jerk !== undefined
          ? yy - 2 * jerk * xy + jerk * jerk * xx
          : xx > 0 && xy > 0
            ? yy - (xy * xy) / xx
            : yy;
      if (error < best.error) best = { error, onset };
    }
  }
  return best.onset;
}

/** Least-squares line through samples first..last, its value at time `at` [s] its slope and the RMS about it. */
function lineAt(
  time: Float64Array,
  values: Float64Array,
  first: number,
  last: number,
  at: number,
): { value: number; slope: number; rms: number } {
  const n = last - first + 1;
  let t = 0;
  let y = 0;
  for (let k = first; k <= last; k++) {
    t += time[k] / n;
    y += values[k] / n;
  }
  let tt = 0;
  let ty = 0;
  for (let k = first; k <= last; k++) {
    tt += (time[k] - t) ** 2;
    ty += (time[k] - t) * (values[k] - y);
  }
  const slope = tt > 0 ? ty / tt : 0;
  let squares = 0;
  for (let k = first; k <= last; k++) squares += (values[k] - y - slope * (time[k] - t)) ** 2;
  return { value: y + slope * (at - t), slope, rms: Math.sqrt(squares / n) };
}

/** Standard uncertainty that all starts of a recording share, as a share of the value: what counts as the start (ours). */
const sharedError = 0.015;

/**
 * Breakaway torque of one direction: the median of its events, with the spread between them as its uncertainty. A single
 * event says nothing of the spread; it then carries 10 %, the spread that repeated starts of one roller commonly show
 * (common practice, no source).
 *
 * @param commonVariance of an error that all events share besides [N²·m²]
 */
export function breakawayEstimate(
  events: readonly BreakawayEvent[],
  commonVariance = 0,
): Estimate | undefined {
  if (events.length === 0) return undefined;
  const values = Float64Array.from(events, (e) => e.torque);
  const centre = median(values);
  const n = values.length;
  const spread =
    n > 1 ? Math.sqrt(values.reduce((s, v) => s + (v - centre) ** 2, 0) / (n - 1)) : 0.1 * centre;
  // The median is π/2 less efficient than a mean. What all starts share, above all creep before the start and where it
  // ends, does not show in their spread.
  const standardError = Math.hypot(
    Math.sqrt(Math.PI / (2 * n)) * spread,
    sharedError * centre,
    Math.sqrt(commonVariance),
  );
  const half = studentTQuantile(0.975, Math.max(2, n - 1)) * standardError;
  return { value: centre, standardError, interval95: [centre - half, centre + half] };
}
