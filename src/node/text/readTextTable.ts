import type { RawTable } from '../../engine/recording/recording.js';
import { streamTextTable, type TextBatch, type TextOptions } from './streamTextTable.js';

/** Rows a batch here: small enough that a batch stays in the processor's cache until it is copied. */
const batchRows = 16384;

/**
 * Reads a delimited text file into memory: 8 bytes a cell. For files that do not fit, see `streamTextTable`.
 * A column's values may be a view on a longer buffer.
 * @throws TautlineError file_not_found, file_unreadable, file_changed, file_not_text, line_too_long, dialect_unclear
 */
export async function readTextTable(path: string, options: TextOptions = {}): Promise<RawTable> {
  const whole: Float64Array[] = [];
  const onBatch = (batch: TextBatch): void => {
    const needed = batch.firstRow + batch.rows;
    batch.values.forEach((values, k) => {
      let column = whole[k];
      if (!column || column.length < needed) {
        const larger = new Float64Array(
          Math.max(needed, batch.expectedRows, column ? column.length * 1.2 : 0),
        );
        if (column) larger.set(column);
        whole[k] = column = larger;
      }
      column.set(values, batch.firstRow);
    });
  };
  const summary = await streamTextTable(path, { batchRows, ...options }, onBatch);
  const columns = summary.columns.map((c, k) => {
    const values = whole[k] ?? new Float64Array(0);
    // spare room at the end was never written, so the system never gave memory for it: cheaper than a copy
    const spare = values.length - summary.rows;
    return {
      ...c,
      values: spare * 4 > values.length ? values.slice(0, summary.rows) : values.subarray(0, summary.rows),
    };
  });
  return { ...summary, columns };
}
