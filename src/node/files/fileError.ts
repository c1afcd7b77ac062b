import { basename } from 'node:path';
import { isTautlineError, TautlineError } from '../../engine/errors.js';

/** A failure to read in coded form (writeError has those to write); coded errors pass through. */
export function fileError(error: unknown, path: string): TautlineError {
  if (isTautlineError(error)) return error;
  const file = basename(path);
  const code = (error as NodeJS.ErrnoException | undefined)?.code;
  switch (code) {
    case 'ENOENT':
    case 'ENOTDIR':
      return new TautlineError(
        'file_not_found',
        { file: path },
        `there is no file ${file}`,
        'check the path',
      );
    case 'EISDIR':
      return new TautlineError(
        'file_not_found',
        { file: path },
        `${file} is a folder, not a file`,
        'name a file in it',
      );
    case 'EACCES':
    case 'EPERM':
      return new TautlineError(
        'file_unreadable',
        { file: path },
        `${file} may not be read (${code})`,
        'check the permissions of the file and its folder',
      );
    default:
      return new TautlineError(
        'file_unreadable',
        { file: path },
        `${file} could not be read: ${error instanceof Error ? error.message : String(error)}`,
        'check the disk or the network share',
      );
  }
}
