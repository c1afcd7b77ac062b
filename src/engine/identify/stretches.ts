import type { Drive } from '../line/drive.js';
import { atLimit, flatTop, spanOf } from '../recording/quality.js';
import { noiseLevel, type Piece, straightPieces } from '../recording/segment.js';
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

/**
 * Fractions of the speed range. Ours: chosen so that a plateau's own drift stays well below the 2.5 % that a drag curve
 * is asked to hold, and that a low plateau at 1 % of top speed is still told from standstill.
 */
const straightness = 0.0015;
const plateauChange = 0.01;
const rampChange = 0.02;
const restFraction = 0.003;
const fewestPlateauSamples = 8;

export function scalesOf(signals: DriveSignals, drive: Drive): Scales {
  const range = spanOf(signals.speed);
  const speedNoise = noiseLevel(signals.speed);
  const top = Math.max(range, drive.maxMotorSpeed ?? 0);
  return {
    range,
    restSpeed: Math.max(Math.min(restFraction * top, 0.1 * range), Math.min(4 * speedNoise, 0.05 * range)),
    speedNoise,
    torqueSpan: signals.torque ? spanOf(signals.torque) : 0,
  };
}

function classify(piece: Piece, scales: Scales): Stretch {
  const { range, restSpeed } = scales;
  const duration = piece.to - piece.from;
  const change = Math.abs(piece.slope) * duration;
  const fastest = Math.abs(piece.level) + change / 2;
  const samples = piece.end - piece.start;
  const base = { start: piece.start, end: piece.end, level: piece.level, slope: piece.slope };
  if (fastest <= restSpeed)
    return { ...base, kind: 'rest', used: false, why: 'no motion: drag cannot act here' };
  if (
    change <= plateauChange * range &&
    samples >= fewestPlateauSamples &&
    Math.abs(piece.level) > restSpeed
  ) {
    const why = `speed steady at ${piece.level.toPrecision(4)} rad/s for ${duration.toPrecision(3)} s`;
    return { ...base, kind: 'plateau', used: true, why };
  }
  if (change >= rampChange * range) {
    const why = `speed changes at ${piece.slope.toPrecision(4)} rad/s² for ${duration.toPrecision(3)} s`;
    return { ...base, kind: 'ramp', used: true, why };
  }
  return {
    ...base,
    kind: 'excluded',
    used: false,
    why: 'settling between two states: too short or too bent to use',
  };
}

/** True when two neighbours are one state: the same plateau, the same ramp, or both still. */
function belongTogether(a: Stretch, b: Stretch, scales: Scales): boolean {
  if (a.kind !== b.kind || a.end !== b.start) return false;
  if (a.kind === 'plateau') return Math.abs(a.level - b.level) <= plateauChange * scales.range;
  if (a.kind === 'ramp')
    return a.slope * b.slope > 0 && Math.abs(a.slope - b.slope) <= 0.35 * Math.abs(a.slope);
  return true;
}

function joinNeighbours(stretches: Stretch[], signals: DriveSignals, scales: Scales): Stretch[] {
  const joined: Stretch[] = [];
  for (const s of stretches) {
    const last = joined[joined.length - 1];
    if (last === undefined || !belongTogether(last, s, scales)) {
      joined.push({ ...s });
      continue;
    }
    const whole = { start: last.start, end: s.end, ...lineThrough(signals, last.start, s.end) };
    const piece: Piece = {
      ...whole,
      from: signals.time[whole.start],
      to: signals.time[whole.end - 1],
      rms: 0,
    };
    // Joining may turn two plateaus that creep the same way into a slow ramp; classify the whole afresh.
    joined[joined.length - 1] = last.kind === 'excluded' ? { ...last, end: s.end } : classify(piece, scales);
  }
  return joined;
}

