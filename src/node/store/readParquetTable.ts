import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { access, realpath } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import type { DuckDBConnection } from '@duckdb/node-api';
import { TautlineError } from '../../engine/errors.js';
import { type RecordingDocument, recordingSchema } from '../../engine/project/recording.js';
import type { MapOptions } from '../../engine/recording/chooseColumns.js';
import type { RawColumn, RawTable, Role } from '../../engine/recording/recording.js';
import { fileError } from '../documents/fileError.js';
import { readYamlDocument } from '../documents/yamlDocument.js';
import { unitOfHeader } from '../text/header.js';
import { databaseReadError, identifier, literal, openDatabase } from './database.js';
import { columnNames } from './parquetWriter.js';

type Kind = RawColumn['kind'];

interface Source {
  readonly name: string;
  readonly kind: Kind;
  /** Nanoseconds since 1970 of the time that becomes 0. */
  readonly epoch: bigint;
}

const numeric = /^(U?(TINY|SMALL|BIG|HUGE)INT|U?INTEGER|FLOAT|DOUBLE|DECIMAL\(.*\))$/;

/** Kind of a column by its type in the database. What is neither number, time nor boolean holds no values for us. */
export function kindOfType(type: string): Kind {
  if (numeric.test(type)) return 'number';
  if (type === 'BOOLEAN') return 'boolean';
  if (/^(TIMESTAMP|DATE)/.test(type)) return 'datetime';
  return type === 'TIME' || type === 'TIME_NS' ? 'clock' : 'text';
}

/** A table with what the user stated when it was imported: roles and the sampling interval; stated units stand at the columns. */
export interface ParquetTable extends RawTable {
  readonly stated: Pick<MapOptions, 'channels' | 'sampleInterval'>;
}

/** The document beside a Parquet file, or undefined where there is none. @throws TautlineError document_* */
export async function readSidecar(path: string): Promise<RecordingDocument | undefined> {
  const beside = join(dirname(path), `${basename(path).replace(/\.parquet$/i, '')}.yaml`);
  try {
    await access(beside);
  } catch {
    return undefined;
  }
  return (await readYamlDocument(beside, recordingSchema)) as RecordingDocument;
}

/**
 * Reads a Parquet file into memory as a table: numbers, booleans and times of any width as doubles, anything else as a column without
 * values. Units, kinds and counts come from the document beside it, for a file of this program; else units from the headers.
 * @throws TautlineError file_not_found, file_unreadable, document_* for the document beside it
 */
export async function readParquetTable(path: string): Promise<ParquetTable> {
  const file = await realpath(path).catch((e: unknown) => {
    throw fileError(e, path);
  });
  const sha256 = await hashOf(file);
  const database = await openDatabase({ file });
  try {
    const from = `read_parquet(${literal(file)})`;
    const sources = await describe(database.connection, from);
    const { rows, values } = await readValues(database.connection, from, sources);
    const plain = await Promise.all(
      sources.map((s, k) => plainColumn(database.connection, from, s, values[k])),
    );
    const document = await readSidecar(path);
    return {
      columns: document === undefined ? plain : withDocument(plain, document, basename(path)),
      rows,
      ...(document?.dialect ? { dialect: document.dialect } : {}),
      findings: [
        ...(rows === 0
          ? [
              {
                code: 'no_rows' as const,
                severity: 'refuse' as const,
                message: `${basename(path)} holds no row of values`,
                where: { file: basename(path) },
                next: 'export the samples too',
              },
            ]
          : []),
        ...(document?.findings ?? []),
      ],
      source: { file: basename(path), sha256, rows },
      stated: statedIn(document),
    };
  } catch (error) {
    throw databaseReadError(error, path);
  } finally {
    database.close();
  }
}

function statedIn(document: RecordingDocument | undefined): ParquetTable['stated'] {
  const channels: Partial<Record<Role, string>> = {};
  // a proposal is made anew, so that a better program proposes better
  for (const { role, header, mapped_by } of document?.columns ?? [])
    if (role !== undefined && mapped_by === 'stated') channels[role] = header;
  return { channels, sampleInterval: document?.sample_interval_s };
}

async function hashOf(path: string): Promise<string> {
  const hash = createHash('sha256');
  try {
    for await (const piece of createReadStream(path)) hash.update(piece as Uint8Array);
  } catch (error) {
    throw fileError(error, path);
  }
  return hash.digest('hex');
}

