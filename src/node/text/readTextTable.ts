import type { RawTable } from '../../engine/recording/recording.js';
import { streamTextTable, type TextBatch, type TextOptions } from './streamTextTable.js';

/**
 * Reads a delimited text file into memory: 8 bytes a cell. For files that do not fit, see `streamTextTable`.
 * @throws TautlineError file_not_found, file_unreadable, file_changed, file_not_text, line_too_long, dialect_unclear
 */
export async function readTextTable(path: string, options: TextOptions = {}): Promise<RawTable> {
  const whole: Float64Array[] = [];
  let share = 0;
  const onBatch = (batch: TextBatch): void => {
    batch.values.forEach((v, k) => {
      const needed = batch.firstRow + batch.rows;
      let column = whole[k];
      if (!column || column.length < needed) {
        // the share of the file read so far tells how many rows will come
        const expected = share > 0 ? Math.ceil((needed / share) * 1.01) : needed;
        const larger = new Float64Array(
          Math.max(needed, Math.min(expected, 4 * needed), column ? column.length * 1.5 : 0),
        );
        if (column) larger.set(column);
        whole[k] = column = larger;
      }
      column.set(v, batch.firstRow);
    });
  };
  const summary = await streamTextTable(
    path,
    {
      ...options,
      onProgress: (bytes, of) => {
        share = bytes / of;
        options.onProgress?.(bytes, of);
      },
    },
    onBatch,
  );
  const columns = summary.columns.map((c, k) => {
    const values = whole[k] ?? new Float64Array(0);
    return { ...c, values: values.length === summary.rows ? values : values.slice(0, summary.rows) };
  });
  return { ...summary, columns };
}
