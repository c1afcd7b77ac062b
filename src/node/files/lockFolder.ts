import { link, open, readFile, rm } from 'node:fs/promises';
import { hostname } from 'node:os';
import { join } from 'node:path';
import { TautlineError } from '../../engine/errors.js';
import { processRuns, removeAbandoned, temporaryName } from './temporary.js';
import { systemCode, writeError } from './writeError.js';

export const lockName = '.tautline-lock';

export interface FolderLock {
  /** Gives the folder free again. */
  release(): Promise<void>;
}

/** Tries after which a lock that keeps changing hands is left to the others. */
const tries = 50;

/**
 * Claims a folder for one writer. The lock file names process and machine; one left by a process of this machine that no longer runs is
 * taken over, one of another machine is not, since nobody here can tell whether its owner still works.
 * @throws TautlineError folder_locked, folder_not_writable, disk_full, write_failed
 */
export async function lockFolder(folder: string): Promise<FolderLock> {
  const path = join(folder, lockName);
  const temporary = join(folder, temporaryName(lockName));
  const content = JSON.stringify({ pid: process.pid, host: hostname(), key: temporary.slice(-16, -4) });
  await removeAbandoned(folder);
  try {
    const handle = await open(temporary, 'wx');
    try {
      await handle.writeFile(content);
      await handle.sync();
    } finally {
      await handle.close();
    }
    for (let attempt = 0; attempt < tries; attempt++) {
      if (await claim(temporary, path, content)) return { release: () => release(path, content) };
      const found = await readFile(path, 'utf8').catch(() => undefined);
      if (found === undefined) continue;
      const owner = ownerOf(found);
      if (!isStale(owner)) throw locked(folder, path, owner);
      await removeStale(path, found, temporary, content);
    }
    throw locked(folder, path, ownerOf((await readFile(path, 'utf8').catch(() => '')) || '{}'));
  } catch (error) {
    throw writeError(error, path);
  } finally {
    await rm(temporary, { force: true }).catch(() => undefined);
  }
}

/** Makes the lock file appear with its content in one step. @returns false when there is one already. */
async function claim(temporary: string, path: string, content: string): Promise<boolean> {
  try {
    await link(temporary, path);
    return true;
  } catch (error) {
    if (systemCode(error) === 'EEXIST') return false;
    if (!['EPERM', 'ENOTSUP', 'ENOSYS', 'EOPNOTSUPP'].includes(systemCode(error))) throw error;
  }
  // no hard links here
  try {
    const handle = await open(path, 'wx');
    await handle.writeFile(content).finally(() => handle.close());
    return true;
  } catch (error) {
    if (systemCode(error) === 'EEXIST') return false;
    throw error;
  }
}

interface Owner {
  readonly pid?: unknown;
  readonly host?: unknown;
}

function ownerOf(text: string): Owner {
  try {
    const data: unknown = JSON.parse(text);
    return typeof data === 'object' && data !== null ? data : {};
  } catch {
    return {};
  }
}

const isStale = ({ pid, host }: Owner): boolean =>
  typeof pid === 'number' && host === hostname() && pid !== process.pid && !processRuns(pid);

/**
 * Takes a stale lock away. Only the holder of a second lock file may, and only while the first is still the stale one: otherwise a slow
 * contender could take away the lock of one that has been let in meanwhile.
 */
async function removeStale(path: string, stale: string, temporary: string, content: string): Promise<void> {
  const takeover = `${path}-takeover`;
  if (await claim(temporary, takeover, content)) {
    if ((await readFile(path, 'utf8').catch(() => undefined)) === stale) await rm(path, { force: true });
    await rm(takeover, { force: true });
    return;
  }
  const found = await readFile(takeover, 'utf8').catch(() => undefined);
  // killed in the few milliseconds of taking over
  if (found !== undefined && isStale(ownerOf(found))) await rm(takeover, { force: true });
  await new Promise((done) => setTimeout(done, 5));
}

async function release(path: string, content: string): Promise<void> {
  const found = await readFile(path, 'utf8').catch(() => undefined);
  if (found === content) await rm(path, { force: true });
}

function locked(folder: string, path: string, { pid, host }: Owner): TautlineError {
  const owner =
    typeof pid === 'number' && typeof host === 'string' ? `process ${pid} on ${host}` : 'somebody';
  return new TautlineError(
    'folder_locked',
    { folder, lock: path },
    `${owner} is writing to ${folder}`,
    `wait until that has finished; if nobody works on the folder any more, delete ${lockName} in it`,
  );
}
