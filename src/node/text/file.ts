import { type FileHandle, open, stat } from 'node:fs/promises';
import { isTautlineError, TautlineError } from '../../engine/errors.js';
import { type Hasher, hashHere, hashInThread } from './hash.js';

const codeOf = (e: unknown): string =>
  typeof e === 'object' && e !== null && 'code' in e ? String(e.code) : String(e);

function notFound(path: string, what: string): TautlineError {
  return new TautlineError(
    'file_not_found',
    { file: path },
    `${path}: ${what}`,
    'check the path and the spelling of the file name',
  );
}

function unreadable(path: string, e: unknown): TautlineError {
  return new TautlineError(
    'file_unreadable',
    { file: path, cause: codeOf(e) },
    `${path}: cannot be read (${codeOf(e)})`,
    'check the permissions of the file and the disk it is on',
  );
}

function changed(path: string, what: string): TautlineError {
  return new TautlineError(
    'file_changed',
    { file: path },
    `${path}: ${what} while it was read`,
    'wait until the export has finished, or copy the file to a local disk, and import again',
  );
}

/** From this size on [bytes] the checksum is worth a thread of its own. */
const threadFrom = 32 * 1024 * 1024;

/** A file that is read once from front to back, with the next chunk on its way while the last is worked on, and its SHA-256. */
export class FileReader {
  private readonly hasher: Hasher;
  private constructor(
    private readonly path: string,
    private readonly handle: FileHandle,
    readonly size: number,
    private readonly modified: number,
  ) {
    this.hasher = size >= threadFrom ? hashInThread() : hashHere();
  }

  /** @throws TautlineError file_not_found (also for a folder), file_unreadable */
  static async open(path: string): Promise<FileReader> {
    let handle: FileHandle | undefined;
    try {
      // looked at before it is opened: opening a pipe waits for its other end
      const kind = await stat(path);
      if (kind.isDirectory()) throw notFound(path, 'is a folder, not a file');
      if (!kind.isFile()) throw notFound(path, 'is not a regular file');
      handle = await open(path, 'r');
      const s = await handle.stat();
      return new FileReader(path, handle, s.size, s.mtimeMs);
    } catch (e) {
      await handle?.close();
      if (isTautlineError(e)) throw e;
      if (codeOf(e) === 'ENOENT' || codeOf(e) === 'ENOTDIR') throw notFound(path, 'no such file');
      throw unreadable(path, e);
    }
  }

  /** The chunks in order. A chunk is valid until the next one is asked for. */
  async *chunks(bytes: number): AsyncGenerator<Uint8Array> {
    // three buffers: one being worked on, one being filled, one that the checksum may still need
    const slots = Array.from({ length: 3 }, () => ({
      bytes: new Uint8Array(new SharedArrayBuffer(bytes)),
      hashed: Promise.resolve(),
    }));
    let position = 0;
    const fill = async (slot: (typeof slots)[number]): Promise<number> => {
      await slot.hashed;
      return this.read(slot.bytes, position);
    };
    // an error of a read ahead is thrown where it is awaited; until then it is not "unhandled"
    const ahead = (i: number): Promise<number> => {
      const filled = fill(slots[i % slots.length]!);
      filled.catch(() => 0);
      return filled;
    };
    let next = ahead(0);
    try {
      for (let i = 0; ; i++) {
        const got = await next;
        if (got === 0) break;
        position += got;
        next = ahead(i + 1);
        const slot = slots[i % slots.length]!;
        const chunk = slot.bytes.subarray(0, got);
        slot.hashed = this.hasher.update(chunk);
        slot.hashed.catch(() => 0);
        yield chunk;
      }
    } finally {
      // a read still under way must not hit a closed handle
      await next.catch(() => 0);
    }
    if (position !== this.size) throw changed(this.path, `has ${position} bytes instead of ${this.size}`);
  }

  /** Reads `length` bytes at a place, out of turn: for a look at the rest of the file. */
  async peek(position: number, length: number): Promise<Uint8Array> {
    const buffer = Buffer.alloc(length);
    return buffer.subarray(0, await this.read(buffer, position));
  }

  private async read(into: Uint8Array, position: number): Promise<number> {
    try {
      return (await this.handle.read(into, 0, into.length, position)).bytesRead;
    } catch (e) {
      throw unreadable(this.path, e);
    }
  }

  /** Checks that the file is still the one that was opened. @returns its SHA-256 in hex. */
  async finish(): Promise<string> {
    const now = await this.handle.stat();
    if (now.size !== this.size || now.mtimeMs !== this.modified) throw changed(this.path, 'was written to');
    try {
      await stat(this.path);
    } catch {
      throw changed(this.path, 'vanished');
    }
    return this.hasher.digest();
  }

  async close(): Promise<void> {
    await this.hasher.close();
    await this.handle.close();
  }
}
