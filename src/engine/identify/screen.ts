import type { Finding } from '../findings.js';
import type { Drive } from '../line/drive.js';
import { spanOf, spikeIndices } from '../recording/quality.js';
import { noiseLevel } from '../recording/segment.js';
import type { DriveSignals } from './signals.js';
import type { Scales, Stretch } from './stretch.js';

/** A jump counts as a spike from this share of the channel's span. */
const spikeShare = 0.08;

/** The signals with single-sample spikes made gaps, and a finding that says how many there were. */
export function withoutSpikes(signals: DriveSignals, findings: Finding[]): DriveSignals {
  const cleaned: { speed: Float64Array; torque?: Float64Array } = {
    speed: signals.speed,
    torque: signals.torque,
  };
  for (const name of ['speed', 'torque'] as const) {
    const values = cleaned[name];
    if (values === undefined) continue;
    // Noise of a channel that does nothing else spans its whole range; that is no spike.
    const at = spikeIndices(values, Math.max(spikeShare * spanOf(values), 8 * noiseLevel(values)));
    if (at.length === 0) continue;
    const copy = values.slice();
    for (const i of at) copy[i] = Number.NaN;
    cleaned[name] = copy;
    findings.push({
      code: 'spikes',
      severity: 'warn',
      message: `${at.length} single samples of the ${name} jump away and back; they were left out`,
      where: {
        channel: name === 'speed' ? signals.speedFrom : 'motor-torque',
        first_s: signals.time[at[0]],
        count: at.length,
      },
      next: 'look at the wiring, the telegram or the export of this channel if there are many',
    });
  }
  return { ...signals, ...cleaned };
}

/** A shaft that never passes this share of its top speed does not move: what shows is noise or twist. */
const stillShare = 0.002;

/** Largest mean speed magnitude over blocks of 20 samples [rad/s]: motion without the noise of single samples. */
function largestBlockMean(speed: Float64Array): number {
  const block = 20;
  let largest = 0;
  for (let i = 0; i + block <= speed.length; i += block) {
    let sum = 0;
    for (let k = i; k < i + block; k++) sum += speed[k];
    const mean = Math.abs(sum) / block;
    if (mean > largest) largest = mean;
  }
  return largest;
}

/**
 * Refuses a recording without motion: stalled when torque was applied all the same. Returns true when there is motion.
 */
export function checkMotion(
  signals: DriveSignals,
  drive: Drive,
  scales: Scales,
  findings: Finding[],
): boolean {
  const noise = noiseLevel(signals.speed);
  if (largestBlockMean(signals.speed) > Math.max(2 * noise, stillShare * (drive.maxMotorSpeed ?? 0)))
    return true;
  const pushed = scales.torqueSpan > 0.02 * (drive.ratedTorque ?? 0);
  findings.push(
    pushed
      ? {
          code: 'stalled',
          severity: 'refuse',
          message: `torque up to ${scales.torqueSpan.toPrecision(3)} N·m was applied and the shaft did not turn`,
          where: { speedMax_rad_per_s: scales.range },
          next: 'check brake, lock and coupling; then repeat the recording with the roller free to turn',
        }
      : {
          code: 'too_short',
          severity: 'refuse',
          message: 'the shaft does not move in this recording',
          where: { speedMax_rad_per_s: scales.range },
          next: 'record while the drive runs: plateaus at several speeds, ramps between them, a coast-down',
        },
  );
  return false;
}

/** Smallest agreeing share of samples that makes two signs a contradiction. */
const contradiction = 0.05;

/**
 * Refuses a speed column that holds a magnitude although the shaft ran both ways: the reference says so, or the same
 * speed is held once with driving and once with opposite torque. Returns true when the sign can be trusted.
 */
export function checkSpeedSign(
  signals: DriveSignals,
  stretches: readonly Stretch[],
  scales: Scales,
  findings: Finding[],
): boolean {
  const { speed, reference, torque, time } = signals;
  let negative = 0;
  let moving = 0;
  let contradicted = 0;
  for (let i = 0; i < speed.length; i++) {
    if (!(Math.abs(speed[i]) > scales.restSpeed)) continue;
    moving++;
    if (speed[i] < 0) negative++;
    else if (reference !== undefined && reference[i] < -scales.restSpeed) contradicted++;
  }
  if (negative > 0.002 * moving) return true;
  const byReference = contradicted > contradiction * moving;
  if (!byReference && !(torque !== undefined && steadyTorqueOfBothSigns(torque, time, stretches, scales)))
    return true;
  findings.push({
    code: 'unsigned_speed',
    severity: 'refuse',
    message: byReference
      ? 'the speed column is never negative although the reference runs both ways: it holds a magnitude'
      : 'the same steady speeds are held with torque of both signs: the speed column seems to hold a magnitude of a recording that runs both ways',
    where: { channel: signals.speedFrom, samples: contradicted },
    next: 'export the signed speed, or cut the recording to one direction of rotation',
  });
  return false;
}

/** True when plateaus need clearly positive and clearly negative torque, each for a fair share of the steady time. */
function steadyTorqueOfBothSigns(
  torque: Float64Array,
  time: Float64Array,
  stretches: readonly Stretch[],
  scales: Scales,
): boolean {
  const plateaus = stretches
    .filter((s) => s.kind === 'plateau' && Math.abs(s.level) > 0.05 * scales.range)
    .map((s) => {
      let sum = 0;
      let n = 0;
      for (let i = s.start; i < s.end; i++)
        if (!Number.isNaN(torque[i])) {
          sum += torque[i];
          n++;
        }
      return { mean: sum / n, weight: time[s.end - 1] - time[s.start] };
    });
  const plus = plateaus.filter((p) => p.mean > 0);
  const minus = plateaus.filter((p) => p.mean < 0);
  if (plus.length < 2 || minus.length < 2) return false;
  const weight = (list: typeof plateaus): number => list.reduce((a, p) => a + p.weight, 0);
  const size = (list: typeof plateaus): number =>
    list.reduce((a, p) => a + p.weight * Math.abs(p.mean), 0) / weight(list);
  const fair = Math.min(weight(plus), weight(minus)) > 0.2 * weight(plateaus);
  return fair && Math.min(size(plus), size(minus)) > 0.3 * Math.max(size(plus), size(minus));
}
