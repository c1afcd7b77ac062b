import { randomBytes } from 'node:crypto';
import { readdir, rm, stat } from 'node:fs/promises';
import { hostname } from 'node:os';
import { join } from 'node:path';
import { systemCode } from './writeError.js';

/** A temporary file of another machine counts as left behind when it has not been written to for this long [ms]. */
const abandonedAfter = 24 * 3600 * 1000;

const host = hostname().replace(/[^A-Za-z0-9]/g, '') || 'host';
const pattern = /^\.[^/]+\.([A-Za-z0-9]+)-(\d+)-[0-9a-f]{12}\.tmp$/;

/** A name beside `name` that no other writer uses and that says which process it belongs to. */
export const temporaryName = (name: string): string =>
  `.${name}.${host}-${process.pid}-${randomBytes(6).toString('hex')}.tmp`;

/** Is there a process with this id on this machine? One that belongs to somebody else counts. */
export function processRuns(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (e) {
    return systemCode(e) === 'EPERM';
  }
}

/**
 * Removes what killed writers left behind in a folder: temporary files and folders of processes of this machine that no longer run,
 * and those of other machines that are a day old. Never fails: rubbish that cannot be removed harms nobody.
 */
export async function removeAbandoned(folder: string): Promise<void> {
  for (const name of await readdir(folder).catch(() => [])) {
    const found = pattern.exec(name);
    if (!found) continue;
    const path = join(folder, name);
    if (found[1] === host ? !processRuns(Number(found[2])) : await isOld(path))
      await rm(path, { force: true, recursive: true }).catch(() => undefined);
  }
}

const isOld = (path: string): Promise<boolean> =>
  stat(path).then(
    (s) => Date.now() - s.mtimeMs > abandonedAfter,
    () => false,
  );
