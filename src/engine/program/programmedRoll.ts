import type { ProgramLimit } from './limits.js';
import type { MotorRow } from './motorRow.js';
import type { RollProgramResult } from './rollProgram.js';
import type { SetpointRow } from './setpoint.js';

/** A roll's program with what it asks of its motors, row by row. */
export interface ProgrammedRoll {
  readonly result: RollProgramResult;
  readonly motors: readonly (readonly MotorRow[])[];
  readonly setpoints: readonly SetpointRow[];
  /** Limits of product, drum and motors. */
  readonly limits: readonly ProgramLimit[];
}
