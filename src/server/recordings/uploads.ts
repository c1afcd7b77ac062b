import { createHash, randomBytes } from 'node:crypto';
import { createWriteStream } from 'node:fs';
import { mkdir, readdir, rename, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import type { Readable } from 'node:stream';
import { Transform } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { TautlineError } from '../../engine/errors.js';
import { confinePath, unfitName } from '../../node/files/confinePath.js';
import { removeAbandoned, temporaryName } from '../../node/files/temporary.js';
import { systemCode, writeError } from '../../node/files/writeError.js';

/** Where uploads wait for their import, from the line folder. */
const place = '.tautline/uploads';
/** An upload that nobody imported is removed after this [ms]. */
const lifetime = 3 * 24 * 3600 * 1000;
/** Bytes of a file name beside which temporary names still fit. */
const longestName = 150;

export interface Upload {
  /** Hash of the content. */
  readonly upload: string;
  /** Path from the line folder. */
  readonly file: string;
  readonly bytes: number;
}

/** Files that were dropped into the workbench and are not imported yet. They lie in the line folder, since only there is surely room for them. */
export class Uploads {
  constructor(
    private readonly folder: string,
    private readonly mostBytes: number,
  ) {}

  /**
   * Takes a file in as it comes. Larger ones than allowed are refused as soon as that is seen, and nothing stays behind.
   * @throws TautlineError path_outside_folder for its name, request_too_large, request_invalid when it breaks off, disk_full ...
   */
  async take(name: string, body: Readable, statedBytes: number | undefined): Promise<Upload> {
    checkName(name);
    if ((statedBytes ?? 0) > this.mostBytes) throw this.tooLarge(name, statedBytes ?? 0);
    const inside = await confinePath(this.folder, place);
    const work = join(inside, temporaryName(randomBytes(4).toString('hex')));
    try {
      await mkdir(work, { recursive: true });
      await removeAbandoned(inside);
      const { upload, bytes } = await this.write(join(work, name), name, body);
      const target = await confinePath(this.folder, `${place}/${upload}`);
      await rm(target, { recursive: true, force: true });
      await rename(work, target);
      return { upload, file: `${place}/${upload}/${name}`, bytes };
    } catch (error) {
      // the page was closed, or the network went away
      if (['ERR_STREAM_PREMATURE_CLOSE', 'ECONNRESET'].includes(systemCode(error)))
        throw new TautlineError('request_invalid', { name }, `${name} came in part only`, 'send it again');
      throw writeError(error, join(inside, name));
    } finally {
      await rm(work, { recursive: true, force: true }).catch(() => undefined);
    }
  }

  /** @throws TautlineError not_found */
  async find(upload: string): Promise<Upload> {
    const path = await confinePath(this.folder, `${place}/${upload}`);
    // while it is proposed how to read it, a temporary folder lies beside it
    const name = (await readdir(path).catch(() => [])).find((n) => !n.startsWith('.'));
    if (name === undefined)
      throw new TautlineError(
        'not_found',
        { upload },
        'this upload is not here, or no longer: it was imported, or nobody did for three days',
        'drop the file again',
      );
    const { size } = await stat(join(path, name));
    return { upload, file: `${place}/${upload}/${name}`, bytes: size };
  }

  async remove(upload: string): Promise<void> {
    const path = await confinePath(this.folder, `${place}/${upload}`);
    await rm(path, { recursive: true, force: true }).catch(() => undefined);
  }

  /** Removes what nobody imported. Never fails. */
  async removeOld(now = Date.now()): Promise<void> {
    const inside = await confinePath(this.folder, place).catch(() => undefined);
    if (inside === undefined) return;
    await removeAbandoned(inside);
    for (const name of await readdir(inside).catch(() => [])) {
      const path = join(inside, name);
      const found = await stat(path).catch(() => undefined);
      if (found !== undefined && now - found.mtimeMs > lifetime)
        await rm(path, { recursive: true, force: true }).catch(() => undefined);
    }
  }

  private async write(
    path: string,
    name: string,
    body: Readable,
  ): Promise<{ upload: string; bytes: number }> {
    const hash = createHash('sha256');
    let bytes = 0;
    const count = new Transform({
      transform: (chunk: Buffer, _, done) => {
        bytes += chunk.length;
        hash.update(chunk);
        if (bytes > this.mostBytes) done(this.tooLarge(name, bytes));
        else done(null, chunk);
      },
    });
    await pipeline(body, count, createWriteStream(path, { flags: 'wx' }));
    return { upload: hash.update(`\0${name}`).digest('hex').slice(0, 32), bytes };
  }

  private tooLarge(name: string, bytes: number): TautlineError {
    return new TautlineError(
      'request_too_large',
      { name, bytes, most: this.mostBytes },
      `${name} has ${bytes} bytes or more; the server takes ${this.mostBytes}`,
      'import it with tautline import on the machine itself',
    );
  }
}

function checkName(name: string): void {
  const why =
    unfitName(name) ??
    (Buffer.byteLength(name) > longestName ? `it is longer than ${longestName} bytes` : undefined) ??
    (name.startsWith('.') ? 'it begins with a point' : undefined);
  if (why === undefined) return;
  throw new TautlineError(
    'path_outside_folder',
    { name: name.replaceAll('\0', '\\0') },
    `no recording can have this file name: ${why}`,
    'give the file a plain name and drop it again',
  );
}
