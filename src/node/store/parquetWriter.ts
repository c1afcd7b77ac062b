import { rename } from 'node:fs/promises';
import { join } from 'node:path';
import type { DuckDBAppender } from '@duckdb/node-api';
import type { TextBatch } from '../text/streamTextTable.js';
import { type Database, identifier, literal, openDatabase } from './database.js';

/** Cells that wait in memory before they are written as a part: 64 MB. */
const cellsPerPart = 2 ** 23;
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
 * Writes batches of columns to one Parquet file (zstd), in the order they come. Every million rows or so become a file of their own in
 * the work folder, and at the end those are copied into one: memory does not grow with the table. A missing value becomes NULL.
 */
export class ParquetWriter {
  private appender: DuckDBAppender | undefined;
  private names: string[] = [];
  private readonly parts: string[] = [];
  private waiting = 0;

  private constructor(
    private readonly folder: string,
    private readonly database: Database,
    private readonly api: typeof import('@duckdb/node-api'),
  ) {}

  /** @param folder an empty folder of its own on the disk of the final file, absolute, links resolved */
  static async open(folder: string): Promise<ParquetWriter> {
    const api = await import('@duckdb/node-api');
    return new ParquetWriter(folder, await openDatabase({ folder }), api);
  }

  async append(batch: TextBatch): Promise<void> {
    const width = batch.values.length;
    if (this.names.length === 0) await this.createTable(batch.columns.map((c) => c.header));
    this.appender ??= await this.database.connection.createAppender('waiting');
    const types = Array.from({ length: width }, () => this.api.DOUBLE);
    for (let from = 0; from < batch.rows; from += rowsPerChunk) {
      const rows = Math.min(rowsPerChunk, batch.rows - from);
      const chunk = this.api.DuckDBDataChunk.create(types, rows);
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
    if (this.waiting > 0 || this.parts.length === 0) await this.writePart();
    if (this.parts.length === 1) await rename(this.parts[0], path);
    else await this.copy(`SELECT * FROM read_parquet([${this.parts.map(literal).join(', ')}])`, path);
    return path;
  }

  close(): void {
    this.database.close();
  }

  private async createTable(headers: readonly string[]): Promise<void> {
    this.names = columnNames(headers);
    // numbered, so that no header can be mistaken for anything else in SQL
    const columns = this.names.map((_, c) => `c${c} DOUBLE`);
    await this.database.connection.run(`CREATE TABLE waiting (${columns.join(', ')})`);
  }

  private async writePart(): Promise<void> {
    this.appender?.closeSync();
    this.appender = undefined;
    this.waiting = 0;
    const path = join(this.folder, `part${this.parts.length}.parquet`);
    const columns = this.names.map(
      (name, c) => `CASE WHEN isnan(c${c}) THEN NULL ELSE c${c} END AS ${identifier(name)}`,
    );
    await this.copy(`SELECT ${columns.join(', ')} FROM waiting`, path);
    this.parts.push(path);
    await this.database.connection.run('TRUNCATE waiting');
  }

  private async copy(query: string, path: string): Promise<void> {
    await this.database.connection.run(
      `COPY (${query}) TO ${literal(path)} (FORMAT parquet, COMPRESSION zstd)`,
    );
  }
}
