import { isTautlineError } from '../../../engine/errors.js';
import type { Line } from '../../../engine/line/line.js';
import type { Product } from '../../../engine/program/product.js';
import type { ProgrammedRoll } from '../../../engine/program/programmedRoll.js';
import { type ProgrammedLine, programmeLine } from '../../../engine/program/programmeLine.js';
import type { ProductDocument, ScheduleDocument } from '../../../engine/project/product/productDocument.js';
import { toProduct } from '../../../engine/project/product/toProduct.js';
import type { UnitSystem } from '../../../engine/units/quantity.js';
import type { Problem } from '../../api/types.js';
import { asProblem } from '../../line/readLine.js';
import type { KnobKey } from '../../schedules/handles.js';

export type Role = 'winder' | 'unwind';

/** What follows from a product on a line. */
export type ProgramState =
  | { readonly product: Product; readonly programmed: ProgrammedLine }
  | { readonly problem: Problem };

/** Rows of a program: enough that a curve looks like one. */
const rows = 81;

export function programState(line: Line, document: ProductDocument, system: UnitSystem): ProgramState {
  try {
    const product = toProduct(document);
    return { product, programmed: programmeLine(line, product, rows, system) };
  } catch (error) {
    if (!isTautlineError(error)) throw error;
    return { problem: asProblem(error) };
  }
}

export const rollOf = (state: ProgramState | undefined, role: Role): ProgrammedRoll | undefined =>
  state && 'programmed' in state ? state.programmed[role] : undefined;

/** A product with one schedule changed. */
export function withSchedule(
  document: ProductDocument,
  role: Role,
  knob: KnobKey,
  schedule: ScheduleDocument,
): ProductDocument {
  const roll = document[role];
  return roll === undefined ? document : { ...document, [role]: { ...roll, [knob]: schedule } };
}
