import type { LineDrive, Unknown } from '../../feedforward/lineDrive.js';
import type { TorqueParts } from '../../feedforward/rollerTorque.js';
import type { Section } from '../../line/line.js';
import type { Acceleration, AngularSpeed, Inertia, Length, Speed, Torque } from '../../units/quantity.js';

/** What a drive's torque leaves out, because it is not known. */
export type Missing = Unknown | 'tension' | 'radius' | 'roll inertia' | 'torque differential';

/** A drive with what turns with it, at its roller. */
export interface StoppingBody {
  /** All that turns, the motor's with the gear ratio squared in it. */
  readonly inertia: Inertia;
  readonly radius: Length;
  /** Torque of the web [N·m] with the sign of what it does to the rotation: positive at an unwind, which it pulls on. */
  readonly webTorque: Torque;
}

/** One drive of the line with the torque that it needs at every working point. */
export interface DriveModel {
  /** Name of its roller. */
  readonly name: string;
  readonly section: Section;
  readonly drive: LineDrive;
  /** The roll that its torque depends on; undefined for a roller whose torque is the same at every diameter. */
  readonly roll?: 'winder' | 'unwind';
  readonly missing: readonly Missing[];
  /**
   * Torque at the motor [N·m] at a diameter of its roll [m], a web speed [m/s] and an acceleration [m/s²]. `parts` are filled in when given; no
   * call allocates. NaN when the radius of its surface is not known.
   */
  torque(diameter: Length, speed: Speed, acceleration: Acceleration, parts?: TorqueParts): Torque;
  /** What a stop has to bring to rest, at a diameter of its roll [m]. */
  stopping(diameter: Length): StoppingBody;
  /** Speed of the motor [rad/s] at a diameter of its roll [m] and a web speed [m/s]. */
  motorSpeed(diameter: Length, speed: Speed): AngularSpeed;
}

/** Choices that change what a torque holds. */
export interface TorqueOptions {
  /**
   * True adds the term J̇·ω of a roll, which the momentum of the web cancels: only for comparing with papers that carry it. Its size is basis weight
   * times width times the square of the speed, as a tension. Left out by default.
   */
  readonly momentumTerm?: boolean;
}
