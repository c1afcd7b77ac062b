import type { AngularSpeed, Torque, TorqueFraction } from '../units/quantity.js';

/** What a row of a program asks of one motor: steady running at a web speed, and with the line speeding up and slowing down. */
export interface MotorRow {
  /** Name of the motor's roller. */
  readonly name: string;
  readonly speed: AngularSpeed;
  readonly torque: Torque;
  /** Share of the rated torque [1]; undefined while that is not stated. */
  readonly fraction?: TorqueFraction;
  readonly accelerating?: Torque;
  readonly decelerating?: Torque;
}
