import type { RollInput } from '../../engine/program/roll/rollInput.js';
import { type RollDocument, rollSchema, toRollInput } from '../../engine/project/roll/rollDocument.js';
import {
  type PlacedDocument,
  parsePlacedDocument,
  placedError,
  readPlacedDocument,
} from '../documents/yamlDocument.js';

export interface PlacedRoll {
  readonly document: RollDocument;
  readonly input: RollInput;
  /** A place inside the document with file and line, for findings. */
  readonly placed: PlacedDocument['placed'];
}

/** Reads a roll. @throws TautlineError with file, line, key, value and the next step */
export const readRoll = async (path: string): Promise<PlacedRoll> =>
  asRoll(await readPlacedDocument(path, rollSchema));

/** As {@link readRoll}, for a text that is already in memory. `file` is its name in messages. */
export const parseRoll = (text: string, file: string): PlacedRoll =>
  asRoll(parsePlacedDocument(text, file, rollSchema));

function asRoll({ data, placed }: PlacedDocument): PlacedRoll {
  const document = data as RollDocument;
  try {
    return { document, input: toRollInput(document), placed };
  } catch (error) {
    throw placedError(error, placed);
  }
}
