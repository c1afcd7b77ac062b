import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { access, realpath } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import type { DuckDBConnection } from '@duckdb/node-api';
import { TautlineError } from '../../engine/errors.js';
import { type RecordingDocument, recordingChoices, recordingSchema } from '../../engine/project/recording.js';
import type { MapOptions } from '../../engine/recording/chooseColumns.js';
import type { RawColumn, RawTable, Role } from '../../engine/recording/recording.js';
import { readYamlDocument } from '../documents/yamlDocument.js';
import { fileError } from '../files/fileError.js';
import { unitOfHeader } from '../text/header.js';
import { databaseReadError, fileLiteral, identifier, openDatabase } from './database.js';
import { columnNames } from './parquetWriter.js';

type Kind = RawColumn['kind'];

interface Source {
  readonly name: string;
  /** SQL expression of the value: the column, or what its texts mean. */
  readonly value: string;
  /** SQL expression that is true where the cell is filled. */
  readonly filled: string;
  readonly kind: Kind;
  /** Nanoseconds since 1970 of the time that becomes 0. */
  readonly epoch: bigint;
}

const numeric = /^(U?(TINY|SMALL|BIG|HUGE)INT|U?INTEGER|FLOAT|DOUBLE|DECIMAL\(.*\))$/;

/** Kind of a column by its type in the database. What is neither number, time nor boolean holds no values for us. */
function kindOfType(type: string): Kind {
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
async function readSidecar(path: string): Promise<RecordingDocument | undefined> {
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
    const from = `read_parquet(${fileLiteral(file)})`;
    const query = queryOf(database.connection);
    const sources = await describe(query, from);
    const { rows, values } = await readValues(database.connection, from, sources);
    const document = await readSidecar(path);
    const plain: RawColumn[] = [];
    for (const [k, s] of sources.entries()) plain.push(await plainColumn(query, file, s, values[k]));
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
      source: {
        file: basename(path),
        sha256,
        rows,
        ...(document && { choices_sha256: textHash(recordingChoices(document)) }),
      },
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

const textHash = (text: string): string => createHash('sha256').update(text).digest('hex');

async function hashOf(path: string): Promise<string> {
  const hash = createHash('sha256');
  try {
    for await (const piece of createReadStream(path)) hash.update(piece as Uint8Array);
  } catch (error) {
    throw fileError(error, path);
  }
  return hash.digest('hex');
}

type Query = (sql: string) => Promise<unknown[][]>;

const queryOf =
  (connection: DuckDBConnection): Query =>
  async (sql) =>
    (await connection.run(sql)).getRows();

async function describe(query: Query, from: string): Promise<Source[]> {
  const sources: Source[] = [];
  for (const [name, type] of await query(`DESCRIBE SELECT * FROM ${from}`)) {
    const column = identifier(String(name));
    const plain = { value: column, filled: `${column} IS NOT NULL`, kind: kindOfType(String(type)) };
    const { value, filled, kind } = type === 'VARCHAR' ? await meaningOfTexts(query, from, column) : plain;
    let epoch = 0n;
    if (kind === 'datetime') {
      const [first] = await query(
        `SELECT epoch_ns(${value}) FROM ${from} WHERE ${value} IS NOT NULL LIMIT 1`,
      );
      // a whole second, so that the fraction of the later values keeps its digits
      epoch = (((first?.[0] as bigint | undefined) ?? 0n) / 1_000_000_000n) * 1_000_000_000n;
    }
    sources.push({ name: String(name), value, filled, kind, epoch });
  }
  return sources;
}

/** What most filled cells of a column of texts can be read as: numbers, times (ISO 8601), yes and no; else texts. */
async function meaningOfTexts(
  query: Query,
  from: string,
  column: string,
): Promise<Pick<Source, 'value' | 'filled' | 'kind'>> {
  const filled = `trim(${column}) <> ''`;
  const meanings = [
    { kind: 'number', value: `TRY_CAST(${column} AS DOUBLE)` },
    { kind: 'datetime', value: `TRY_CAST(${column} AS TIMESTAMPTZ)` },
    { kind: 'boolean', value: `TRY_CAST(${column} AS BOOLEAN)` },
  ] as const;
  const counts = meanings.map(({ value }) => `count(*) FILTER (WHERE ${filled} AND ${value} IS NOT NULL)`);
  const [row] = await query(`SELECT count(*) FILTER (WHERE ${filled}), ${counts.join(', ')} FROM ${from}`);
  const [all, ...read] = row.map(Number);
  const most = Math.max(...read);
  const meaning = all > 0 && 2 * most >= all ? meanings[read.indexOf(most)] : undefined;
  return { filled, ...(meaning ?? { kind: 'text', value: column }) };
}

function expressionOf({ value, kind, epoch }: Source): string {
  switch (kind) {
    case 'number':
    case 'boolean':
      return `CAST(${value} AS DOUBLE)`;
    case 'datetime':
      return `CAST(epoch_ns(${value}) - ${epoch} AS DOUBLE) / 1e9`;
    case 'clock':
      return `CAST(epoch_ns(${value}) AS DOUBLE) / 1e9`;
    case 'text':
      return 'CAST(NULL AS DOUBLE)';
  }
}

async function readValues(
  connection: DuckDBConnection,
  from: string,
  sources: readonly Source[],
): Promise<{ rows: number; values: Float64Array[] }> {
  const [counted] = await queryOf(connection)(`SELECT count(*) FROM ${from}`);
  const rows = Number(counted[0]);
  const values = sources.map(() => new Float64Array(rows).fill(Number.NaN));
  const result = await connection.stream(`SELECT ${sources.map(expressionOf).join(', ')} FROM ${from}`);
  for (let row = 0; ; ) {
    const chunk = await result.fetchChunk();
    // asked for once: each time it is asked for costs a call into the database
    const count = chunk?.rowCount ?? 0;
    if (!chunk || count === 0) break;
    for (let k = 0; k < sources.length; k++) {
      const vector = chunk.getColumnVector(k);
      const column = values[k];
      for (let i = 0; i < count; i++) {
        const x = vector.getItem(i);
        // an infinity is no measured value
        if (typeof x === 'number' && Number.isFinite(x)) column[row + i] = x;
      }
    }
    row += count;
  }
  return { rows, values };
}

/** A column as the file itself tells it, without the document beside it. */
async function plainColumn(
  query: Query,
  file: string,
  { name, value, filled, kind, epoch }: Source,
  values: Float64Array,
): Promise<RawColumn> {
  const column = identifier(name);
  // a column of numbers or times holds no texts
  const notRead = kind === 'text' ? filled : value === column ? undefined : `${filled} AND ${value} IS NULL`;
  const from = `read_parquet(${fileLiteral(file)}, file_row_number = true)`;
  const [found] =
    notRead === undefined
      ? [[0]]
      : await query(
          `SELECT count(*), min(file_row_number), arg_min(CAST(${column} AS VARCHAR), file_row_number) FROM ${from} WHERE ${notRead}`,
        );
  const textCells = Number(found[0]);
  let missing = 0;
  for (let i = 0; i < values.length; i++) if (Number.isNaN(values[i])) missing++;
  return {
    header: name,
    unit: unitOfHeader(name),
    kind,
    values,
    ...(kind === 'datetime' ? { epoch_s: Number(epoch / 1_000_000_000n) } : {}),
    blankCells: missing - textCells,
    textCells,
    ...(textCells === 0
      ? {}
      : { firstText: { text: String(found[2]).slice(0, 80), line: Number(found[1]) + 1 } }),
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
