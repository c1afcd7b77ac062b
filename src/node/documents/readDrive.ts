import { basename } from 'node:path';
import { TautlineError } from '../../engine/errors.js';
import type { Drive } from '../../engine/line/drive.js';
import { type DriveDocument, driveSchema, toDrive } from '../../engine/project/drive.js';
import { type PlacedDocument, parsePlacedDocument, readPlacedDocument } from './yamlDocument.js';

/** Reads a drive file. @throws TautlineError with file, line, key, value and the next step. */
export const readDriveDocument = async (path: string): Promise<DriveDocument> =>
  checked(await readPlacedDocument(path, driveSchema), basename(path));

/** As {@link readDriveDocument}, for a text that is already in memory. `file` is its name in messages. */
export const parseDriveDocument = (text: string, file: string): DriveDocument =>
  checked(parsePlacedDocument(text, file, driveSchema), file);

function checked({ data }: PlacedDocument, file: string): DriveDocument {
  const document = data as DriveDocument;
  const winding = document.element === 'unwind' || document.element === 'winder';
  if (winding && document.roller_diameter_m !== undefined)
    throw new TautlineError(
      'document_schema',
      { file, key: 'roller_diameter_m', value: document.roller_diameter_m },
      `${file}: the diameter of an unwind or winder changes, so it has no roller_diameter_m`,
      'state core_diameter_m instead of roller_diameter_m',
    );
  return document;
}

/** Reads a drive file for computing. @throws TautlineError as {@link readDriveDocument} */
export const readDrive = async (path: string): Promise<Drive> => toDrive(await readDriveDocument(path));
