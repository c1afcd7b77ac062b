import type { Drive } from '../line/drive.js';
import { noiseLevel } from '../recording/segment.js';
import type { DriveSignals } from './signals.js';
import { lineThrough, type Scales, type Stretch } from './stretch.js';

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
  // Without torque and enable signal a fall of the speed may be a braked stop, unless it is all that was recorded.
  if (torque === undefined) return { mask: rises(speed, scales) ? mask : mask.fill(1), byEnable: false };
  const rated = drive.ratedTorque ?? 0;
  const band = Math.max(0.01 * scales.torqueSpan, 0.005 * rated);
  // Means of a few samples: noise of a live reading must not end a coast-down.
  const mean = runningMean(torque, 4);
  for (let i = 0; i < mask.length; i++) mask[i] = Math.abs(mean[i]) <= band ? 1 : 0;
  return { mask, byEnable: false };
}

/** Mean over 2·half + 1 samples around each; gaps are left out, NaN where there is nothing else. */
function runningMean(values: Float64Array, half: number): Float64Array {
  const mean = new Float64Array(values.length);
  let sum = 0;
  let n = 0;
  const take = (i: number, sign: 1 | -1): void => {
    if (i < 0 || i >= values.length || Number.isNaN(values[i])) return;
    sum += sign * values[i];
    n += sign;
  };
  for (let i = 0; i < half; i++) take(i, 1);
  for (let i = 0; i < values.length; i++) {
    take(i + half, 1);
    take(i - half - 1, -1);
    mean[i] = n > 0 ? sum / n : Number.NaN;
  }
  return mean;
}

/** Rise of the speed magnitude, as a share of the range, that shows that the drive was on. */
const poweredRise = 0.05;

/** True when the speed magnitude rises clearly anywhere, block means of ten samples. */
function rises(speed: Float64Array, scales: Scales): boolean {
  const block = 10;
  let lowest = Number.POSITIVE_INFINITY;
  for (let i = 0; i + block <= speed.length; i += block) {
    let sum = 0;
    for (let k = i; k < i + block; k++) sum += Math.abs(speed[k]);
    const mean = sum / block;
    if (mean - lowest > poweredRise * scales.range) return true;
    lowest = Math.min(lowest, Number.isNaN(mean) ? lowest : mean);
  }
  return false;
}

/** Coast-downs: runs of the off mask in which the speed falls by at least 5 % of the range without a rise. */
export function coastDowns(signals: DriveSignals, drive: Drive, scales: Scales): Stretch[] {
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
    if (
      run !== undefined &&
      run.end - run.start >= 10 &&
      (byEnable || isSilent(signals, run, drive, scales))
    ) {
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
function isSilent(
  signals: DriveSignals,
  run: { start: number; end: number },
  drive: Drive,
  scales: Scales,
): boolean {
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
  // A tenth of a percent of rated is as fine as drives state torque.
  const allowed = Math.max(
    0.001 * scales.torqueSpan,
    0.001 * (drive.ratedTorque ?? 0),
    (4 * noise) / Math.sqrt(third),
  );
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
