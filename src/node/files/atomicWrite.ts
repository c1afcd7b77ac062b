import { link, open, rename, rm, unlink } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { removeAbandoned, temporaryName } from './temporary.js';
import { systemCode, writeError } from './writeError.js';

/**
 * Writes a file so that at any moment, whatever kills the process or the machine, the path holds either the old content or the whole
 * new one: a temporary file in the same folder, flushed to disk, renamed over the path, the folder flushed too.
 * @param mode rights of the file where the system has them; those of any new file by default
 * @throws TautlineError folder_not_writable, disk_full, write_failed; the old content is then untouched.
 */
export async function atomicWrite(path: string, data: string | Uint8Array, mode = 0o666): Promise<void> {
  const folder = dirname(path);
  await removeAbandoned(folder);
  const temporary = join(folder, temporaryName(basename(path)));
  try {
    const handle = await open(temporary, 'wx', mode);
    try {
      await handle.writeFile(data);
      await handle.sync();
    } finally {
      await handle.close();
    }
    await rename(temporary, path);
    await syncFolder(folder);
  } catch (error) {
    await rm(temporary, { force: true }).catch(() => undefined);
    throw writeError(error, path);
  }
}

/**
 * Puts a finished temporary file in place under a name that must be free, and flushes it and the folder.
 * @returns false when the name is taken; the temporary file is then still there.
 * @throws TautlineError folder_not_writable, disk_full, write_failed
 */
export async function publishNew(temporary: string, path: string): Promise<boolean> {
  try {
    await syncFile(temporary);
    try {
      // a hard link, unlike rename, never replaces what is there
      await link(temporary, path);
    } catch (error) {
      if (systemCode(error) === 'EEXIST') return false;
      if (!['EPERM', 'ENOTSUP', 'ENOSYS', 'EOPNOTSUPP', 'EMLINK'].includes(systemCode(error))) throw error;
      return await publishWithoutLinks(temporary, path);
    }
    await unlink(temporary);
    await syncFolder(dirname(path));
    return true;
  } catch (error) {
    throw writeError(error, path);
  }
}

/** On file systems without hard links: an empty file claims the name, then the finished one replaces it. */
async function publishWithoutLinks(temporary: string, path: string): Promise<boolean> {
  try {
    await (await open(path, 'wx')).close();
  } catch (error) {
    if (systemCode(error) === 'EEXIST') return false;
    throw error;
  }
  await rename(temporary, path);
  await syncFolder(dirname(path));
  return true;
}

async function syncFile(path: string): Promise<void> {
  const handle = await open(path, 'r+');
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}

/** Flushes a folder, so that a rename in it survives a power cut. Windows has no such call and needs none. */
async function syncFolder(folder: string): Promise<void> {
  if (process.platform === 'win32') return;
  const handle = await open(folder, 'r');
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}
