import type { Drive } from '../line/drive.js';
import { atLimit, flatTop, spanOf } from '../recording/quality.js';
import { noiseLevel, type Piece, straightPieces } from '../recording/segment.js';
import { coastDowns } from './coastDowns.js';
import type { DriveSignals } from './signals.js';
import { lineThrough, type Scales, type Stretch } from './stretch.js';

/**
 * Fractions of the speed range. Ours: chosen so that a plateau's own drift stays well below the 2.5 % that a drag curve
 * is asked to hold, and that a low plateau at 1 % of top speed is still told from standstill.
 */
const straightness = 0.0015;
const plateauChange = 0.01;
const rampChange = 0.02;
const restFraction = 0.003;
/** Fewer samples than this are no plateau and no ramp. */
export const fewestPlateauSamples = 8;

/** The scales of a recording: what counts as still, steady and moving in it. Speeds [rad/s], torque [N·m]. */
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

/** What a straight piece of the speed is: steady, changing, still, or neither. Not a relation [1]. Source: the shares above. */
export function classify(piece: Piece, scales: Scales): Stretch {
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

/** What is left of a stretch; too little of it is no use. */
function remainder(s: Stretch, start: number, end: number): Stretch {
  if (end - start >= fewestPlateauSamples) return { ...s, start, end };
  const why = 'settling between two states: too short or too bent to use';
  return { ...s, start, end, kind: 'excluded', used: false, why };
}

/** Replaces what lies under `over` by it, keeping the remainders of partly covered stretches. Not a relation [1]. Source: definition. */
export function overlay(stretches: Stretch[], over: Stretch): Stretch[] {
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
  for (const coast of coastDowns(signals, drive, scales)) stretches = overlay(stretches, coast);
  if (saturationLimit !== undefined) stretches = excludeSaturation(stretches, signals, saturationLimit);
  return fillGaps(stretches, signals.speed.length);
}
