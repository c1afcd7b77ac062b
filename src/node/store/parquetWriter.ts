import { join } from 'node:path';
import type { DuckDBAppender } from '@duckdb/node-api';
import type { TextBatch } from '../text/streamTextTable.js';
import { type Database, fileLiteral, identifier, literal, openDatabase } from './database.js';

/** Cells that wait in memory before they are written as a part: 32 MB. */
const cellsPerPart = 2 ** 22;
/** Rows that the database takes at a time. */
const rowsPerChunk = 2048;

/**
 * Names of columns in a Parquet file: the headers, with ` (2)` and so on where two differ in nothing but capitals, which databases
 * do not tell apart.
 */
export function columnNames(headers: readonly string[]): string[] {
  const taken = new Set(headers.map((h) => h.toLowerCase()));
  const seen = new Set<string>();
  return headers.map((header) => {
    let name = header;
    for (let n = 2; seen.has(name.toLowerCase()) || (n > 2 && taken.has(name.toLowerCase())); n++)
      name = `${header} (${n})`;
    seen.add(name.toLowerCase());
    return name;
  });
}

/**
 * Writes batches of columns to one Parquet file (zstd), in the order they come. Every half million rows or so become a file of their own in
 * the work folder, and at the end those are copied into one: memory does not grow with the table. A missing value becomes NULL.
 */
export class ParquetWriter {
  private appender: DuckDBAppender | undefined;
  private names: string[] = [];
  private readonly parts: string[] = [];
  private waiting = 0;

  private database: Database | undefined;

  /** @param folder an empty folder of its own on the disk of the final file, absolute, links resolved */
  constructor(private readonly folder: string) {}

  async append(batch: TextBatch): Promise<void> {
    const { DOUBLE, DuckDBDataChunk } = await import('@duckdb/node-api');
    const width = batch.values.length;
    const { connection } = (this.database ??= await this.open(batch.columns.map((c) => c.header)));
    this.appender ??= await connection.createAppender('waiting');
    const types = Array.from({ length: width }, () => DOUBLE);
    for (let from = 0; from < batch.rows; from += rowsPerChunk) {
      const rows = Math.min(rowsPerChunk, batch.rows - from);
      const chunk = DuckDBDataChunk.create(types, rows);
      batch.values.forEach((values, c) => {
        const vector = chunk.getColumnVector(c);
        for (let i = 0; i < rows; i++) vector.setItem(i, values[from + i]);
        vector.flush();
      });
      this.appender.appendDataChunk(chunk);
    }
    this.waiting += width * batch.rows;
    if (this.waiting >= cellsPerPart) await this.writePart();
  }

  /** Writes what has come as one file in the work folder. @returns its path. */
  async finish(): Promise<string> {
    const path = join(this.folder, 'whole.parquet');
    if (this.parts.length === 0) await this.copyWaiting(path, 'zstd');
    else {
      if (this.waiting > 0) await this.writePart();
      const parts = this.parts.map(fileLiteral).join(', ');
      await this.copy(`SELECT * FROM read_parquet([${parts}])`, path, 'zstd');
    }
    return path;
  }

  close(): void {
    this.database?.close();
  }

  private async open(headers: readonly string[]): Promise<Database> {
    this.names = columnNames(headers);
    // the database holds at least half a megabyte a column, however few the rows
    const database = await openDatabase({ folder: this.folder }, 512 + headers.length);
    // numbered, so that no header can be mistaken for anything else in SQL
    const columns = this.names.map((_, c) => `c${c} DOUBLE`);
    await database.connection.run(`CREATE TABLE waiting (${columns.join(', ')})`);
    return database;
  }

  private async writePart(): Promise<void> {
    const path = join(this.folder, `part${this.parts.length}.parquet`);
    // read once and deleted: fast rather than small
    await this.copyWaiting(path, 'snappy');
    this.parts.push(path);
    await this.database?.connection.run('TRUNCATE waiting');
  }

  private async copyWaiting(path: string, compression: string): Promise<void> {
    this.appender?.closeSync();
    this.appender = undefined;
    this.waiting = 0;
    const columns = this.names.map(
      (name, c) => `CASE WHEN isnan(c${c}) THEN NULL ELSE c${c} END AS ${identifier(name)}`,
    );
    await this.copy(`SELECT ${columns.join(', ')} FROM waiting`, path, compression);
  }

  private async copy(query: string, path: string, compression: string): Promise<void> {
    // a group of rows is held in memory while it is written
    const group = Math.max(2048, Math.min(122_880, Math.floor(cellsPerPart / this.names.length)));
    await this.database?.connection.run(
      `COPY (${query}) TO ${literal(path)} (FORMAT parquet, COMPRESSION ${compression}, ROW_GROUP_SIZE ${group})`,
    );
  }
}
