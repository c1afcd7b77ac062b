import { type LineDrive, lineDrive } from '../../feedforward/lineDrive.js';
import { dragOfSides, motorTorque, motorTorqueOverAccelerations } from '../../feedforward/motorTorque.js';
import { type Body, pullRollTorque } from '../../feedforward/rollerTorque.js';
import { dragTorque } from '../../line/drag.js';
import { drivenRollers, type Line, type Section } from '../../line/line.js';
import type { Length, TensionPerWidth } from '../../units/quantity.js';
import type { Product } from '../product.js';
import type { DriveModel, Missing, TorqueOptions } from './driveModel.js';
import { rollDrives } from './rollDrives.js';

/**
 * Every drive of a line, in web order. Rolls follow the schedules of the product; without a product, or where a value was not stated, the term
 * is left out and `missing` says so [N·m]. @throws TautlineError argument_invalid. Source: docs/models/drive-torque.md.
 */
export function driveModels(
  line: Line,
  product: Product | undefined,
  options: TorqueOptions = {},
): DriveModel[] {
  const rolls = new Map(rollDrives(line, product, options).map((d) => [d.name, d]));
  const width = product?.web.width ?? line.webWidth;
  return [...drivenRollers(line)].map(({ section, roller, drive }) => {
    const ofRoll = rolls.get(roller.name);
    if (ofRoll !== undefined) return ofRoll;
    return fixedRoller(section, lineDrive(roller, drive), roller.radius, stepAt(line, section), width);
  });
}

/** Tensions before and behind a fixed roller, per width, and what is not known of them. */
interface Step {
  readonly before: TensionPerWidth;
  readonly after: TensionPerWidth;
  readonly missing: readonly Missing[];
}

const noStep: Step = { before: 0, after: 0, missing: [] };
const unknownStep = (...missing: Missing[]): Step => ({ ...noStep, missing });

function stepAt(line: Line, section: Section): Step {
  // A roll that no program is stated for: it holds tension, and how much is not known.
  if (section.kind === 'unwind' || section.kind === 'winder') return unknownStep('tension', 'roll inertia');
  if (isDrum(line, section)) return unknownStep('tension');
  if (!holdsTension(section)) return noStep;
  if (section.rollers.filter((r) => r.drive !== undefined).length > 1)
    return unknownStep('share of the tension', 'tension');
  return tensionStep(line, section);
}

/** True for a section whose roller drives the surface of a roll. */
const isDrum = (line: Line, { rollers }: Section): boolean =>
  line.sections.some((s) => s.kind === 'winder' && rollers.some((r) => r === s.drum || r === s.frontDrum));

/** Kinds of section that hold their own speed against the web: their motor takes the difference of the tensions. */
const holdsTension = (section: Section): boolean => section.kind === 'pull-roll' || section.kind === 'dryer';

function tensionStep(line: Line, section: Section): Step {
  const index = line.sections.indexOf(section);
  const before = line.sections.slice(0, index).findLast((s) => s.tensionAfter !== undefined)?.tensionAfter;
  const after = section.tensionAfter;
  return before === undefined || after === undefined
    ? unknownStep('tension')
    : { before, after, missing: [] };
}

function fixedRoller(
  section: Section,
  drive: LineDrive,
  radius: Length | undefined,
  step: Step,
  width: Length | undefined,
): DriveModel {
  const missing: Missing[] = [...drive.unknown, ...step.missing];
  if (step.before !== step.after && width === undefined) missing.push('tension');
  if (radius === undefined) missing.push('radius');
  const { sides } = drive;
  const up = step.before * (width ?? 0);
  const down = step.after * (width ?? 0);
  const r = radius ?? Number.NaN;
  const body: { -readonly [K in keyof Body]: Body[K] } = {
    radius: r,
    inertia: sides.inertiaAtRoller,
    speed: 0,
    acceleration: 0,
    drag: 0,
  };
  return {
    name: drive.name,
    section,
    drive,
    missing,
    torque: (_diameter, speed, acceleration, parts) => {
      const omega = speed / r;
      body.speed = speed;
      body.acceleration = acceleration;
      body.drag = dragTorque(sides.dragAtRoller, omega);
      const atRoller = pullRollTorque(up, down, body, parts);
      return motorTorque(
        sides,
        atRoller,
        omega,
        acceleration / r,
        dragTorque(sides.dragAtMotor, omega * sides.gearRatio),
        0,
        parts,
      );
    },
    overAccelerations: (_diameter, speed, accelerations, into, offset) => {
      const omega = speed / r;
      body.speed = speed;
      body.drag = dragTorque(sides.dragAtRoller, omega);
      body.acceleration = 0;
      const steady = pullRollTorque(up, down, body);
      const drag = dragTorque(sides.dragAtMotor, omega * sides.gearRatio);
      const slope = sides.inertiaAtRoller / r;
      motorTorqueOverAccelerations(sides, steady, slope, body, drag, 0, accelerations, into, offset);
    },
    dragAtRoller: (_diameter, speed) => dragOfSides(sides, speed / r),
    stopping: () => ({
      inertia: sides.inertiaAtRoller + sides.inertiaAtMotor * sides.gearRatio ** 2,
      radius: r,
      webTorque: (down - up) * r,
    }),
    motorSpeed: (_diameter, speed) => (speed / r) * sides.gearRatio,
  };
}
