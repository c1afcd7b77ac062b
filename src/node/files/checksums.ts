import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { mkdir, readFile, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { atomicWrite } from './atomicWrite.js';
import { confinePath } from './confinePath.js';
import { fileError } from './fileError.js';

/** Where the checksums are kept, from the line folder. They may be deleted at any time and are then taken anew. */
const place = '.tautline';
const fileName = 'checksums.json';

/** What tells that a file is still the one whose checksum was taken. Nanoseconds as text: they do not fit into a double. */
interface Entry {
  readonly size: number;
  readonly mtime: string;
  readonly ctime: string;
  readonly sha256: string;
}

/**
 * A file that changed this recently may change again without its time moving on (coarse clocks of file systems): its checksum is not kept.
 */
const settled = 2000;

/** SHA-256 of the files of a line folder; a file whose size and times did not change is not read again. */
export class Checksums {
  private readonly used = new Map<string, Entry>();
  private changed = false;

  private constructor(
    private readonly folder: string,
    private readonly before: ReadonlyMap<string, Entry>,
  ) {}

  /** Starts from what was kept; from nothing where that cannot be read. */
  static async open(folder: string): Promise<Checksums> {
    const text = await confinePath(folder, `${place}/${fileName}`)
      .then((path) => readFile(path, 'utf8'))
      .catch(() => '{}');
    return new Checksums(folder, entriesIn(text));
  }

  /** Checksum of a file by its path from the folder, with slashes. @throws TautlineError file_not_found, file_unreadable, path_outside_folder */
  async of(file: string): Promise<string> {
    const path = await confinePath(this.folder, file);
    const { size, mtime, ctime, isFile, age } = await timesOf(path);
    const kept = this.before.get(file);
    if (isFile && kept?.size === size && kept.mtime === mtime && kept.ctime === ctime) {
      this.used.set(file, kept);
      return kept.sha256;
    }
    const sha256 = await hashOf(path);
    this.changed = true;
    if (age > settled) this.used.set(file, { size, mtime, ctime, sha256 });
    return sha256;
  }

  /** Keeps what was asked for since `open`, for the next time. A folder that cannot be written costs time, not the answer. */
  async keep(): Promise<void> {
    if (!this.changed && this.used.size === this.before.size) return;
    try {
      const inside = await confinePath(this.folder, place);
      await mkdir(inside, { recursive: true });
      const entries = Object.fromEntries([...this.used].sort(([a], [b]) => (a < b ? -1 : 1)));
      await atomicWrite(join(inside, fileName), `${JSON.stringify(entries, undefined, 1)}\n`);
    } catch {
      // read-only media, another user's folder
    }
  }
}

async function timesOf(
  path: string,
): Promise<{ size: number; mtime: string; ctime: string; isFile: boolean; age: number }> {
  try {
    const s = await stat(path, { bigint: true });
    return {
      size: Number(s.size),
      mtime: String(s.mtimeNs),
      ctime: String(s.ctimeNs),
      isFile: s.isFile(),
      age: Date.now() - Number(s.mtimeNs > s.ctimeNs ? s.mtimeMs : s.ctimeMs),
    };
  } catch (error) {
    throw fileError(error, path);
  }
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

function entriesIn(text: string): Map<string, Entry> {
  let data: unknown;
  try {
    data = JSON.parse(text);
  } catch {
    return new Map();
  }
  if (typeof data !== 'object' || data === null) return new Map();
  return new Map(Object.entries(data).filter((pair): pair is [string, Entry] => isEntry(pair[1])));
}

function isEntry(value: unknown): value is Entry {
  if (typeof value !== 'object' || value === null) return false;
  const { size, mtime, ctime, sha256 } = value as Partial<Record<keyof Entry, unknown>>;
  return (
    typeof size === 'number' &&
    typeof mtime === 'string' &&
    typeof ctime === 'string' &&
    typeof sha256 === 'string' &&
    /^[0-9a-f]{64}$/.test(sha256)
  );
}
