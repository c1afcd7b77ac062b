import { basename } from 'node:path';
import { isTautlineError, TautlineError } from '../../engine/errors.js';

/** The system's code of a failure (`ENOSPC`), or the text of what was thrown. */
export const systemCode = (e: unknown): string =>
  typeof e === 'object' && e !== null && 'code' in e ? String(e.code) : String(e);

/** A failure to write in coded form: the disk, the folder or something else; coded errors pass through. */
export function writeError(error: unknown, path: string): TautlineError {
  if (isTautlineError(error)) return error;
  const file = basename(path);
  const cause = systemCode(error);
  switch (cause) {
    case 'ENOSPC':
    case 'EDQUOT':
    case 'EFBIG':
      return new TautlineError(
        'disk_full',
        { file: path, cause },
        `${file} could not be written: no space left (${cause})`,
        'free some space and repeat; the file is as it was before',
      );
    case 'EACCES':
    case 'EPERM':
    case 'EROFS':
    case 'ENOENT':
    case 'ENOTDIR':
      return new TautlineError(
        'folder_not_writable',
        { file: path, cause },
        `${file} could not be written: its folder is not there or may not be written to (${cause})`,
        'check that the folder exists and that you may write to it',
      );
    default:
      return new TautlineError(
        'write_failed',
        { file: path, cause },
        `${file} could not be written (${cause})`,
        'check the disk and repeat; the file is as it was before',
      );
  }
}
