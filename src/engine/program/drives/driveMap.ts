import { emptyMotorDemand, type MotorDemand, motorDemand } from '../../line/motor.js';
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
 * the same at every diameter, and the map then has one layer.
 */
export interface DriveMap {
  readonly model: DriveModel;
  readonly diameters: readonly Length[];
  readonly speeds: readonly Speed[];
  readonly accelerations: readonly Acceleration[];
  /** At the motor [N·m]. */
  readonly torque: Float64Array;
  /** Short-time torque that is there in that direction less what is asked for [N·m]; NaN without a motor. */
  readonly margin: Float64Array;
}

/** Torques of a drive at every working point of a grid, and what the motor has left [N·m]. Source: docs/models/drive-torque.md. */
export function driveMap(model: DriveModel, grid: MapGrid): DriveMap {
  const diameters = model.roll === undefined ? [] : grid.diameters;
  const layers = Math.max(1, diameters.length);
  const { speeds, accelerations } = grid;
  const torque = new Float64Array(layers * speeds.length * accelerations.length);
  const margin = new Float64Array(torque.length);
  const demand: MotorDemand = emptyMotorDemand();
  const { motor } = model.drive;
  let at = 0;
  for (let d = 0; d < layers; d++) {
    const diameter = diameters[d] ?? Number.NaN;
    for (const speed of speeds) {
      const motorSpeed = model.motorSpeed(diameter, speed);
      for (const acceleration of accelerations) {
        const t = model.torque(diameter, speed, acceleration);
        torque[at] = t;
        margin[at] = motor === undefined ? Number.NaN : motorDemand(motor, t, motorSpeed, demand).margin;
        at++;
      }
    }
  }
  return { model, diameters, speeds, accelerations, torque, margin };
}
