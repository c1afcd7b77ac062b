import { type LineDrive, lineDrive } from '../../feedforward/lineDrive.js';
import { motorTorque } from '../../feedforward/motorTorque.js';
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
    return fixedRoller(section, lineDrive(roller, drive), roller.radius, tensionStep(line, section), width);
  });
}

/** Kinds of section that hold their own speed against the web: their motor takes the difference of the tensions. */
const holdsTension = (section: Section): boolean => section.kind === 'pull-roll' || section.kind === 'dryer';

/** Tensions before and behind a section that holds them, per width; undefined for a helper, null where one of them is not stated. */
function tensionStep(
  line: Line,
  section: Section,
): { before: TensionPerWidth; after: TensionPerWidth } | null | undefined {
  if (!holdsTension(section)) return undefined;
  const index = line.sections.indexOf(section);
  const before = line.sections.slice(0, index).findLast((s) => s.tensionAfter !== undefined)?.tensionAfter;
  const after = section.tensionAfter;
  return before === undefined || after === undefined ? null : { before, after };
}

function fixedRoller(
  section: Section,
  drive: LineDrive,
  radius: Length | undefined,
  step: { before: TensionPerWidth; after: TensionPerWidth } | null | undefined,
  width: Length | undefined,
): DriveModel {
  const missing: Missing[] = [...drive.unknown];
  if (step === null || (step !== undefined && width === undefined)) missing.push('tension');
  if (radius === undefined) missing.push('radius');
  const { sides } = drive;
  const up = step && width !== undefined ? step.before * width : 0;
  const down = step && width !== undefined ? step.after * width : 0;
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
    stopping: () => ({
      inertia: sides.inertiaAtRoller + sides.inertiaAtMotor * sides.gearRatio ** 2,
      radius: r,
      webTorque: (down - up) * r,
    }),
    motorSpeed: (_diameter, speed) => (speed / r) * sides.gearRatio,
  };
}
