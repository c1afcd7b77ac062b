import { TautlineError } from '../../engine/errors.js';
import { type CellClass, classify, isValue } from './classify.js';
import type { HeadRecord } from './records.js';

/** Shape of a table as far as its rows tell: cells a row and what most values of each column are. */
export interface TableShape {
  readonly width: number;
  /** undefined for a column without values. */
  readonly kinds: readonly (CellClass | undefined)[];
}

/** Does a row have `width` cells, or more of which the additional ones are blank? */
export const fits = (r: HeadRecord, width: number): boolean =>
  r.cells.length >= width && r.cells.slice(width).every((cell) => cell === '');

export const isBlank = (r: HeadRecord): boolean => r.cells.every((cell) => cell === '');

/** A row of values: the cells are of the class that their column mostly has, and at least one is a value. */
export function isRow(c: TableShape, r: HeadRecord): boolean {
  if (!fits(r, c.width)) return false;
  let values = 0;
  for (let i = 0; i < c.width; i++) {
    const expected = c.kinds[i];
    if (expected === undefined) continue;
    const got = classify(r.cells[i]!);
    if (got === expected || (isValue(got) && isTimed(got) === isTimed(expected))) values++;
    else if (got !== 'blank' && got !== 'quality') return false;
  }
  return values > 0;
}

const isTimed = (c: CellClass): boolean => c === 'date' || c === 'datetime' || c === 'clock';

export function unclear(file: string, why: string): TautlineError {
  return new TautlineError(
    'dialect_unclear',
    { file },
    `${file}: cannot tell how the table is written: ${why}`,
    'state separator, decimal sign and header line, or export again with another separator than the decimal sign',
  );
}
