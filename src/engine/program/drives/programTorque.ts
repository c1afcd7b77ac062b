import type { TorqueParts } from '../../feedforward/rollerTorque.js';
import type { Acceleration, Length, Speed, Torque } from '../../units/quantity.js';
import { stateShare } from '../setpoint.js';
import type { DriveModel } from './driveModel.js';

/**
 * Torque of a drive at the motor as its program runs it [N·m]: the tension of a roll is the share of its schedule that the setpoint asks for at this
 * speed and while the line speeds up or slows down; a torque differential stays as scheduled. D diameter of its roll [m], v web speed [m/s], a
 * acceleration [m/s²], of which the sign tells the state of the line. Source: setpoint.ts and docs/models/drive-torque.md.
 */
export function programTorque(
  model: DriveModel,
  diameter: Length,
  speed: Speed,
  acceleration: Acceleration,
  parts?: TorqueParts,
): Torque {
  const state = acceleration > 0 ? 'accelerating' : acceleration < 0 ? 'decelerating' : 'running';
  const share = model.setpoint === undefined ? 1 : stateShare(model.setpoint, state, speed);
  return model.torque(diameter, speed, acceleration, parts, share);
}
