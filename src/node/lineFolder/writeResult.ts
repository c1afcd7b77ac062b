import { mkdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { atomicWrite, publishNew } from '../files/atomicWrite.js';
import { confinePath } from '../files/confinePath.js';
import { temporaryName } from '../files/temporary.js';
import { writeError } from '../files/writeError.js';

/**
 * Writes a result into a place of a line folder, NAME.json or NAME-2.json ..., under a name that no other result has; the same result again is not
 * written twice. @returns its path from the line folder. @throws TautlineError path_outside_folder, folder_not_writable, disk_full, write_failed
 */
export async function writeResult(
  folder: string,
  place: string,
  name: string,
  text: string,
): Promise<string> {
  const inside = await makeFolder(folder, place);
  for (let k = 1; ; k++) {
    const file = k === 1 ? `${name}.json` : `${name}-${k}.json`;
    const path = join(inside, file);
    const before = await readFile(path, 'utf8').catch(() => undefined);
    if (before === text) return join(place, file);
    if (before !== undefined) continue;
    const temporary = join(inside, temporaryName(file));
    await atomicWrite(temporary, text);
    if (await publishNew(temporary, path)) return join(place, file);
  }
}

async function makeFolder(folder: string, place: string): Promise<string> {
  const inside = await confinePath(folder, place);
  try {
    await mkdir(inside, { recursive: true });
  } catch (error) {
    throw writeError(error, inside);
  }
  return inside;
}

/** Writes a file of a place of a line folder over the one that is there. @returns its path from the line folder. @throws as writeResult */
export async function writeInside(
  folder: string,
  place: string,
  file: string,
  text: string,
): Promise<string> {
  const inside = await makeFolder(folder, place);
  await atomicWrite(join(inside, file), text);
  return join(place, file);
}
