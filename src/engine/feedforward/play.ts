import { TautlineError } from '../errors.js';
import { type Finding, verdictOf } from '../findings.js';
import { advanced } from '../identify/delay.js';
import type { Identification } from '../identify/identification.js';
import { withoutSpikes } from '../identify/screen.js';
import { type DriveSignals, driveSignals } from '../identify/signals.js';
import type { Scales, Stretch } from '../identify/stretch.js';
import { findStretches, scalesOf, torqueLimitSeen } from '../identify/stretches.js';
import { isWebOn } from '../identify/webSignals.js';
import { kernelOf } from '../identify/windows.js';
import type { Drive } from '../line/drive.js';
import type { Recording } from '../recording/recording.js';
import { noiseLevel } from '../recording/segment.js';
import { assistTorque } from './assist.js';
import { beyondTable, inertiaLeftOut, noTorque, playedSign, playedWebOn } from './playFindings.js';
import { kindsOf, stretchesOf, summaryOf } from './playStretches.js';
import type { PlayedFeedForward } from './playTypes.js';
import { feedForwardTorque } from './torque.js';
import type { FeedForward, FeedForwardTable } from './types.js';

export interface PlayOptions {
  /** Length of the windows that everything is averaged over [s]; default: the shortest of 0.1, 0.2, 0.4 and 0.8 s that noise allows. */
  readonly average?: number;
  /** Takes the identified torque offset off the recorded torque: it may be the zero of the signal. Default false. */
  readonly removeOffset?: boolean;
}

const defaultAverages = [0.1, 0.2, 0.4, 0.8] as const;
/** Noise of the speed may count for this share of the drag at top speed. */
const noiseShare = 0.05;
/** A window has so many samples at least, for a slope that is more than a difference. */
const fewestSamples = 5;
/** Values a window: what is averaged over a window changes by little within this part of it. */
const valuesPerWindow = 8;

/**
 * What the web would have felt in a recording made without web, if the drive had given nothing, and if it had given this feed-forward:
 *
 *   without = T        with = T − J·α − s·(M(|ω|) + A·f(|ω|, t))          [N·m at the motor]
 *
 * T recorded torque less the offset where asked for, 0 while the drive was off; J inertia [kg·m²], α acceleration [rad/s²], M table and A·f
 * assist [N·m], t time since the last rest [s]. At rest friction takes up what the torque lacks, so `with` is what T has more than M(0) + A. As
 * force at the roller surface [N]: times `forcePerTorque`, i/r.
 *
 * Both are means over windows with the kernel of identify/windows.ts, whose mean of the acceleration is the slope of the speed: nothing is
 * differentiated and all terms are smoothed alike. Forces shorter than a window are smaller than they were. The delay between torque and
 * speed is the one of the identification.
 * Valid: recordings without web. Source: torque balance of the roller; windows: docs/models/drive.md, section 2. Theory: docs/models/feedforward.md.
 * @throws TautlineError argument_invalid for a window that is not above 0
 */
export function playFeedForward(
  recording: Recording,
  drive: Drive,
  id: Identification,
  made: FeedForward,
  { average: stated, removeOffset = false }: PlayOptions = {},
): PlayedFeedForward {
  if (stated !== undefined && !(stated > 0 && stated < Number.POSITIVE_INFINITY))
    throw new TautlineError(
      'argument_invalid',
      { average: stated },
      `an average over ${stated} s is none`,
      'give a time above 0 s',
    );
  const findings: Finding[] = [...recording.findings];
  if (made.rows.length === 0) findings.push(...made.findings.filter((f) => f.severity === 'refuse'));
  const isRefused = (): boolean => findings.some((f) => f.severity === 'refuse');
  const raw = isRefused() ? undefined : driveSignals(recording, drive, findings);
  if (raw !== undefined && raw.torque === undefined) findings.push(noTorque());
  const scales = raw && scalesOf(raw, drive);
  if (raw && scales && isWebOn(raw, drive, scales)) findings.push(playedWebOn());
  if (raw?.torque === undefined || scales === undefined || isRefused()) return refused(findings);

  const signals = withoutSpikes(raw, findings);
  const delay = delayOf(id);
  const offset = removeOffset ? (id.estimates.offset?.value ?? 0) : 0;
  const torque = advanced(signals.time, signals.torque as Float64Array, delay).map((m, i) =>
    signals.enabled?.[i] === 0 ? 0 : m - offset,
  );
  const stretches = findStretches(signals, drive, scales, torqueLimitSeen(signals, drive));
  const inertia = made.inertia?.value ?? 0;
  if (made.inertia === undefined) findings.push(inertiaLeftOut());
  const tables = tablesOf(made, id);
  const isAtRest = restMask(signals, stretches, scales);
  const given = steadyTorques(signals, torque, stretches, tables, scales, isAtRest);
  const average = stated ?? usualAverage(signals, scales, inertia, made);
  const played = windowMeans(signals, torque, given, inertia, average);
  if (isOpposed(played)) findings.push(playedSign());
  const kinds = kindsOf(stretches, signals, average, tables.forward?.assist ?? tables.reverse?.assist);
  const found = stretchesOf(played, kinds);
  const { moving, beyond } = timesOf(signals, torque, isAtRest, given);
  if (beyond > 0) findings.push(beyondTable(beyond, beyond > 0.02 * moving));
  const { rollerRadius, gearRatio } = drive;
  return {
    verdict: verdictOf(findings),
    findings,
    ...(rollerRadius !== undefined && { forcePerTorque: gearRatio / rollerRadius }),
    average,
    delay,
    offset,
    noise: played.noise,
    beyondTable: beyond,
    time: played.time,
    speed: played.speed,
    without: played.without,
    with: played.with,
    stretches: found,
    summary: summaryOf(played, kinds, found),
  };
}

