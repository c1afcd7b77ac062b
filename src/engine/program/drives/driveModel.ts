import type { LineDrive, Unknown } from '../../feedforward/lineDrive.js';
import type { TorqueParts } from '../../feedforward/rollerTorque.js';
import type { Section } from '../../line/line.js';
import type {
  Acceleration,
  AngularSpeed,
  Inertia,
  Length,
  Ratio,
  Speed,
  Torque,
} from '../../units/quantity.js';
import type { SetpointProgram } from '../product.js';

/** What a drive's torque leaves out, because it is not known. */
export type Missing =
  | Unknown
  | 'tension'
  /** Several motors hold one step of tension, and nobody has stated how they share it. */
  | 'share of the tension'
  | 'radius'
  | 'roll inertia'
  | 'core inertia'
  /** Bearings of a roll without a motor of its own. */
  | 'roll drag'
  | 'torque differential'
  /** A winder of two motors of which one is not there. */
  | 'second motor';

/** True when a stop and a speed ramp can be judged: all that turns is known, but for the gearbox. Source: definition. */
export const knowsInertia = ({ missing }: DriveModel): boolean =>
  !missing.some(
    (m) => m === 'inertia' || m === 'motor inertia' || m === 'roll inertia' || m === 'core inertia',
  );

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
  /** Shares of the roll's scheduled tension by state of the line; undefined for a roller without a roll. */
  readonly setpoint?: SetpointProgram;
  readonly missing: readonly Missing[];
  /**
   * Torque at the motor [N·m] at a diameter of its roll [m], a web speed [m/s] and an acceleration [m/s²]. `parts` are filled in when given; no
   * call allocates. NaN when the radius of its surface is not known. `tensionShare` is that of the scheduled tension which the setpoint of the
   * roll asks for [1], 1 when left out; a roller without a roll holds the tensions that the line states.
   */
  torque(
    diameter: Length,
    speed: Speed,
    acceleration: Acceleration,
    parts?: TorqueParts,
    tensionShare?: Ratio,
  ): Torque;
  /** {@link torque} over many accelerations at once [N·m], written into `into` from `offset` on: the inner loop of a map. */
  overAccelerations(
    diameter: Length,
    speed: Speed,
    accelerations: Float64Array,
    into: Float64Array,
    offset: number,
  ): void;
  /** Drag at its roller [N·m], a magnitude, that of the motor's side with the gear ratio in it; 0 when not known. Arguments as for torque. */
  dragAtRoller(diameter: Length, speed: Speed): Torque;
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
