import { createHash } from 'node:crypto';
import { readdir, readFile, stat } from 'node:fs/promises';
import { isTautlineError, TautlineError } from '../../engine/errors.js';
import { type RecordingDocument, recordingSchema } from '../../engine/project/recording.js';
import { recordingName } from '../../engine/project/visit.js';
import { readYamlDocument } from '../../node/documents/yamlDocument.js';
import { Checksums } from '../../node/files/checksums.js';
import { confinePath, unfitName } from '../../node/files/confinePath.js';
import { fileError } from '../../node/files/fileError.js';
import type { ErrorDocument } from '../errorReply.js';
import { errorDocument } from '../errorReply.js';
import type { Pool } from '../jobs/pool.js';
import { readTraceDocument } from '../traces/readTrace.js';
import type { TraceDocument } from '../traces/traceDocument.js';

/** A recording of the folder as it is listed. */
export interface RecordingEntry {
  /** Name to ask for it by. */
  readonly name: string;
  /** Path from the line folder. */
  readonly file: string;
  readonly kind: 'imported' | 'export';
  /** Drive and visit that its name states. */
  readonly drive?: string;
  readonly visit?: string;
  readonly bytes: number;
  readonly rows?: number;
  /** Header by role, as the import took them. */
  readonly channels?: Readonly<Record<string, string>>;
  /** Of the bytes of the file. */
  readonly sha256?: string;
  readonly error?: ErrorDocument;
}

/** Of a trace; another number makes all of them anew. */
const traceFormat = 1;
const recordingFile = /\.(parquet|csv|txt|tsv|log)$/i;

/** The recordings of a line folder: their list, their checksums, and their traces for drawing. */
export class Recordings {
  private readonly keys = new Map<string, { readonly stamp: string; readonly key: string }>();
  private readonly traces = new Map<string, TraceDocument>();
  private readonly making = new Map<string, Promise<TraceDocument>>();

  constructor(
    private readonly folder: string,
    private readonly pool: Pool,
  ) {}

  /** All recordings, imported ones first; those that cannot be read with their error. */
  async list(): Promise<RecordingEntry[]> {
    const checksums = await Checksums.open(this.folder);
    const entries: RecordingEntry[] = [];
    for (const { name, file, kind } of await this.files())
      entries.push(await this.entry(name, file, kind, checksums));
    await checksums.keep();
    return entries;
  }

  /** Path of a recording from the line folder. @throws TautlineError path_outside_folder, file_not_found */
  async fileOf(name: string): Promise<string> {
    const why = unfitName(name) ?? (name.startsWith('.') ? 'it begins with a point' : undefined);
    if (why !== undefined)
      throw new TautlineError(
        'path_outside_folder',
        { name: name.replaceAll('\0', '\\0') },
        `no recording can have this name: ${why}`,
        'ask for a recording that GET /api/recordings lists',
      );
    const found = (await this.files()).find((f) => f.name === name);
    if (found !== undefined) return found.file;
    throw new TautlineError(
      'file_not_found',
      { name },
      `there is no recording ${name} in recordings or exports`,
      'ask for a recording that GET /api/recordings lists',
    );
  }

  /** Checksum of a recording and of what stands beside it. @throws TautlineError file_not_found, file_unreadable */
  async keyOf(file: string): Promise<string> {
    const beside = file.replace(/\.parquet$/i, '.yaml');
    const stamp = `${await this.stampOf(file)} ${beside === file ? '' : await this.stampOf(beside).catch(() => '')}`;
    const known = this.keys.get(file);
    if (known?.stamp === stamp) return known.key;
    // the kept checksums of the folder are used, but not kept from here: `keep` forgets what was not asked for
    const sha256 = await (await Checksums.open(this.folder)).of(file);
    const hash = createHash('sha256').update(`${traceFormat} ${file} ${sha256}`);
    if (beside !== file) hash.update(await readFile(await confinePath(this.folder, beside)).catch(() => ''));
    const key = hash.digest('hex').slice(0, 32);
    this.keys.set(file, { stamp, key });
    return key;
  }

  /** The trace of a recording, made now where there is none yet. @throws TautlineError as makeTrace */
  async traceOf(file: string): Promise<TraceDocument> {
    const key = await this.keyOf(file);
    const known = this.traces.get(key) ?? (await readTraceDocument(this.folder, key));
    if (known !== undefined) {
      this.traces.set(key, known);
      return known;
    }
    const begun =
      this.making.get(key) ??
      this.pool.run('makeTrace', { folder: this.folder, file, key }).finally(() => this.making.delete(key));
    this.making.set(key, begun);
    return begun;
  }

  /** Forgets a trace whose files are gone, so that it is made anew. */
  forget(trace: TraceDocument): void {
    this.traces.delete(trace.key);
  }

  private async stampOf(file: string): Promise<string> {
    const path = await confinePath(this.folder, file);
    try {
      const { size, mtimeNs, ctimeNs } = await stat(path, { bigint: true });
      return `${size} ${mtimeNs} ${ctimeNs}`;
    } catch (error) {
      throw fileError(error, path);
    }
  }

  /** An imported recording is asked for by its name without ending; so is an export, unless that name is taken. */
  private async files(): Promise<{ name: string; file: string; kind: RecordingEntry['kind'] }[]> {
    const out: { name: string; file: string; kind: RecordingEntry['kind'] }[] = [];
    const taken = new Set<string>();
    for (const [place, kind] of [
      ['recordings', 'imported'],
      ['exports', 'export'],
    ] as const)
      for (const file of await this.filesIn(place)) {
        const stem = file.replace(recordingFile, '');
        const name = taken.has(stem) ? file : stem;
        taken.add(name);
        out.push({ name, file: `${place}/${file}`, kind });
      }
    return out;
  }

  private async filesIn(place: string): Promise<string[]> {
    const inside = await confinePath(this.folder, place);
    try {
      const names = await readdir(inside);
      return names.filter((n) => recordingFile.test(n) && !n.startsWith('.')).sort();
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
      throw fileError(error, inside);
    }
  }

  private async entry(
    name: string,
    file: string,
    kind: RecordingEntry['kind'],
    checksums: Checksums,
  ): Promise<RecordingEntry> {
    const base = { name, file, kind, ...recordingName(file) };
    try {
      const path = await confinePath(this.folder, file);
      const { size } = await stat(path);
      const sha256 = await checksums.of(file);
      const beside = /\.parquet$/i.test(file) ? await this.documentBeside(file) : undefined;
      return { ...base, bytes: size, sha256, ...beside };
    } catch (error) {
      const coded = isTautlineError(error) ? error : fileError(error, file);
      return { ...base, bytes: 0, error: errorDocument(coded, this.folder) };
    }
  }

  private async documentBeside(file: string): Promise<Pick<RecordingEntry, 'rows' | 'channels'> | undefined> {
    const path = await confinePath(this.folder, file.replace(/\.parquet$/i, '.yaml'));
    const isThere = await stat(path).then(
      () => true,
      () => false,
    );
    if (!isThere) return undefined;
    const { source, columns } = (await readYamlDocument(path, recordingSchema)) as RecordingDocument;
    const channels = columns.flatMap((c) => (c.role === undefined ? [] : [[c.role, c.header] as const]));
    return { rows: source.rows, channels: Object.fromEntries(channels) };
  }
}
