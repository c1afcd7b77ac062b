import { basename } from 'node:path';
import { TautlineError } from '../../engine/errors.js';
import type { Drive } from '../../engine/line/drive.js';
import { type DriveDocument, driveSchema, toDrive } from '../../engine/project/drive.js';
import { readYamlDocument } from './yamlDocument.js';

/** Reads a drive file. @throws TautlineError with file, line, key, value and the next step. */
export async function readDriveDocument(path: string): Promise<DriveDocument> {
  const document = (await readYamlDocument(path, driveSchema)) as DriveDocument;
  const winding = document.element === 'unwind' || document.element === 'winder';
  if (winding && document.roller_diameter_m !== undefined)
    throw new TautlineError(
      'document_schema',
      { file: basename(path), key: 'roller_diameter_m', value: document.roller_diameter_m },
      `${basename(path)}: the diameter of an unwind or winder changes, so it has no roller_diameter_m`,
      'state core_diameter_m instead of roller_diameter_m',
    );
  return document;
}

/** Reads a drive file for computing. @throws TautlineError as {@link readDriveDocument} */
export const readDrive = async (path: string): Promise<Drive> => toDrive(await readDriveDocument(path));
