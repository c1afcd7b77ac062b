import { type LineDrive, lineDrive } from '../../feedforward/lineDrive.js';
import { dragOfSides, motorTorque, motorTorqueOverAccelerations } from '../../feedforward/motorTorque.js';
import {
  type Body,
  drumTorque,
  momentumTorque,
  rotationalAcceleration,
  unwindTorque,
  winderTorque,
} from '../../feedforward/rollerTorque.js';
import { type DragLaw, dragTorque } from '../../line/drag.js';
import type { Line, Roller, RollerDrive, Unwind, Winder } from '../../line/line.js';
import { rollOf } from '../../line/linePath.js';
import { type BuildSense, radiusRate, rollInertia } from '../../roll/buildUp.js';
import type {
  BasisWeight,
  Caliper,
  Inertia,
  Length,
  Ratio,
  Speed,
  TensionPerWidth,
} from '../../units/quantity.js';
import { basisWeight } from '../../web/web.js';
import type { Product, RollProgram } from '../product.js';
import { rollSchedules } from '../rollRows.js';
import type { Schedule } from '../schedule/types.js';
import { share1, share2 } from '../torqueDifferential.js';
import type { DriveModel, Missing, TorqueOptions } from './driveModel.js';

type Filled<T> = { -readonly [K in keyof T]: T[K] };

/** A roll as it turns under a program. */
interface Roll {
  readonly section: Unwind | Winder;
  readonly role: 'winder' | 'unwind';
  readonly sense: BuildSense;
  readonly program: RollProgram;
  readonly tension: Schedule;
  readonly differential?: Schedule;
  readonly width: Length;
  readonly caliper: Caliper;
  /** Basis weight for the term J̇·ω; 0 while it is left out. */
  readonly momentumWeight: BasisWeight;
  /** Web on the roll and what turns with it at the roller; 0 for what is not known. */
  readonly inertiaAt: (radius: Length) => Inertia;
  /** Of the bearings of a roll that has no motor of its own; undefined for what is not stated. */
  readonly drag: DragLaw | undefined;
  readonly missing: readonly Missing[];
}

/** The drives at unwind and winder, drums among them, that a product has a program for. */
export function rollDrives(
  line: Line,
  product: Product | undefined,
  options: TorqueOptions = {},
): DriveModel[] {
  if (product === undefined) return [];
  const unwind = line.sections.find((s): s is Unwind => s.kind === 'unwind');
  const winder = line.sections.findLast((s): s is Winder => s.kind === 'winder');
  return [
    ...(unwind && product.unwind
      ? ownMotor(makeRoll(unwind, 'unwind', product.unwind, product, options), 1, 0)
      : []),
    ...(winder && product.winder
      ? winderDrives(winder, makeRoll(winder, 'winder', product.winder, product, options))
      : []),
  ];
}

function makeRoll(
  section: Unwind | Winder,
  role: 'winder' | 'unwind',
  program: RollProgram,
  { web, limits }: Product,
  { momentumTerm = false }: TorqueOptions,
): Roll {
  const { tension, torqueDifferential } = rollSchedules(program, limits.steepest);
  const shaft = rollOf(section);
  // A measured inertia of the drive is that of the empty shaft with its core.
  const ownCore = shaft.drive?.measured?.inertia === undefined ? (section.coreInertia ?? 0) : 0;
  const { density } = web;
  return {
    section,
    role,
    sense: role === 'winder' ? 1 : -1,
    program,
    tension,
    ...(torqueDifferential && { differential: torqueDifferential }),
    width: web.width,
    caliper: web.caliper,
    momentumWeight: momentumTerm && density !== undefined ? basisWeight(density, web.caliper) : 0,
    inertiaAt: (radius) =>
      density === undefined
        ? ownCore
        : rollInertia(density, web.width, Math.max(radius, program.coreRadius), program.coreRadius, ownCore),
    drag: shaft.drive === undefined && shaft.drag.known === 'stated' ? shaft.drag.law : undefined,
    missing: density === undefined ? ['roll inertia'] : [],
  };
}

function winderDrives(winder: Winder, roll: Roll): DriveModel[] {
  switch (winder.type) {
    case 'centre':
      return ownMotor(roll, 1, 0);
    case 'surface':
      return drumMotor(roll, winder.drum, 0, 1, 1);
    case 'centre-surface':
      // The roll's own motor accelerates the roll, so that speed changes leave the force in the nip alone.
      return both(drumMotor(roll, winder.drum, 2, 0, 0), ownMotor(roll, 0, 1));
    case 'two-drum':
      return both(drumMotor(roll, winder.drum, 2, 0, 0.5), drumMotor(roll, winder.frontDrum, 1, 0, 0.5));
  }
}

