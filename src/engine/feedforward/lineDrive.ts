import type { Drive } from '../line/drive.js';
import type { Gearbox } from '../line/gearbox.js';
import type { Roller, RollerDrive } from '../line/line.js';
import type { Motor } from '../line/motor.js';
import type { Torque } from '../units/quantity.js';
import { type DriveDrag, type DriveInertia, type DriveSides, driveSides } from './motorTorque.js';

/** What a torque leaves out because nobody has stated or measured it. */
export type Unknown = 'inertia' | 'motor inertia' | 'gear inertia' | 'drag' | 'rated torque';

/** A drive of the line as torques are computed with it: each part of inertia and drag on one side of the gearbox. */
export interface LineDrive {
  /** Name of its roller. */
  readonly name: string;
  readonly sides: DriveSides;
  /** Undefined while the rated torque is not stated. */
  readonly motor?: Motor;
  /** Torque at the motor at which the roller starts to turn, beyond its drag at standstill; 0 when not known. */
  readonly breakawayExcess: Torque;
  readonly unknown: readonly Unknown[];
}

/** The gearbox of a drive; direct when no ratio is stated, without loss when no efficiency is. Source: definition. [1] */
export const gearboxOf = ({ gearRatio, gearEfficiency }: Drive): Gearbox => ({
  ratio: gearRatio,
  efficiency: gearEfficiency ?? 1,
});

/** The motor of a drive; without a stated limit the rated torque is the limit. Undefined without a rated torque [N·m]. Source: definition. */
export const motorOf = (drive: Drive): Motor | undefined =>
  drive.ratedTorque === undefined
    ? undefined
    : {
        ratedTorque: drive.ratedTorque,
        torqueLimit: drive.torqueLimit ?? 1,
        baseSpeed: drive.baseSpeed,
        maxSpeed: drive.maxMotorSpeed,
        inertia: drive.motorInertia,
        cooling: drive.cooling ?? 'forced',
        powerFlow: drive.powerFlow ?? 'both',
      };

/**
 * A driven roller as torques are computed with it. What was measured at the motor counts before what was stated of the roller, since gearbox,
 * rotor and bearings are in it. For an unwind or winder this is the empty shaft: the roll comes on top. Drag that is only estimated from
 * bearing formulas is no basis for a torque and counts as unknown [N·m, kg·m²]. @throws TautlineError argument_invalid. Source: definition.
 */
export function lineDrive(roller: Roller, { drive, measured }: RollerDrive): LineDrive {
  const inertia = inertiaOf(roller, drive, measured?.inertia?.value);
  const drag = dragOf(roller, measured?.drag);
  const motor = motorOf(drive);
  const sides = driveSides(gearboxOf(drive), inertia, drag);
  const atRest = sides.dragAtMotor.coulomb + sides.dragAtMotor.stribeck;
  const unknown: Unknown[] = [];
  // What was measured at the motor has rotor and gearbox in it.
  if (measured?.inertia === undefined) {
    if (roller.inertia === undefined) unknown.push('inertia');
    if (drive.motorInertia === undefined) unknown.push('motor inertia');
    if (drive.gearRatio !== 1 && drive.gearInertia === undefined) unknown.push('gear inertia');
  }
  if (drag === undefined) unknown.push('drag');
  if (motor === undefined) unknown.push('rated torque');
  return {
    name: roller.name,
    sides,
    ...(motor && { motor }),
    breakawayExcess: Math.max(0, (measured?.breakaway?.value ?? 0) - atRest),
    unknown,
  };
}

function inertiaOf(roller: Roller, drive: Drive, identified: number | undefined): DriveInertia {
  if (identified !== undefined) return { from: 'identified', inertiaAtMotor: identified };
  return {
    from: 'parts',
    inertiaAtRoller: roller.inertia?.value ?? 0,
    gearboxInertia: drive.gearInertia ?? 0,
    motorInertia: drive.motorInertia ?? 0,
  };
}

function dragOf(roller: Roller, identified: DriveSides['dragAtMotor'] | undefined): DriveDrag | undefined {
  if (identified !== undefined) return { from: 'identified', dragAtMotor: identified };
  return roller.drag.known === 'stated' ? { from: 'estimated', dragAtRoller: roller.drag.law } : undefined;
}