const refused = (findings: readonly Finding[]): PlayedFeedForward => ({
  verdict: 'refused',
  findings,
  average: 0,
  delay: 0,
  offset: 0,
  noise: 0,
  beyondTable: 0,
  time: new Float64Array(),
  speed: new Float64Array(),
  without: new Float64Array(),
  with: new Float64Array(),
  stretches: [],
  summary: [],
});

/** How late the torque is against the speed [s], as the identification found it. */
function delayOf({ channels }: Identification): number {
  const late = (isTorque: boolean): number =>
    channels.reduce((sum, c) => ((c.role === 'motor-torque') === isTorque ? sum + c.delay : sum), 0);
  return late(true) - late(false);
}

interface Tables {
  readonly forward: FeedForwardTable | undefined;
  readonly reverse: FeedForwardTable | undefined;
}

/** Where nothing but reverse running was recorded, the table that was made is that of reverse. */
const tablesOf = (made: FeedForward, { direction }: Identification): Tables =>
  direction === -1 ? { forward: undefined, reverse: made } : { forward: made, reverse: made.reverse };

/** Below this share of the speed that counts as motion in the recording a shaft is at rest, whatever the noise. */
const stillShare = 0.05;

/** 1 for each sample at rest: the rests of the recording, their ends moved to where the speed leaves its noise. */
function restMask({ speed }: DriveSignals, stretches: readonly Stretch[], scales: Scales): Uint8Array {
  const mask = new Uint8Array(speed.length);
  const still = Math.max(4 * scales.speedNoise, stillShare * scales.restSpeed);
  const isStill = (i: number): boolean => Math.abs(speed[i]) <= still;
  for (const s of stretches) {
    if (s.kind !== 'rest') continue;
    let { start, end } = s;
    while (start < end && !isStill(start)) start++;
    while (end > start && !isStill(end - 1)) end--;
    if (start === end) continue;
    while (start > 0 && isStill(start - 1)) start--;
    while (end < speed.length && isStill(end)) end++;
    mask.fill(1, start, end);
  }
  return mask;
}

/** Drag and assist that the drive would have given at each sample, with sign [N·m]; NaN where there is no table for it. */
function steadyTorques(
  { time, speed }: DriveSignals,
  torque: Float64Array,
  stretches: readonly Stretch[],
  { forward, reverse }: Tables,
  scales: Scales,
  isAtRest: Uint8Array,
): Float64Array {
  const out = new Float64Array(speed.length).fill(Number.NaN);
  // a recording that begins in motion has no start
  let started = Number.NEGATIVE_INFINITY;
  for (const s of stretches)
    for (let i = s.start; i < s.end; i++) {
      const rests = isAtRest[i] === 1;
      if (rests) started = time[i];
      // noise may carry single samples of a slow shaft through zero
      const turning = Math.abs(speed[i]) > scales.restSpeed ? speed[i] : s.level;
      const way = (rests ? torque[i] : turning) < 0 ? -1 : 1;
      const own = way < 0 ? reverse : forward;
      // what holds a shaft at rest is there in both directions, whichever was recorded
      const table = rests || s.kind === 'rest' ? (own ?? forward ?? reverse) : own;
      if (table === undefined || Number.isNaN(torque[i])) continue;
      const size = rests ? 0 : speedInTable(Math.abs(speed[i]), table);
      const assist = table.assist ? assistTorque(table.assist, size, rests ? 0 : time[i] - started) : 0;
      const whole = feedForwardTorque(table, 0, size, 0) + assist;
      out[i] = way * (rests ? Math.min(Math.abs(torque[i]), whole) : whole);
    }
  return out;
}

