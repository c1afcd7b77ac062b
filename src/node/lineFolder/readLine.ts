import { readdir } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { isTautlineError, TautlineError } from '../../engine/errors.js';
import { standsForDrive } from '../../engine/identify/standsForDrive.js';
import type { Drive } from '../../engine/line/drive.js';
import type { Line, MeasuredDrive } from '../../engine/line/line.js';
import { toDrive } from '../../engine/project/drive.js';
import { fromIdentificationDocument } from '../../engine/project/identification.js';
import {
  type LineDocument,
  lineSchema,
  type RollerDocument,
} from '../../engine/project/line/lineDocument.js';
import { measuredDrive } from '../../engine/project/line/measuredDrive.js';
import { toLine } from '../../engine/project/line/toLine.js';
import { compareVisits, driveBase, identificationName } from '../../engine/project/visit.js';
import { readDriveDocument } from '../documents/readDrive.js';
import { readIdentification } from '../documents/readIdentification.js';
import { type PlacedDocument, placedError, readPlacedDocument } from '../documents/yamlDocument.js';
import { confinePath } from '../files/confinePath.js';
import { fileError } from '../files/fileError.js';

export interface PlacedLine {
  readonly document: LineDocument;
  readonly line: Line;
  /** A place inside the document with file and line, for findings. */
  readonly placed: PlacedDocument['placed'];
}

/**
 * Reads a line with everything that it refers to: drive files, and of each drive the identification that it names or else the latest one in
 * identifications/. @throws TautlineError with file, line, key, value and the next step
 */
export async function readLine(path: string): Promise<PlacedLine> {
  const { data, placed } = await readPlacedDocument(path, lineSchema);
  const document = data as LineDocument;
  return { document, line: await resolveReferences(dirname(path), document, placed), placed };
}

/**
 * The line of a document in a folder. `fresh` holds what was just measured, by drive file; it counts before what lies in identifications/.
 * @throws TautlineError with file, line, key, value and the next step
 */
export async function resolveReferences(
  folder: string,
  document: LineDocument,
  placed: PlacedDocument['placed'],
  fresh: ReadonlyMap<string, MeasuredDrive> = new Map(),
): Promise<Line> {
  const drives = new Map<string, Drive>();
  const measured = new Map(fresh);
  for (const { roller, pointer } of rollersIn(document)) {
    const { drive, identification } = roller;
    if (typeof drive === 'string' && !drives.has(drive)) {
      const read = async (): Promise<Drive> =>
        toDrive(await readDriveDocument(await confinePath(folder, drive)));
      drives.set(drive, await atPlace(read, `${pointer}.drive`, placed));
      if (identification === undefined && !measured.has(drive)) {
        const latest = await latestIdentification(folder, drive);
        if (latest !== undefined) measured.set(drive, latest);
      }
    }
    if (identification !== undefined && !measured.has(identification)) {
      const read = async (): Promise<MeasuredDrive> =>
        readMeasured(await confinePath(folder, identification));
      measured.set(identification, await atPlace(read, `${pointer}.identification`, placed));
    }
  }
  try {
    return toLine(document, { drives, measured });
  } catch (error) {
    throw placedError(error, placed);
  }
}

/** Every roller that a line document states, with the pointer to its keys. */
function* rollersIn(document: LineDocument): Generator<{ roller: RollerDocument; pointer: string }> {
  for (const [k, section] of document.sections.entries()) {
    const pointer = `sections.${k}`;
    yield { roller: section, pointer };
    for (const [j, roller] of (section.rollers ?? []).entries())
      yield { roller, pointer: `${pointer}.rollers.${j}` };
    for (const key of ['drum', 'rear_drum', 'front_drum'] as const) {
      const drum = section[key];
      if (drum !== undefined && typeof drum !== 'string')
        yield { roller: drum, pointer: `${pointer}.${key}` };
    }
  }
}

/** An error about a file that the line refers to also says where it is referred to. */
async function atPlace<T>(
  read: () => Promise<T>,
  pointer: string,
  placed: PlacedDocument['placed'],
): Promise<T> {
  try {
    return await read();
  } catch (error) {
    if (!isTautlineError(error)) throw error;
    const { file, line } = placed({ pointer });
    throw new TautlineError(
      error.code,
      { ...error.where, from: `${String(file)}:${String(line)}` },
      error.message,
      error.next,
    );
  }
}

async function readMeasured(path: string): Promise<MeasuredDrive> {
  const document = await readIdentification(path);
  return measuredDrive(fromIdentificationDocument(document), basename(path));
}

/** The latest identification that stands for a drive: BASE.VISIT.json or BASE.VISIT-k.json in identifications/. */
async function latestIdentification(folder: string, driveFile: string): Promise<MeasuredDrive | undefined> {
  const base = driveBase(driveFile);
  const inside = await confinePath(folder, 'identifications');
  const names = await readdir(inside).catch((error: unknown) => {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
    throw fileError(error, inside);
  });
  const found = names
    .flatMap((name) => {
      const parts = identificationName(name);
      return parts === undefined || parts.drive !== base ? [] : [{ name, ...parts }];
    })
    .sort((a, b) => compareVisits(b.visit, a.visit) || b.count - a.count);
  for (const { name } of found) {
    const document = await readIdentification(join(inside, name));
    if (standsForDrive(document)) return measuredDrive(fromIdentificationDocument(document), name);
  }
  return undefined;
}
