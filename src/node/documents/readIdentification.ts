import { basename } from 'node:path';
import { TautlineError } from '../../engine/errors.js';
import type { IdentificationDocument } from '../../engine/project/identification.js';
import { identificationSchema } from '../../engine/project/identificationSchema.js';
import { readJsonDocument } from './jsonDocument.js';

/**
 * Reads an identification as `tautline identify --json` wrote it.
 * @throws TautlineError with file, line, key, value and the next step
 */
export async function readIdentification(path: string): Promise<IdentificationDocument> {
  const document = (await readJsonDocument(path, identificationSchema)) as IdentificationDocument;
  const { covariance } = document;
  const size = covariance?.names.length;
  if (covariance?.matrix.some((row) => row.length !== size) || covariance?.matrix.length !== size)
    throw new TautlineError(
      'document_schema',
      { file: basename(path), key: 'covariance.matrix', names: size ?? 0 },
      `${basename(path)}: the covariance has ${size} names but its matrix is not ${size} by ${size}`,
      'use the file as the program wrote it',
    );
  return document;
}
