import { peakTorqueAt, powerFlowAllowed, torqueCurrentFraction } from '../../line/motor.js';
import type { Acceleration, Length, Speed } from '../../units/quantity.js';
import type { DriveModel } from './driveModel.js';

/** Working points of a map: every combination counts. */
export interface MapGrid {
  /** Diameters of the roll; a roller whose torque depends on no roll is computed once. */
  readonly diameters: readonly Length[];
  readonly speeds: readonly Speed[];
  readonly accelerations: readonly Acceleration[];
}

/**
 * Torque of one drive over a grid. Entry (d, v, a) stands at (d·speeds + v)·accelerations + a; `diameters` is empty for a roller whose torque is
 * the same at every diameter, and the map then has one layer. For the parts of a torque ask the model at the points that are shown.
 */
export interface DriveMap {
  readonly model: DriveModel;
  readonly diameters: readonly Length[];
  readonly speeds: readonly Speed[];
  readonly accelerations: readonly Acceleration[];
  /** At the motor [N·m]; over the rated torque of `model.drive.motor` it is the fraction of rated. */
  readonly torque: Float64Array;
  /** Torque current as a signed fraction of rated, above base speed more than the torque [1]; NaN without a motor. */
  readonly currentFraction: Float64Array;
  /** Short-time torque that is there in that direction less what is asked for [N·m]; NaN without a motor. */
  readonly margin: Float64Array;
}

/** Torques of a drive at every working point of a grid, and what the motor has left [N·m]. Source: docs/models/drive-torque.md. */
export function driveMap(model: DriveModel, grid: MapGrid): DriveMap {
  const diameters = model.roll === undefined ? [] : grid.diameters;
  const { speeds, accelerations } = grid;
  const size = Math.max(1, diameters.length) * speeds.length * accelerations.length;
  const torque = new Float64Array(size);
  const currentFraction = new Float64Array(size);
  const margin = new Float64Array(size);
  const rates = Float64Array.from(accelerations);
  const { motor } = model.drive;
  for (let row = 0; row * rates.length < size; row++) {
    const diameter = diameters[Math.floor(row / speeds.length)] ?? Number.NaN;
    const speed = speeds[row % speeds.length];
    const from = row * rates.length;
    model.overAccelerations(diameter, speed, rates, torque, from);
    const motorSpeed = model.motorSpeed(diameter, speed);
    // What depends on the speed of the motor alone is taken out of the inner loop.
    const peak = motor === undefined ? Number.NaN : peakTorqueAt(motor, motorSpeed);
    const perTorque = motor === undefined ? Number.NaN : torqueCurrentFraction(motor, 1, motorSpeed);
    for (let at = from; at < from + rates.length; at++) {
      const t = torque[at];
      const available = motor === undefined || powerFlowAllowed(motor, t, motorSpeed) ? peak : 0;
      margin[at] = available - Math.abs(t);
      currentFraction[at] = t * perTorque;
    }
  }
  return { model, diameters, speeds, accelerations, torque, currentFraction, margin };
}