/** Two motors that share a tension; where one is not there, nobody holds its share and the other one cannot be judged. */
const both = (first: readonly DriveModel[], second: readonly DriveModel[]): DriveModel[] =>
  first.length > 0 && second.length > 0
    ? [...first, ...second]
    : [...first, ...second].map((m) => ({ ...m, missing: [...m.missing, 'second motor', 'tension'] }));

/** Force through a motor per width: `whole` of the tension, or one of its two shares (1 or 2; 0 for none). */
function forceOf(
  roll: Roll,
  diameter: Length,
  whole: number,
  share: 0 | 1 | 2,
  tensionShare: Ratio = 1,
): TensionPerWidth {
  const tension = tensionShare * roll.tension.at(diameter);
  if (share === 0 || roll.differential === undefined) return whole * tension;
  const d = roll.differential.at(diameter);
  return share === 1 ? share1(tension, d) : share2(tension, d);
}

const needsDifferential = (roll: Roll, share: 0 | 1 | 2): Missing[] =>
  share !== 0 && roll.differential === undefined ? ['torque differential', 'tension'] : [];

const emptyBody = (): Filled<Body> => ({
  radius: 1,
  radiusRate: 0,
  inertia: 0,
  speed: 0,
  acceleration: 0,
  drag: 0,
  momentum: 0,
});

/** Puts a roll at a working point. */
function setRoll(body: Filled<Body>, roll: Roll, diameter: Length, speed: Speed, acceleration: number): void {
  body.radius = 0.5 * diameter;
  body.radiusRate = radiusRate(roll.caliper, speed, body.radius, roll.sense);
  body.speed = speed;
  body.acceleration = acceleration;
  body.momentum =
    roll.momentumWeight === 0
      ? 0
      : momentumTorque(roll.momentumWeight, roll.width, speed, body.radius, roll.sense);
}

/** The motor on the roll's own shaft; `whole` or `share` of the tension goes through it. */
function ownMotor(roll: Roll, whole: number, share: 0 | 1): DriveModel[] {
  const shaft = rollOf(roll.section);
  if (shaft.drive === undefined) return [];
  const drive = lineDrive(shaft, shaft.drive);
  const { sides } = drive;
  const body = emptyBody();
  const relation = roll.role === 'winder' ? winderTorque : unwindTorque;
  const bareInertia = sides.inertiaAtRoller;
  const setOwn = (diameter: Length, speed: Speed, acceleration: number): number => {
    setRoll(body, roll, diameter, speed, acceleration);
    body.inertia = bareInertia + roll.inertiaAt(body.radius);
    const omega = speed / body.radius;
    body.drag = dragTorque(sides.dragAtRoller, omega);
    return omega;
  };
  return [
    {
      name: shaft.name,
      section: roll.section,
      drive,
      roll: roll.role,
      setpoint: roll.program.setpoint,
      missing: missingOf(drive, roll, needsDifferential(roll, share), true).filter(
        // The empty shaft is its core; the rotor is looked at by itself.
        (m) => m !== 'inertia' || roll.section.coreInertia === undefined,
      ),
      torque: (diameter, speed, acceleration, parts, tensionShare) => {
        const omega = setOwn(diameter, speed, acceleration);
        const force = forceOf(roll, diameter, whole, share, tensionShare) * roll.width;
        const atRoller = relation(force, body, parts);
        return motorTorque(
          sides,
          atRoller,
          omega,
          rotationalAcceleration(body),
          dragTorque(sides.dragAtMotor, omega * sides.gearRatio),
          0,
          parts,
        );
      },
      overAccelerations: (diameter, speed, accelerations, into, offset) => {
        const omega = setOwn(diameter, speed, 0);
        const steady = relation(forceOf(roll, diameter, whole, share) * roll.width, body);
        const slope = body.inertia / body.radius;
        const drag = dragTorque(sides.dragAtMotor, omega * sides.gearRatio);
        motorTorqueOverAccelerations(sides, steady, slope, body, drag, 0, accelerations, into, offset);
      },
      dragAtRoller: (diameter, speed) => dragOfSides(sides, (2 * speed) / diameter),
      stopping: (diameter) => {
        const radius = 0.5 * diameter;
        const pull = forceOf(roll, diameter, whole, share) * roll.width * radius;
        return {
          inertia: bareInertia + sides.inertiaAtMotor * sides.gearRatio ** 2 + roll.inertiaAt(radius),
          radius,
          webTorque: roll.role === 'unwind' ? pull : -pull,
        };
      },
      motorSpeed: (diameter, speed) => (speed / (0.5 * diameter)) * sides.gearRatio,
    },
  ];
}