/** A speed beyond the last row by less than this share is noise on top speed: a drive then holds its last row. */
const reachedTop = 0.01;

function speedInTable(speed: number, { rows }: FeedForwardTable): number {
  const top = rows[rows.length - 1].speed;
  return speed > top && speed <= (1 + reachedTop) * top ? top : speed;
}

/** The shortest usual window whose slope is quiet enough. */
function usualAverage(
  signals: DriveSignals,
  { speedNoise }: Scales,
  inertia: number,
  { rows }: FeedForward,
): number {
  const most = noiseShare * Math.abs(rows[rows.length - 1].torque);
  const quiet = defaultAverages.find((average) => {
    const n = Math.max(fewestSamples, Math.round(average / signals.interval));
    // standard error of the slope of n evenly spaced samples
    return (inertia * speedNoise * Math.sqrt(12 / n ** 3)) / signals.interval <= most;
  });
  return Math.max(quiet ?? defaultAverages[defaultAverages.length - 1], fewestSamples * signals.interval);
}

/** Window means of what was recorded and of what the feed-forward leaves [N·m]. */
export interface WindowMeans {
  readonly time: Float64Array;
  readonly speed: Float64Array;
  readonly without: Float64Array;
  readonly with: Float64Array;
  readonly noise: number;
}

function windowMeans(
  signals: DriveSignals,
  torque: Float64Array,
  given: Float64Array,
  inertia: number,
  average: number,
): WindowMeans {
  const { time, speed, interval } = signals;
  const stride = Math.max(1, Math.floor(average / interval / valuesPerWindow));
  const count = Math.ceil(time.length / stride);
  const empty = (): Float64Array => new Float64Array(count).fill(Number.NaN);
  const out = { time: empty(), speed: empty(), without: empty(), with: empty() };
  const half = 0.5 * average + 1e-6 * interval;
  let noise = 0;
  let start = 0;
  let end = 0;
  for (let k = 0; k < count; k++) {
    const middle = k * stride;
    const t = time[middle];
    out.time[k] = t;
    while (time[start] < t - half) start++;
    while (end < time.length && time[end] <= t + half) end++;
    // both halves must be there, else the window is not about its middle
    if (t - half < time[0] || t + half > time[time.length - 1] || end - start < fewestSamples) continue;
    const { slope, mean } = kernelOf(signals, start, end);
    let [acceleration, meanSpeed, meanTorque, meanGiven] = [0, 0, 0, 0];
    for (let i = start; i < end; i++) {
      const m = mean[i - start];
      acceleration += slope[i - start] * speed[i];
      meanSpeed += m * speed[i];
      meanTorque += m * torque[i];
      meanGiven += m * given[i];
    }
    out.speed[k] = meanSpeed;
    out.without[k] = meanTorque;
    out.with[k] = meanTorque - inertia * acceleration - meanGiven;
    if (noise === 0) noise = noiseOf(slope, mean, inertia * noiseLevel(speed), noiseLevel(torque));
  }
  return { ...out, noise };
}

/** Does the recorded torque point against what was given, on the whole? */
function isOpposed({ without, with: left }: WindowMeans): boolean {
  let product = 0;
  for (let k = 0; k < without.length; k++) {
    const p = without[k] * (without[k] - left[k]);
    if (!Number.isNaN(p)) product += p;
  }
  return product < 0;
}

/** What white noise of the samples [N·m·s, N·m] makes of a window [N·m]. */
function noiseOf(slope: Float64Array, mean: Float64Array, ofSpeed: number, ofTorque: number): number {
  const squares = (weights: Float64Array): number => weights.reduce((sum, w) => sum + w * w, 0);
  return Math.sqrt(ofSpeed ** 2 * squares(slope) + ofTorque ** 2 * squares(mean));
}

/** Time in motion, and the part of it without a row [s]. */
function timesOf(
  { interval, speed }: DriveSignals,
  torque: Float64Array,
  isAtRest: Uint8Array,
  given: Float64Array,
): { moving: number; beyond: number } {
  let moving = 0;
  let beyond = 0;
  for (let i = 0; i < speed.length; i++)
    if (isAtRest[i] === 0 && !Number.isNaN(speed[i] + torque[i])) {
      moving++;
      if (Number.isNaN(given[i])) beyond++;
    }
  return { moving: moving * interval, beyond: beyond * interval };
}
