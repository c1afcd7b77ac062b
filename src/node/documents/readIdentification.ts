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
  const document = complete(
    (await readJsonDocument(path, identificationSchema)) as StatedIdentification,
    basename(path),
  );
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

/** What a document must state; another program may leave the rest out. */
type StatedIdentification = Pick<IdentificationDocument, 'schema' | 'estimates'> &
  Partial<IdentificationDocument>;

/**
 * The document with what it leaves out as empty: no list, no reason, a drive of which nothing but the name is known. Nothing
 * that a computation needs is made up: without a roller diameter there is no tug, without a covariance the curve's own band counts.
 */
function complete(document: StatedIdentification, file: string): IdentificationDocument {
  const name = document.name ?? document.drive?.name ?? 'drive';
  return {
    ...document,
    name,
    verdict: document.verdict ?? 'identified',
    findings: document.findings ?? [],
    channels: document.channels ?? [],
    segments: (document.segments ?? []).map((s) => ({ ...s, used: s.used ?? s.kind !== 'excluded' })),
    notEstimated: document.notEstimated ?? [],
    drive: document.drive ?? { schema: 'tautline/drive@1', name, element: 'driven-idler' },
    inputs: document.inputs ?? { file, sha256: '', rows: 0 },
  };
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