async function describe(connection: DuckDBConnection, from: string): Promise<Source[]> {
  const described = await (await connection.run(`DESCRIBE SELECT * FROM ${from}`)).getRows();
  const sources: Source[] = [];
  for (const [name, type] of described) {
    const kind = kindOfType(String(type));
    let epoch = 0n;
    if (kind === 'datetime') {
      const column = identifier(String(name));
      const first = await connection.run(
        `SELECT epoch_ns(${column}) FROM ${from} WHERE ${column} IS NOT NULL LIMIT 1`,
      );
      // a whole second, so that the fraction of the later values keeps its digits
      epoch =
        ((((await first.getRows())[0]?.[0] as bigint | undefined) ?? 0n) / 1_000_000_000n) * 1_000_000_000n;
    }
    sources.push({ name: String(name), kind, epoch });
  }
  return sources;
}

function expressionOf({ name, kind, epoch }: Source): string {
  const column = identifier(name);
  switch (kind) {
    case 'number':
    case 'boolean':
      return `CAST(${column} AS DOUBLE)`;
    case 'datetime':
      return `CAST(epoch_ns(${column}) - ${epoch} AS DOUBLE) / 1e9`;
    case 'clock':
      return `CAST(epoch_ns(${column}) AS DOUBLE) / 1e9`;
    case 'text':
      return 'CAST(NULL AS DOUBLE)';
  }
}

async function readValues(
  connection: DuckDBConnection,
  from: string,
  sources: readonly Source[],
): Promise<{ rows: number; values: Float64Array[] }> {
  const counted = await (await connection.run(`SELECT count(*) FROM ${from}`)).getRows();
  const rows = Number(counted[0][0]);
  const values = sources.map(() => new Float64Array(rows).fill(Number.NaN));
  const result = await connection.stream(`SELECT ${sources.map(expressionOf).join(', ')} FROM ${from}`);
  for (let row = 0; ; ) {
    const chunk = await result.fetchChunk();
    if (!chunk || chunk.rowCount === 0) break;
    for (let k = 0; k < sources.length; k++) {
      const vector = chunk.getColumnVector(k);
      const column = values[k];
      for (let i = 0; i < chunk.rowCount; i++) {
        const x = vector.getItem(i);
        // an infinity is no measured value
        if (typeof x === 'number' && Number.isFinite(x)) column[row + i] = x;
      }
    }
    row += chunk.rowCount;
  }
  return { rows, values };
}

async function plainColumn(
  connection: DuckDBConnection,
  from: string,
  { name, kind, epoch }: Source,
  values: Float64Array,
): Promise<RawColumn> {
  let blankCells = 0;
  for (const v of values) if (Number.isNaN(v)) blankCells++;
  const unit = unitOfHeader(name);
  const base = { header: name, unit, kind, values };
  if (kind === 'datetime')
    return { ...base, epoch_s: Number(epoch / 1_000_000_000n), blankCells, textCells: 0 };
  if (kind !== 'text') return { ...base, blankCells, textCells: 0 };
  const column = identifier(name);
  const texts = await (
    await connection.run(
      `SELECT count(${column}), (SELECT CAST(${column} AS VARCHAR) FROM ${from} WHERE ${column} IS NOT NULL LIMIT 1) FROM ${from}`,
    )
  ).getRows();
  const textCells = Number(texts[0][0]);
  const first = texts[0][1];
  return {
    ...base,
    blankCells: values.length - textCells,
    textCells,
    ...(typeof first === 'string' ? { firstText: { text: first.slice(0, 80), line: 0 } } : {}),
  };
}

/** The columns with what the document says of them. @throws TautlineError document_schema when it belongs to another file */
function withDocument(plain: readonly RawColumn[], document: RecordingDocument, file: string): RawColumn[] {
  const expected = columnNames(document.columns.map((c) => c.header));
  const found = plain.map((c) => c.header);
  if (expected.length !== found.length || expected.some((h, k) => h !== found[k]))
    throw new TautlineError(
      'document_schema',
      { file, key: 'columns', value: expected.join(', ') },
      `${file} has the columns ${found.join(', ')}, but the document beside it describes ${expected.join(', ')}`,
      'put the two files of one import together again, or import the source again',
    );
  return plain.map((column, k) => {
    const d = document.columns[k];
    return {
      header: d.header,
      unit: d.unit,
      kind: d.kind,
      values: column.values,
      ...(d.epoch_s !== undefined ? { epoch_s: d.epoch_s } : {}),
      blankCells: d.blank_cells,
      textCells: d.text_cells,
      ...(d.first_text ? { firstText: d.first_text } : {}),
    };
  });
}
