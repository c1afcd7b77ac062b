import { lstat, realpath, stat } from 'node:fs/promises';
import { join, sep } from 'node:path';
import { TautlineError } from '../../engine/errors.js';
import { systemCode, writeError } from './writeError.js';

const reserved = /^(con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³]|conin\$|conout\$)(\..*)?$/i;
const mostCharacters = 255;

/**
 * The path of something inside a folder, from a relative path that came from outside (a document, a request, an option). What would lead
 * out of the folder is refused, also by way of a symbolic link, and so is a name that not every system can hold: folders are mailed
 * between machines. @returns an absolute path with the folder's links resolved. @throws TautlineError path_outside_folder, folder_not_writable
 */
export async function confinePath(root: string, relative: string): Promise<string> {
  const refuse = (why: string): TautlineError =>
    new TautlineError(
      'path_outside_folder',
      { folder: root, path: relative.replaceAll('\0', '\\0') },
      `"${relative.replaceAll('\0', '\\0')}" cannot be a path in this folder: ${why}`,
      'give a path below the folder, in plain names, for instance recordings/unwind.csv',
    );
  const parts = partsOf(relative, refuse);
  let real: string;
  try {
    real = await realpath(root);
    if (!(await stat(real)).isDirectory())
      throw Object.assign(new Error(`${root} is no folder`), { code: 'ENOTDIR' });
  } catch (error) {
    throw writeError(error, root);
  }
  let at = real;
  for (const part of parts) {
    at = join(at, part);
    const found = await lstat(at).catch((error: unknown) => {
      if (systemCode(error) === 'ENOENT') return undefined;
      throw refuse(`${part} cannot be reached (${systemCode(error)})`);
    });
    // what is not there yet cannot be a link, and neither can what is to be below it
    if (!found) break;
    if (!found.isSymbolicLink()) continue;
    const target = await realpath(at).catch(() => undefined);
    if (target === undefined) throw refuse(`${part} is a link to something that is not there`);
    if (target !== real && !target.startsWith(real.endsWith(sep) ? real : real + sep))
      throw refuse(`${part} is a link that leads out of the folder`);
  }
  return join(real, ...parts);
}

function partsOf(relative: string, refuse: (why: string) => TautlineError): string[] {
  if (relative === '') throw refuse('it is empty');
  if (/^[/\\]/.test(relative) || /^[A-Za-z]:/.test(relative)) throw refuse('it is absolute');
  const parts = relative.split(/[/\\]/).filter((p) => p !== '' && p !== '.');
  if (parts.length === 0) throw refuse('it names the folder itself');
  for (const part of parts) {
    if (part === '..') throw refuse('it leads upwards');
    const why = unfitName(part);
    if (why !== undefined) throw refuse(why);
  }
  return parts;
}

/** Why a text cannot be the name of a file on every system, or undefined. */
export function unfitName(name: string): string | undefined {
  if (name === '' || name === '.' || name === '..') return 'a name is empty or dots';
  // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what is looked for
  if (/[\u0000-\u001f\u007f<>:"|?*/\\]/.test(name))
    return `"${name}" holds a character that no file name may hold`;
  if (/[. ]$/.test(name)) return `"${name}" ends with a point or a blank`;
  if (reserved.test(name)) return `"${name}" is a reserved name on Windows`;
  return Buffer.byteLength(name) > mostCharacters ? 'a name is longer than 255 bytes' : undefined;
}
