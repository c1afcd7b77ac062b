import { access, mkdir, rm, writeFile } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { stringify } from 'yaml';
import { TautlineError } from '../../engine/errors.js';
import type { Finding } from '../../engine/findings.js';
import type { Drive } from '../../engine/line/drive.js';
import type { RecordingDocument } from '../../engine/project/recording.js';
import { chooseColumns, type MapOptions, unitOf } from '../../engine/recording/chooseColumns.js';
import { mapChannels } from '../../engine/recording/mapChannels.js';
import type { RawColumn, Role } from '../../engine/recording/recording.js';
import { publishNew } from '../files/atomicWrite.js';
import { confinePath, unfitName } from '../files/confinePath.js';
import { lockFolder } from '../files/lockFolder.js';
import { temporaryName } from '../files/temporary.js';
import { withFolderLock } from '../files/withFolderLock.js';
import { writeError } from '../files/writeError.js';
import {
  streamTextTable,
  type TextBatch,
  type TextOptions,
  type TextSummary,
} from '../text/streamTextTable.js';
import { databaseWriteError } from './database.js';
import { ParquetWriter } from './parquetWriter.js';
import { isParquet } from './readRecordingTable.js';

export interface ImportOptions {
  /** Day of the import, ISO 8601. */
  readonly imported: string;
  /** Name of the recording, without extension; that of the source file by default. */
  readonly name?: string;
  readonly text?: TextOptions;
  /** What the user states about the columns. */
  readonly map?: Pick<MapOptions, 'channels' | 'units' | 'sampleInterval'>;
  /** With a drive, what its identification will need is checked too. */
  readonly drive?: Drive;
  readonly notes?: string;
}

export interface ImportResult {
  /** Paths of what was written, below the line folder; undefined when the data refused it. */
  readonly written?: { readonly data: string; readonly document: string };
  /** What stands, or would stand, beside the values. */
  readonly document: RecordingDocument;
  /** What reading and mapping had to say. Only that of reading is kept: a mapping is made anew whenever the recording is used. */
  readonly findings: readonly Finding[];
  /** The first rows, by column of `document.columns`. */
  readonly first: readonly Float64Array[];
  /** Rows, from the start, on which the mapping was checked. */
  readonly checkedRows: number;
}

/** Most cells that are kept for proposing roles and for the preview: 32 MB. */
const previewCells = 2 ** 22;

/**
 * Imports a text recording into a line folder: recordings/NAME.parquet with the values in the file's own units, and NAME.yaml beside it. The
 * source is read once, and memory does not grow with it. Nothing is overwritten (NAME-2 follows NAME), and what a killed import leaves
 * behind is no recording: the Parquet file appears last, whole. A source without rows is refused by a finding and nothing is written.
 * @throws TautlineError as streamTextTable; path_outside_folder, folder_locked, folder_not_writable, disk_full, write_failed;
 * column_unknown, unit_unknown for what the user stated wrongly
 */
export async function importRecording(
  source: string,
  lineFolder: string,
  options: ImportOptions,
): Promise<ImportResult> {
  const name = options.name ?? nameOf(source);
  checkName(name, lineFolder);
  if (await isParquet(source))
    throw new TautlineError(
      'file_not_text',
      { file: source },
      `${basename(source)} is a Parquet file already`,
      'use it as it is, or copy it into the folder recordings',
    );
  const folder = await confinePath(lineFolder, 'recordings');
  const work = await confinePath(lineFolder, temporaryName('import'));
  // a folder that somebody works in is said at once, not after minutes of reading
  await (await lockFolder(lineFolder)).release();
  try {
    await mkdir(work);
    return await importInto(source, work, { lineFolder, folder, name }, options);
  } catch (error) {
    throw databaseWriteError(error, join(folder, `${name}.parquet`));
  } finally {
    await rm(work, { recursive: true, force: true }).catch(() => undefined);
  }
}

/** Where a recording goes. */
interface Place {
  readonly lineFolder: string;
  /** recordings/ in it. */
  readonly folder: string;
  readonly name: string;
}

/** How long publishing waits for another writer [ms]; the folder is free while the source is read. */
const patience = 10_000;

async function importInto(
  source: string,
  work: string,
  { lineFolder, folder, name }: Place,
  options: ImportOptions,
): Promise<ImportResult> {
  const preview = new Preview();
  const writer = new ParquetWriter(work);
  try {
    const summary = await streamTextTable(source, options.text ?? {}, async (batch) => {
      preview.add(batch);
      await writer.append(batch);
    });
    const columns = summary.columns.map((c, k) => ({ ...c, values: preview.column(k) }));
    const base = { first: columns.map((c) => c.values.slice(0, 5)), checkedRows: preview.rows };
    if (summary.rows === 0)
      return {
        document: describe(summary, columns, new Map(), options),
        findings: summary.findings,
        ...base,
      };
    const { chosen, findings } = mapColumns(summary, columns, preview.rows, options);
    const data = await writer.finish();
    const { stem, document } = await withFolderLock(lineFolder, patience, async () => {
      const stem = await freeName(folder, name);
      const document = { ...describe(summary, columns, chosen, options), data: `${stem}.parquet` };
      await publish(work, folder, stem, data, document);
      return { stem, document };
    });
    const written = { data: `recordings/${stem}.parquet`, document: `recordings/${stem}.yaml` };
    return { written, document, findings, ...base };
  } finally {
    writer.close();
  }
}