/** A transition of fewer samples than this is taken as one: its pieces are too few to be judged one by one. */
const shortTransition = 16;
/** A steady piece shorter than this share of the usual plateau is a turning point of the speed, not a plateau. */
const shortPlateauShare = 0.15;

/** Takes turning points out of the plateaus and joins the pieces of a short transition into one ramp. */
function tidyTransitions(stretches: readonly Stretch[], signals: DriveSignals, scales: Scales): Stretch[] {
  const plateaus = stretches
    .filter((s) => s.kind === 'plateau')
    .sort((a, b) => a.end - a.start - (b.end - b.start));
  const total = plateaus.reduce((n, s) => n + s.end - s.start, 0);
  // Median weighted by length, so that many short turning points do not outvote the plateaus.
  let usual = 0;
  for (let sum = 0, k = 0; k < plateaus.length && sum < 0.5 * total; k++) {
    usual = plateaus[k].end - plateaus[k].start;
    sum += usual;
  }
  const isAnchor = (s: Stretch): boolean =>
    s.kind === 'rest' || (s.kind === 'plateau' && s.end - s.start >= shortPlateauShare * usual);
  const out: Stretch[] = [];
  let k = 0;
  while (k < stretches.length) {
    if (isAnchor(stretches[k])) {
      out.push(stretches[k++]);
      continue;
    }
    let stop = k;
    while (
      stop < stretches.length &&
      !isAnchor(stretches[stop]) &&
      (stop === k || stretches[stop - 1].end === stretches[stop].start)
    )
      stop++;
    out.push(...transition(stretches.slice(k, stop), signals, scales));
    k = stop;
  }
  return out;
}

function transition(pieces: readonly Stretch[], signals: DriveSignals, scales: Scales): Stretch[] {
  const start = pieces[0].start;
  const end = pieces[pieces.length - 1].end;
  if (end - start >= shortTransition)
    return pieces.map((s) =>
      s.kind === 'plateau'
        ? { ...s, kind: 'excluded', used: false, why: 'the speed turns here: too short for a plateau' }
        : s,
    );
  const line = lineThrough(signals, start, end);
  const change = Math.abs(signals.speed[end - 1] - signals.speed[start]);
  if (change < rampChange * scales.range) return [...pieces];
  const why = `speed changes by ${change.toPrecision(3)} rad/s within ${end - start} samples`;
  return [{ kind: 'ramp', start, end, ...line, used: true, why }];
}

