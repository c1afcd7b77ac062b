import { createHash } from 'node:crypto';
import { access, readdir } from 'node:fs/promises';
import { isTautlineError } from '../../engine/errors.js';
import { board } from '../../engine/project/board/board.js';
import type { BoardDocument } from '../../engine/project/board/boardDocument.js';
import {
  type BoardFile,
  type BoardInput,
  type BoardRecording,
  documentOf,
  plainPath,
} from '../../engine/project/board/boardInput.js';
import { drivenRows } from '../../engine/project/board/drivenRows.js';
import type { DriveDocument } from '../../engine/project/drive.js';
import { type LineDocument, lineSchema } from '../../engine/project/line/lineDocument.js';
import { type RecordingDocument, recordingChoices, recordingSchema } from '../../engine/project/recording.js';
import type { UnitSystem } from '../../engine/units/quantity.js';
import { readDriveDocument } from '../documents/readDrive.js';
import { readIdentification } from '../documents/readIdentification.js';
import { readYamlDocument } from '../documents/yamlDocument.js';
import { Checksums } from '../files/checksums.js';
import { confinePath } from '../files/confinePath.js';
import { fileError } from '../files/fileError.js';
import { readProduct } from './readProduct.js';

export interface BoardOptions {
  /** Day on which the board is looked at, ISO 8601; without it no visit is due. */
  readonly today?: string;
  readonly units?: UnitSystem;
}

/**
 * The commissioning board of a line folder. A document or recording that cannot be read costs its own cells and becomes an entry of `next`, it
 * throws nothing. @throws TautlineError only for the folder itself
 */
export const readBoard = async (folder: string, options: BoardOptions = {}): Promise<BoardDocument> =>
  board(await readBoardInput(folder, options));

/** What the board follows from, read from a line folder. Recordings are read for their checksums only, and those are kept. */
export async function readBoardInput(folder: string, options: BoardOptions = {}): Promise<BoardInput> {
  const read = async <T>(file: string, how: (path: string) => Promise<T>): Promise<BoardFile<T>> => {
    try {
      return { file, document: await how(await confinePath(folder, file)) };
    } catch (error) {
      return { file, problem: problemIn(error) };
    }
  };
  const line = await read(
    'line.yaml',
    async (path) => (await readYamlDocument(path, lineSchema)) as LineDocument,
  );
  const rows = drivenRows(documentOf(line), []);
  const named = (key: 'driveFile' | 'identification'): string[] => rows.flatMap((row) => row[key] ?? []);
  const files = async (place: string, ending: RegExp, more: readonly string[] = []): Promise<string[]> => [
    ...new Set([...(await list(folder, place)).filter((name) => ending.test(name)), ...more]),
  ];
  const drives: BoardFile<DriveDocument>[] = [];
  for (const file of await files('drives', /\.ya?ml$/i, named('driveFile')))
    drives.push(await read(file, readDriveDocument));
  const products: BoardInput['products'][number][] = [];
  for (const file of await files('products', /\.ya?ml$/i))
    products.push(await read(file, async (path) => (await readProduct(path)).document));
  const identifications: BoardInput['identifications'][number][] = [];
  for (const file of await files('identifications', /\.json$/i, named('identification')))
    identifications.push(await read(file, readIdentification));
  return {
    line,
    drives,
    products,
    identifications,
    recordings: await recordings(folder),
    ...options,
  };
}

const isRecording = /\.(parquet|csv|txt|tsv|log)$/i;

async function recordings(folder: string): Promise<BoardRecording[]> {
  const checksums = await Checksums.open(folder);
  const found: BoardRecording[] = [];
  for (const place of ['recordings', 'exports'])
    for (const file of await list(folder, place))
      if (isRecording.test(file)) found.push(await recording(folder, file, checksums));
  await checksums.keep();
  return found;
}

async function recording(folder: string, file: string, checksums: Checksums): Promise<BoardRecording> {
  try {
    const sha256 = await checksums.of(file);
    const choices = /\.parquet$/i.test(file) ? await choicesBeside(folder, file) : {};
    return { file, sha256, ...choices };
  } catch (error) {
    return { file, problem: problemIn(error) };
  }
}

/** A document beside a recording that cannot be read is a problem of the recording, not of its bytes. */
async function choicesBeside(
  folder: string,
  file: string,
): Promise<Pick<BoardRecording, 'choices_sha256' | 'problem'>> {
  try {
    const beside = await confinePath(folder, file.replace(/\.parquet$/i, '.yaml'));
    const isThere = await access(beside).then(
      () => true,
      () => false,
    );
    if (!isThere) return {};
    const document = (await readYamlDocument(beside, recordingSchema)) as RecordingDocument;
    return { choices_sha256: createHash('sha256').update(recordingChoices(document)).digest('hex') };
  } catch (error) {
    return { problem: problemIn(error) };
  }
}

/** Names in a place of the folder as paths from the folder, sorted; none where the place is not there. */
async function list(folder: string, place: string): Promise<string[]> {
  const inside = await confinePath(folder, place);
  try {
    return (await readdir(inside)).sort().map((name) => plainPath(`${place}/${name}`));
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
    throw fileError(error, inside);
  }
}

function problemIn(error: unknown): NonNullable<BoardRecording['problem']> {
  if (!isTautlineError(error)) throw error;
  const { code, message, where, next } = error;
  return { code, message, where, next };
}
