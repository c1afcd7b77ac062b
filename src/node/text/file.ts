import { createHash } from 'node:crypto';
import { type FileHandle, open, stat } from 'node:fs/promises';
import { TautlineError } from '../../engine/errors.js';

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

/** A file that is read once from front to back, with the next chunk on its way while the last is worked on, and its SHA-256. */
export class FileReader {
  private readonly hash = createHash('sha256');
  private constructor(
    private readonly path: string,
    private readonly handle: FileHandle,
    readonly size: number,
    private readonly modified: number,
  ) {}

  /** @throws TautlineError file_not_found (also for a folder), file_unreadable */
  static async open(path: string): Promise<FileReader> {
    let handle: FileHandle;
    try {
      handle = await open(path, 'r');
    } catch (e) {
      if (codeOf(e) === 'ENOENT' || codeOf(e) === 'ENOTDIR') throw notFound(path, 'no such file');
      if (codeOf(e) === 'EISDIR') throw notFound(path, 'is a folder, not a file');
      throw unreadable(path, e);
    }
    const s = await handle.stat();
    if (s.isFile()) return new FileReader(path, handle, s.size, s.mtimeMs);
    await handle.close();
    throw notFound(path, s.isDirectory() ? 'is a folder, not a file' : 'is not a regular file');
  }

  /** The chunks in order. A chunk is valid until the next one is asked for. */
  async *chunks(bytes: number): AsyncGenerator<Uint8Array> {
    let current = Buffer.allocUnsafeSlow(bytes);
    let other = Buffer.allocUnsafeSlow(bytes);
    let position = 0;
    // an error of a read ahead is thrown where it is awaited; until then it is not "unhandled"
    const ahead = (): Promise<number> => {
      const read = this.read(current, position);
      read.catch(() => 0);
      return read;
    };
    let next = ahead();
    try {
      for (;;) {
        const got = await next;
        if (got === 0) break;
        position += got;
        const chunk = current.subarray(0, got);
        [current, other] = [other, current];
        next = ahead();
        this.hash.update(chunk);
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

  private async read(into: Buffer, position: number): Promise<number> {
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
    return this.hash.digest('hex');
  }

  close(): Promise<void> {
    return this.handle.close();
  }
}