/** The first rows, copied: as many as fit. */
class Preview {
  rows = 0;
  private pieces: Float64Array[][] = [];
  private full = false;

  add(batch: TextBatch): void {
    if (this.full) return;
    const room = Math.max(0, Math.floor(previewCells / Math.max(1, batch.values.length)) - this.rows);
    const rows = Math.min(batch.rows, room);
    this.full = rows < batch.rows;
    this.pieces.push(batch.values.map((v) => v.slice(0, rows)));
    this.rows += rows;
  }

  column(k: number): Float64Array {
    const out = new Float64Array(this.rows);
    let at = 0;
    for (const piece of this.pieces) {
      out.set(piece[k], at);
      at += piece[k].length;
    }
    return out;
  }
}

/** What the columns are, with what there is to say about it. @throws TautlineError column_unknown, unit_unknown */
function mapColumns(
  summary: TextSummary,
  columns: readonly RawColumn[],
  rows: number,
  { map = {}, drive }: ImportOptions,
): { chosen: Map<Role, RawColumn>; findings: readonly Finding[] } {
  const findings = [...summary.findings];
  const chosen = chooseColumns(columns, drive?.name, map, findings);
  if (drive !== undefined)
    return { chosen, findings: mapChannels({ ...summary, columns, rows }, drive, map).findings };
  for (const [role, column] of chosen)
    if (role !== 'drive-enabled' && (role !== 'time' || column.kind === 'number'))
      unitOf(role, column, chosen, map, findings);
  return { chosen, findings };
}

function describe(
  summary: TextSummary,
  columns: readonly RawColumn[],
  chosen: ReadonlyMap<Role, RawColumn>,
  { imported, map = {}, notes }: ImportOptions,
): RecordingDocument {
  const roleOf = new Map([...chosen].map(([role, column]) => [column, role]));
  return {
    schema: 'tautline/recording@1',
    data: '',
    source: summary.source,
    imported,
    dialect: summary.dialect,
    ...(map.sampleInterval === undefined ? {} : { sample_interval_s: map.sampleInterval }),
    columns: columns.map((c) => {
      const role = roleOf.get(c);
      const stated = role && map.units?.[role];
      const unit = stated ?? c.unit;
      return {
        header: c.header,
        ...(unit === undefined ? {} : { unit }),
        ...(stated === undefined ? {} : { unit_by: 'stated' as const }),
        kind: c.kind,
        ...(c.epoch_s === undefined ? {} : { epoch_s: c.epoch_s }),
        blank_cells: c.blankCells,
        text_cells: c.textCells,
        ...(c.firstText === undefined ? {} : { first_text: c.firstText }),
        ...(role === undefined
          ? {}
          : {
              role,
              mapped_by: map.channels?.[role] === undefined ? ('proposed' as const) : ('stated' as const),
            }),
      };
    }),
    findings: summary.findings,
    notes: notes ?? '',
  };
}

/** The name of a source file as the name of a recording on any system. */
function nameOf(source: string): string {
  const stem = basename(source).replace(/\.[A-Za-z0-9]{1,5}$/, '');
  const plain = [...stem]
    .slice(0, 60)
    .join('')
    // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what is looked for
    .replace(/[\u0000-\u001f\u007f<>:"|?*\\/]+/g, '-')
    .replace(/^[. ]+|[. ]+$/g, '');
  return plain === '' || unfitName(plain) !== undefined ? `recording-${plain}`.replace(/-$/, '') : plain;
}

function checkName(name: string, folder: string): void {
  // room for a number and the endings within the 255 bytes of a file name
  const why = unfitName(name) ?? (Buffer.byteLength(name) > 180 ? 'it is longer than 180 bytes' : undefined);
  if (why !== undefined)
    throw new TautlineError(
      'path_outside_folder',
      { folder, name: name.replaceAll('\0', '\\0') },
      `a recording cannot have this name: ${why}`,
      'give a plain name without folder and extension, for instance --name helper-3-staircase',
    );
}

const exists = (path: string): Promise<boolean> =>
  access(path).then(
    () => true,
    () => false,
  );

/** NAME, or NAME-2, NAME-3 ... where that is taken. The folder is locked, so it stays free. */
async function freeName(folder: string, name: string): Promise<string> {
  for (let n = 1; ; n++) {
    const stem = n === 1 ? name : `${name}-${n}`;
    if (!(await exists(join(folder, `${stem}.parquet`))) && !(await exists(join(folder, `${stem}.yaml`))))
      return stem;
  }
}

async function publish(
  work: string,
  folder: string,
  stem: string,
  data: string,
  document: RecordingDocument,
): Promise<void> {
  const beside = join(work, 'recording.yaml');
  const path = join(folder, `${stem}.parquet`);
  try {
    await mkdir(folder, { recursive: true });
    const head = '# An imported recording. Units, roles and notes may be corrected by hand.\n';
    await writeFile(beside, head + stringify(document, { aliasDuplicateObjects: false, lineWidth: 0 }));
  } catch (error) {
    throw writeError(error, path);
  }
  // the values come last: where there is a Parquet file, what describes it is there too
  const done = (await publishNew(beside, join(folder, `${stem}.yaml`))) && (await publishNew(data, path));
  if (!done)
    throw new TautlineError(
      'write_failed',
      { file: path },
      `${stem} was written by something else in this moment`,
      'import again',
    );
}