/** A drum that drives the roll's surface; `carries` is the share of the roll's inertia that it accelerates. */
function drumMotor(
  roll: Roll,
  drum: Roller | undefined,
  share: 0 | 1 | 2,
  whole: number,
  carries: number,
): DriveModel[] {
  if (drum?.drive === undefined) return [];
  const drive = lineDrive(drum, drum.drive as RollerDrive);
  const { sides } = drive;
  const radius = drum.radius ?? Number.NaN;
  const body = emptyBody();
  const rollBody = emptyBody();
  body.radius = radius;
  body.inertia = sides.inertiaAtRoller;
  const setBoth = (diameter: Length, speed: Speed, acceleration: number): number => {
    setRoll(rollBody, roll, diameter, speed, acceleration);
    rollBody.inertia = roll.inertiaAt(rollBody.radius);
    rollBody.drag = roll.drag === undefined ? 0 : dragTorque(roll.drag, speed / rollBody.radius);
    body.speed = speed;
    body.acceleration = acceleration;
    const omega = speed / radius;
    body.drag = dragTorque(sides.dragAtRoller, omega);
    return omega;
  };
  return [
    {
      name: drum.name,
      section: roll.section,
      drive,
      roll: roll.role,
      setpoint: roll.program.setpoint,
      missing: [
        ...missingOf(drive, roll, needsDifferential(roll, share), carries > 0),
        ...(carries > 0 ? undrivenRoll(roll) : []),
        ...(drum.radius === undefined ? (['radius'] as const) : []),
      ],
      torque: (diameter, speed, acceleration, parts, tensionShare) => {
        const omega = setBoth(diameter, speed, acceleration);
        const force = forceOf(roll, diameter, whole, share, tensionShare) * roll.width;
        const atRoller = drumTorque(force, body, rollBody, carries, parts);
        return motorTorque(
          sides,
          atRoller,
          omega,
          acceleration / radius,
          dragTorque(sides.dragAtMotor, omega * sides.gearRatio),
          0,
          parts,
        );
      },
      overAccelerations: (diameter, speed, accelerations, into, offset) => {
        const omega = setBoth(diameter, speed, 0);
        const force = forceOf(roll, diameter, whole, share) * roll.width;
        const steady = drumTorque(force, body, rollBody, carries);
        const slope =
          body.inertia / radius + (carries * rollBody.inertia * radius) / (rollBody.radius * rollBody.radius);
        const drag = dragTorque(sides.dragAtMotor, omega * sides.gearRatio);
        motorTorqueOverAccelerations(sides, steady, slope, body, drag, 0, accelerations, into, offset);
      },
      dragAtRoller: (diameter, speed) => {
        const lever = (2 * radius) / diameter;
        const ofRoll = roll.drag === undefined ? 0 : dragTorque(roll.drag, (2 * speed) / diameter);
        return dragOfSides(sides, speed / radius) + carries * lever * ofRoll;
      },
      stopping: (diameter) => ({
        inertia:
          sides.inertiaAtRoller +
          sides.inertiaAtMotor * sides.gearRatio ** 2 +
          carries * roll.inertiaAt(0.5 * diameter) * (radius / (0.5 * diameter)) ** 2,
        radius,
        webTorque: -forceOf(roll, diameter, whole, share) * roll.width * radius,
      }),
      motorSpeed: (_diameter, speed) => (speed / radius) * sides.gearRatio,
    },
  ];
}

/** What is not known of a roll that drums turn: nobody measured its shaft. */
const undrivenRoll = ({ section, drag }: Roll): Missing[] => {
  const shaft = rollOf(section);
  if (shaft.drive !== undefined) return [];
  return [
    ...(section.coreInertia === undefined ? (['core inertia'] as const) : []),
    ...(drag === undefined ? (['roll drag'] as const) : []),
  ];
};

const missingOf = (
  drive: LineDrive,
  roll: Roll,
  more: readonly Missing[],
  carriesRoll: boolean,
): Missing[] => [...drive.unknown, ...(carriesRoll ? roll.missing : []), ...more];
