import type { Finding } from '../findings.js';
import type { Line } from '../line/line.js';
import type { Speed, UnitSystem } from '../units/quantity.js';
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
): ProgrammedLine {
  const { winder, unwind, findings } = lineProgram(line, product, count, units);
  const complete = (result: RollProgramResult, program: RollProgram): ProgrammedRoll => {
    const [tension] = result.knobs;
    return {
      result,
      motors: [],
      setpoints: setpointRows(program.setpoint, tension.start, tension.end),
      limits: result.limits,
    };
  };
  return {
    ...(winder && product.winder && { winder: complete(winder.result, product.winder) }),
    ...(winder && { winderType: winder.section.type }),
    ...(unwind && product.unwind && { unwind: complete(unwind.result, product.unwind) }),
    ...(line.speed && { speed: line.speed.top }),
    productFindings: findings,
    lineFindings: [],
  };
}
