import type { Drive } from '../line/drive.js';
import { spanOf } from '../recording/quality.js';
import type { DriveSignals } from './signals.js';
import type { Scales } from './stretch.js';

/** Mean of the samples [start, end). */
export function windowMean(values: Float64Array, start: number, end: number): number {
  let sum = 0;
  for (let i = start; i < end; i++) sum += values[i];
  return sum / (end - start);
}

/** Tension counts as web on when its torque at the roller exceeds this share of the torque span. */
const tensionShare = 0.03;

/**
 * True when the recording was made with the web on: tension is there while the drive runs, or the drive file states a web
 * and the line speed was recorded without a tension.
 */
export function isWebOn(signals: DriveSignals, drive: Drive, scales: Scales): boolean {
  const { tension, speed, lineSpeed, diameter } = signals;
  if (tension === undefined)
    return lineSpeed !== undefined && (drive.web !== undefined || diameter !== undefined);
  const running: number[] = [];
  const stride = Math.max(1, Math.floor(speed.length / 10_000));
  for (let i = 0; i < speed.length; i += stride)
    if (Math.abs(speed[i]) > scales.restSpeed && !Number.isNaN(tension[i])) running.push(tension[i]);
  if (running.length === 0) return false;
  running.sort((a, b) => a - b);
  const usual = running[running.length >> 1];
  const radius =
    drive.rollerRadius ?? (diameter === undefined ? drive.coreRadius : 0.5 * spanOf(diameter)) ?? 0;
  return (usual * radius) / drive.gearRatio > tensionShare * scales.torqueSpan;
}

/** Roll radius over time [m]: from the diameter column, else line speed over roll speed while both run. */
export function rollRadius(signals: DriveSignals, drive: Drive): Float64Array | undefined {
  const { diameter, lineSpeed, speed } = signals;
  if (diameter !== undefined) return diameter.map((d) => 0.5 * d);
  if (lineSpeed === undefined) return undefined;
  const floor = 0.05 * spanOf(lineSpeed);
  return lineSpeed.map((v, i) =>
    Math.abs(v) > floor ? (Math.abs(v) * drive.gearRatio) / Math.abs(speed[i]) : Number.NaN,
  );
}

/**
 * Motor torque less what the web tension asks for [N·m]: a winder pulls the web (T·R/i is in the torque), an unwind is
 * pulled by it (T·R/i is missing from it). A roll that runs in reverse pulls in reverse. No efficiency: it flips with the
 * power flow and is part of the apparent drag. Undefined without tension or radius.
 */
export function tensionTorque(
  signals: DriveSignals,
  drive: Drive,
  radius: Float64Array | undefined,
): Float64Array | undefined {
  const { torque, tension, speed } = signals;
  if (torque === undefined || tension === undefined || radius === undefined) return undefined;
  // One way for the whole recording: the tension pulls on while the roll stands.
  const way = speed.reduce((sum, w) => (Number.isNaN(w) ? sum : sum + w), 0) < 0 ? -1 : 1;
  const sign = drive.element === 'winder' ? -way : way;
  return torque.map((m, i) => m + (sign * tension[i] * radius[i]) / drive.gearRatio);
}
