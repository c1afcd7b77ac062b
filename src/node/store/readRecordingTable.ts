import { open, stat } from 'node:fs/promises';
import type { RawTable } from '../../engine/recording/recording.js';
import { readTextTable } from '../text/readTextTable.js';
import type { TextOptions } from '../text/streamTextTable.js';
import type { ParquetTable } from './readParquetTable.js';

/** A table as read, with what the user stated about it when it was imported. */
export type RecordingTable = RawTable & Partial<Pick<ParquetTable, 'stated'>>;

/**
 * Reads a recording, text or Parquet by its first bytes, whatever its name.
 * @param options for text; a Parquet file needs none
 * @throws TautlineError as readTextTable and readParquetTable
 */
export async function readRecordingTable(path: string, options: TextOptions = {}): Promise<RecordingTable> {
  if (!(await isParquet(path))) return readTextTable(path, options);
  // only now: text shall not wait for the database
  const { readParquetTable } = await import('./readParquetTable.js');
  return readParquetTable(path);
}

/** Does the file begin like a Parquet file? What cannot be read is none; whoever reads it as text says why. */
export async function isParquet(path: string): Promise<boolean> {
  try {
    // opening a pipe would wait for its other end
    if (!(await stat(path)).isFile()) return false;
    const handle = await open(path, 'r');
    try {
      const { buffer, bytesRead } = await handle.read(Buffer.alloc(4), 0, 4, 0);
      return bytesRead === 4 && buffer.toString('latin1') === 'PAR1';
    } finally {
      await handle.close();
    }
  } catch {
    return false;
  }
}
