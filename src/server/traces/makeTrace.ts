import { mkdir, readdir, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { isTautlineError } from '../../engine/errors.js';
import { type TableTime, tableTime } from '../../engine/recording/mapChannels.js';
import { buildPyramid, pyramidLevels } from '../../engine/recording/pyramid.js';
import { confinePath } from '../../node/files/confinePath.js';
import { removeAbandoned, temporaryName } from '../../node/files/temporary.js';
import { writeError } from '../../node/files/writeError.js';
import { type RecordingTable, readRecordingTable } from '../../node/store/readRecordingTable.js';
import type { Progress } from '../jobs/tasks.js';
import { type TraceDocument, traceFiles, tracesPlace } from './traceDocument.js';

/**
 * Makes a recording ready for drawing: its columns as plain doubles with a min/max pyramid each, in .tautline/traces/KEY, which appears whole or not
 * at all. The recording itself is not touched. @param file path from the line folder
 * @throws TautlineError as readRecordingTable; disk_full, folder_not_writable, write_failed
 */
export async function makeTrace(
  folder: string,
  file: string,
  key: string,
  onProgress: (progress: Progress) => void = () => undefined,
): Promise<TraceDocument> {
  const place = await confinePath(folder, `${tracesPlace}/${key}`);
  const said = (done: number, total: number): void =>
    onProgress({ done, total, words: 'making the recording ready for drawing' });
  said(0, 1);
  const table = await readRecordingTable(await confinePath(folder, file));
  const axis = timeOf(table);
  const work = join(dirname(place), temporaryName('trace'));
  try {
    await mkdir(work, { recursive: true });
    await removeAbandoned(dirname(place));
    const document = await writeTrace(work, table, axis, { file, key }, said);
    await rm(place, { recursive: true, force: true });
    await rename(work, place);
    await removeOlder(dirname(place), document);
    return document;
  } catch (error) {
    throw writeError(error, place);
  } finally {
    await rm(work, { recursive: true, force: true }).catch(() => undefined);
  }
}

/** A recording whose columns are stated wrongly, or whose time runs backwards, can still be looked at: by row. */
function timeOf(table: RecordingTable): TableTime {
  try {
    return tableTime(table, { ...table.stated });
  } catch (error) {
    if (!isTautlineError(error)) throw error;
    return { base: undefined, chosen: new Map(), findings: table.findings };
  }
}

async function writeTrace(
  work: string,
  table: RecordingTable,
  { base, chosen, findings }: TableTime,
  { file, key }: Pick<TraceDocument, 'file' | 'key'>,
  said: (done: number, total: number) => void,
): Promise<TraceDocument> {
  const time = base?.time ?? Float64Array.from({ length: table.rows }, (_, i) => i);
  const write = (name: string, values: Float64Array): Promise<void> =>
    writeFile(join(work, name), new Uint8Array(values.buffer, values.byteOffset, values.byteLength));
  await write(traceFiles.time, time);
  await write(traceFiles.starts, startsOf(time));
  const roleOf = new Map([...chosen].map(([role, column]) => [column, role]));
  // most recordings lose no row and have no gap
  const isWhole =
    base === undefined || (base.rows.length === table.rows && base.rows.every((r, i) => r === i));
  for (const [k, column] of table.columns.entries()) {
    said(k, table.columns.length);
    const values = isWhole ? column.values : keptRows(column.values, base.rows);
    await write(traceFiles.values(k), values);
    await write(traceFiles.cells(k), buildPyramid(values));
  }
  const document: TraceDocument = {
    schema: 'tautline/trace@1',
    file,
    key,
    samples: time.length,
    time: {
      unit: base === undefined ? 'row' : 's',
      header: (base && chosen.get('time')?.header) ?? '',
      from: time[0] ?? 0,
      to: time[time.length - 1] ?? 0,
    },
    columns: table.columns.map((column) => {
      const role = roleOf.get(column);
      return {
        header: column.header,
        ...(column.unit !== undefined && { unit: column.unit }),
        kind: column.kind,
        ...(role !== undefined && { role }),
      };
    }),
    findings,
    source: table.source,
  };
  await writeFile(join(work, traceFiles.document), JSON.stringify(document));
  return document;
}

/** Rows of the time axis; a row of -1 marks a gap, which holds no value. */
function keptRows(values: Float64Array, rows: Int32Array): Float64Array {
  const out = new Float64Array(rows.length);
  for (let i = 0; i < rows.length; i++) out[i] = rows[i] < 0 ? Number.NaN : values[rows[i]];
  return out;
}

function startsOf(time: Float64Array): Float64Array {
  const levels = pyramidLevels(time.length);
  const last = levels.at(-1);
  const out = new Float64Array(last === undefined ? 0 : last.offset + last.cells);
  for (const { samples, cells, offset } of levels)
    for (let c = 0; c < cells; c++) out[offset + c] = time[c * samples];
  return out;
}

/** Takes away traces of what the recording was before. Rubbish that cannot be removed harms nobody. */
async function removeOlder(place: string, { file, key }: TraceDocument): Promise<void> {
  for (const name of await readdir(place).catch(() => [])) {
    if (name === key || name.startsWith('.')) continue;
    const text = await readFile(join(place, name, traceFiles.document), 'utf8').catch(() => '{}');
    const known = JSON.parse(text) as Partial<TraceDocument>;
    if (known.file === file)
      await rm(join(place, name), { recursive: true, force: true }).catch(() => undefined);
  }
}
