import { readFile, stat } from 'node:fs/promises';
import { basename } from 'node:path';
import { TautlineError } from '../../engine/errors.js';
import { fileError } from '../files/fileError.js';

/**
 * The text of a document, refused before it is read when it is larger than such a document can be.
 * @throws TautlineError document_too_large, file_not_found, file_unreadable
 */
export const readSmallText = async (path: string, largestBytes: number): Promise<string> =>
  (await readSmallBytes(path, largestBytes)).toString('utf8');

/** As {@link readSmallText}, for whoever also needs the checksum of what was read. */
export async function readSmallBytes(path: string, largestBytes: number): Promise<Buffer> {
  try {
    const { size } = await stat(path);
    if (size > largestBytes)
      throw new TautlineError(
        'document_too_large',
        { file: basename(path), bytes: size },
        `${basename(path)} has ${size} bytes; a document of this kind has less than ${largestBytes}`,
        'check that this is the document and not a recording',
      );
    return await readFile(path);
  } catch (error) {
    throw fileError(error, path);
  }
}
