import type { Finding } from '../findings.js';
import type { Line } from '../line/line.js';
import type { Length, Speed, UnitSystem } from '../units/quantity.js';
import type { DriveModel, TorqueOptions } from './drives/driveModel.js';
import { driveModels } from './drives/driveModels.js';
import { type LineDuty, lineDuty } from './drives/lineDuty.js';
import {
  checkMotor,
  type LineRates,
  type MotorCheck,
  missingFinding,
  motorRows,
} from './drives/rowMotors.js';
import { lineProgram } from './lineProgram.js';
import type { Product, RollProgram } from './product.js';
import type { ProgrammedRoll } from './programmedRoll.js';
import type { RollProgramResult } from './rollProgram.js';
import { setpointRows } from './setpoint.js';

/** What a line is to be run by for one product: programs with the torques of their motors and every limit. */
export interface ProgrammedLine {
  readonly winder?: ProgrammedRoll;
  readonly winderType?: string;
  readonly unwind?: ProgrammedRoll;
  /** Web speed that the torques of running hold for. */
  readonly speed?: Speed;
  /** Every drive of the line with the torque that it needs at any working point. */
  readonly models: readonly DriveModel[];
  /** What each motor was checked for, by the name of its drive; empty while the line states no speed. */
  readonly checks: ReadonlyMap<string, MotorCheck>;
  /** Undefined while the line states no speed, acceleration and stop. */
  readonly duty?: LineDuty;
  /** Findings whose `where.pointer` points into the product, and into the line. */
  readonly productFindings: readonly Finding[];
  readonly lineFindings: readonly Finding[];
}

/**
 * The programs of a line for a product, with `count` rows each [1], the torques that they ask of the motors and all limits.
 * @throws TautlineError document_value when the product states no program. Source: docs/models/schedules.md, drive-torque.md.
 */
export function programmeLine(
  line: Line,
  product: Product,
  count: number,
  units: UnitSystem = 'si',
  options: TorqueOptions = {},
): ProgrammedLine {
  const { winder, unwind, findings } = lineProgram(line, product, count, units);
  const models = driveModels(line, product, options);
  const rates: LineRates = {
    speed: line.speed?.top ?? 0,
    ...(line.speed?.acceleration !== undefined && { acceleration: line.speed.acceleration }),
    ...(line.speed?.stop !== undefined && { stop: line.speed.stop }),
  };
  const checks = new Map(
    line.speed === undefined
      ? []
      : models.map((m) => [m.name, checkMotor(m, diametersOf(m, product), rates, units)] as const),
  );
  const complete = (result: RollProgramResult, program: RollProgram): ProgrammedRoll => {
    const [tension] = result.knobs;
    const own = models.filter((m) => m.roll === result.role && !m.missing.includes('tension'));
    return {
      result,
      motors: result.rows.map((row) => motorRows(own, row.diameter, rates)),
      setpoints: setpointRows(program.setpoint, tension.start, tension.end),
      limits: [...result.limits, ...own.flatMap((m) => checks.get(m.name)?.limits ?? [])],
    };
  };
  const duty = lineDuty(line, product, models, units);
  return {
    ...(duty && { duty }),
    ...(winder && product.winder && { winder: complete(winder.result, product.winder) }),
    ...(winder && { winderType: winder.section.type }),
    ...(unwind && product.unwind && { unwind: complete(unwind.result, product.unwind) }),
    ...(line.speed && { speed: line.speed.top }),
    models,
    checks,
    productFindings: findings,
    lineFindings: [
      ...(models.length > 0 ? speedMissing(line) : []),
      ...models.flatMap((m) => [...missingFinding(m), ...(checks.get(m.name)?.findings ?? [])]),
      ...(duty?.findings ?? []),
    ],
  };
}

/** Diameters at which the motors of a roll are looked at. */
const diametersPerRoll = 41;

/** Diameters of the roll that a drive depends on; one that means nothing for a roller of fixed radius. */
function diametersOf(model: DriveModel, product: Product): Length[] {
  const program = model.roll === undefined ? undefined : product[model.roll];
  if (program === undefined) return [Number.NaN];
  const { coreRadius, fullRadius } = program;
  return Array.from(
    { length: diametersPerRoll },
    (_, k) => 2 * (coreRadius + ((fullRadius - coreRadius) * k) / (diametersPerRoll - 1)),
  );
}

/** What of the line's speed is not stated, and what therefore is not judged. */
function speedMissing({ speed }: Line): Finding[] {
  const missing =
    speed === undefined
      ? 'speed, so torques at the motors are those at a crawl, and the motors are not judged'
      : speed.acceleration === undefined
        ? 'acceleration, so duty and stops of the motors are not judged'
        : speed.stop === undefined
          ? 'rate of its stop, so duty and stops of the motors are not judged'
          : undefined;
  if (missing === undefined) return [];
  return [
    {
      code: 'line_speed_missing',
      severity: 'info',
      message: `the line states no ${missing}`,
      where: { pointer: speed === undefined ? '' : 'speed' },
      next: 'state speed: with top speed, acceleration and stop in line.yaml',
    },
  ];
}
