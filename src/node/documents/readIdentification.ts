import { basename } from 'node:path';
import { TautlineError } from '../../engine/errors.js';
import type { EstimatesDocument, IdentificationDocument } from '../../engine/project/identification.js';
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
  checkIntervals(basename(path), 'estimates', document.estimates);
  checkIntervals(basename(path), 'reverse.estimates', document.reverse?.estimates);
  checkIntervals(basename(path), 'symmetric.estimates', document.symmetric?.estimates);
  return document;
}

/** An interval that does not hold its value would turn every verdict that rests on it around. */
function checkIntervals(file: string, place: string, estimates: EstimatesDocument | undefined): void {
  for (const [key, { value, interval95 }] of Object.entries(estimates ?? {})) {
    const [lo, hi] = interval95;
    if (!(lo <= value && value <= hi))
      throw new TautlineError(
        'document_schema',
        { file, key: `${place}.${key}.interval95`, value: `${lo} to ${hi}` },
        `${file}: ${place}.${key} is ${value}, outside its interval of ${lo} to ${hi}`,
        'use the file as the program wrote it',
      );
  }
}