/** Mean and least-squares slope of the speed over [start, end). */
function lineThrough(signals: DriveSignals, start: number, end: number): { level: number; slope: number } {
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

/**
 * Samples during which the drive is off: by its enable signal, or, without one, where the torque column reads nothing
 * (within 1 % of its span and 0.5 % of rated) while the speed falls.
 */
function offMask(
  signals: DriveSignals,
  drive: Drive,
  scales: Scales,
): { mask: Uint8Array; byEnable: boolean } {
  const { enabled, torque, speed } = signals;
  const mask = new Uint8Array(speed.length);
  if (enabled !== undefined) {
    for (let i = 0; i < mask.length; i++) mask[i] = enabled[i] < 0.5 ? 1 : 0;
    if (mask.includes(0) || torque === undefined) return { mask, byEnable: true };
    mask.fill(0);
  }
  if (torque === undefined) return { mask: mask.fill(1), byEnable: false };
  const rated = drive.ratedTorque ?? 0;
  const band = Math.max(0.01 * scales.torqueSpan, 0.005 * rated);
  for (let i = 0; i < mask.length; i++) mask[i] = Math.abs(torque[i]) <= band ? 1 : 0;
  return { mask, byEnable: false };
}

/** Coast-downs: runs of the off mask in which the speed falls by at least 5 % of the range without a rise. */
function coasts(signals: DriveSignals, drive: Drive, scales: Scales): Stretch[] {
  const { mask, byEnable } = offMask(signals, drive, scales);
  const found: Stretch[] = [];
  const { speed, time } = signals;
  let start = -1;
  // A single noisy torque sample does not end a coast-down.
  const bridge = 2;
  let misses = 0;
  for (let i = 0; i <= mask.length; i++) {
    const off = i < mask.length && mask[i] === 1 && Math.abs(speed[i]) > scales.restSpeed;
    if (off) {
      if (start < 0) start = i;
      misses = 0;
      continue;
    }
    if (start < 0 || (i < mask.length && ++misses <= bridge && Math.abs(speed[i]) > scales.restSpeed))
      continue;
    const end = i - Math.min(misses, i < mask.length ? misses - 1 : misses);
    const run = fallingRun(speed, start, end, byEnable ? enabledFall : silentFall, scales);
    if (run !== undefined && run.end - run.start >= 10 && (byEnable || isSilent(signals, run, scales))) {
      const line = lineThrough(signals, run.start, run.end);
      const span = time[run.end - 1] - time[run.start];
      const reason = byEnable ? 'the drive is off' : 'the torque reads zero';
      found.push({
        kind: 'coast',
        ...run,
        ...line,
        used: true,
        why: `${reason} and the speed falls for ${span.toPrecision(3)} s`,
      });
    }
    start = -1;
    misses = 0;
  }
  return found;
}

/**
 * Share of the speed range by which the speed must fall: little when the enable signal says so; much when only the torque
 * tells, since a braking ramp on which drag and inertia happen to balance reads about zero for a while too.
 */
const enabledFall = 0.05;
const silentFall = 0.3;

/** True when the torque does not move over a run: what a column reads of a drive that is off. No torque column: true. */
function isSilent(signals: DriveSignals, run: { start: number; end: number }, scales: Scales): boolean {
  const { torque } = signals;
  if (torque === undefined) return true;
  const third = Math.floor((run.end - run.start) / 3);
  const mean = (from: number): number => {
    let sum = 0;
    let n = 0;
    for (let i = from; i < from + third; i++) {
      if (Number.isNaN(torque[i])) continue;
      sum += torque[i];
      n++;
    }
    return n > 0 ? sum / n : 0;
  };
  const means = [mean(run.start), mean(run.start + third), mean(run.end - third)];
  const noise = noiseLevel(torque.subarray(run.start, run.end));
  // What the drive would need to read while it brakes changes with the drag; what it reads while off does not.
  const allowed = Math.max(0.001 * scales.torqueSpan, (4 * noise) / Math.sqrt(third));
  return Math.max(...means) - Math.min(...means) <= allowed;
}

/** The part of [start, end) in which the speed magnitude falls, if it falls by at least a share of the range. */
function fallingRun(
  speed: Float64Array,
  start: number,
  end: number,
  share: number,
  scales: Scales,
): { start: number; end: number } | undefined {
  let top = start;
  let smoothedTop = 0;
  const half = Math.max(1, Math.min(5, Math.floor((end - start) / 20)));
  const smooth = (i: number): number => {
    let sum = 0;
    let n = 0;
    for (let k = Math.max(start, i - half); k <= Math.min(end - 1, i + half); k++) {
      if (Number.isNaN(speed[k])) continue;
      sum += Math.abs(speed[k]);
      n++;
    }
    return n > 0 ? sum / n : Number.NaN;
  };
  for (let i = start; i < end; i++) {
    const v = smooth(i);
    if (v > smoothedTop) {
      smoothedTop = v;
      top = i;
    }
  }
  const bottom = smooth(end - 1);
  // The fall begins at the last sample near the top: a plateau before it with the drive idle is not part of it.
  let begin = top;
  while (begin < end - 1 && smooth(begin) > smoothedTop - 0.002 * scales.range) begin++;
  return smoothedTop - bottom >= share * scales.range ? { start: begin, end } : undefined;
}

/** What is left of a stretch; too little of it is no use. */
function remainder(s: Stretch, start: number, end: number): Stretch {
  if (end - start >= fewestPlateauSamples) return { ...s, start, end };
  const why = 'settling between two states: too short or too bent to use';
  return { ...s, start, end, kind: 'excluded', used: false, why };
}

/** Replaces what lies under `over` by it, keeping the remainders of partly covered stretches. */
function overlay(stretches: Stretch[], over: Stretch): Stretch[] {
  const out: Stretch[] = [];
  for (const s of stretches) {
    if (s.end <= over.start || s.start >= over.end) {
      out.push(s);
      continue;
    }
    if (s.start < over.start) out.push(remainder(s, s.start, over.start));
    if (s.end > over.end) out.push(remainder(s, over.end, s.end));
  }
  out.push(over);
  return out.sort((a, b) => a.start - b.start);
}

/** Largest torque magnitude that counts as the limit [N·m], by the drive file or by a flat top; undefined when never near. */
export function torqueLimitSeen(signals: DriveSignals, drive: Drive): number | undefined {
  if (signals.torque === undefined) return undefined;
  const span = spanOf(signals.torque, 0);
  if (drive.ratedTorque !== undefined && drive.torqueLimit !== undefined) {
    const limit = drive.ratedTorque * drive.torqueLimit;
    if (span >= 0.985 * limit) return limit;
  }
  const noise = noiseLevel(signals.torque);
  // A quantised steady torque is flat too, so a flat top only counts far above the noise and for a good run.
  return flatTop(signals.torque, Math.max(1e-9 * span, Math.min(noise, 0.002 * span)), 12);
}

/** Marks stretches that sit at the torque limit as excluded: there the column may be clipped. */
function excludeSaturation(stretches: Stretch[], signals: DriveSignals, limit: number): Stretch[] {
  const mask = atLimit(signals.torque as Float64Array, limit, 0.015 * limit, 3);
  let out = stretches;
  let start = -1;
  for (let i = 0; i <= mask.length; i++) {
    if (i < mask.length && mask[i] === 1) {
      if (start < 0) start = i;
    } else if (start >= 0) {
      const line = lineThrough(signals, start, i);
      const why = `torque at its limit of ${limit.toPrecision(4)} N·m: what the machine asked for is not in the column`;
      out = overlay(out, { kind: 'excluded', start, end: i, ...line, used: false, why });
      start = -1;
    }
  }
  return out;
}

/** Gaps: samples that no stretch covers become excluded stretches, so that the list covers the whole recording. */
function fillGaps(stretches: Stretch[], samples: number): Stretch[] {
  const out: Stretch[] = [];
  let at = 0;
  const gap = (start: number, end: number): void => {
    if (end > start)
      out.push({
        kind: 'excluded',
        start,
        end,
        level: Number.NaN,
        slope: Number.NaN,
        used: false,
        why: 'samples are missing',
      });
  };
  for (const s of stretches) {
    gap(at, s.start);
    out.push(s);
    at = s.end;
  }
  gap(at, samples);
  return out;
}

/**
 * The recording as a list of stretches in order, covering every sample: rest, plateau, ramp, coast, excluded. Breakaway
 * ramps are found later, inside the rests. Uses the speed itself, so it works with and without a speed reference.
 */
export function findStretches(
  signals: DriveSignals,
  drive: Drive,
  scales: Scales,
  saturationLimit: number | undefined,
): Stretch[] {
  const pieces = straightPieces(signals.time, signals.speed, { tolerance: straightness * scales.range });
  const joined = joinNeighbours(
    pieces.map((p) => classify(p, scales)),
    signals,
    scales,
  );
  let stretches = tidyTransitions(joined, signals, scales);
  for (const coast of coasts(signals, drive, scales)) stretches = overlay(stretches, coast);
  if (saturationLimit !== undefined) stretches = excludeSaturation(stretches, signals, saturationLimit);
  return fillGaps(stretches, signals.speed.length);
}
