import { basename } from 'node:path';
import { type Document, isMap, isScalar, LineCounter, parseDocument, type Scalar } from 'yaml';
import { isTautlineError, TautlineError, type Where } from '../../engine/errors.js';
import type { JsonSchema } from '../../engine/project/jsonSchema.js';
import { type Restated, restateUnits } from '../../engine/project/unitKeys.js';
import { checkDocument } from './checkDocument.js';
import { readSmallText } from './readSmallText.js';

/** A document of this size is no hand-written one. */
const largestBytes = 1024 * 1024;
/** An alias may be used a few times; a bomb uses it millions of times. */
const mostAliases = 50;

/** A document whose errors can still name their line: what comes after the schema check needs it. */
export interface PlacedDocument {
  readonly data: unknown;
  /** The error or finding with file and line in its place, for one that names a pointer into the document. */
  readonly placed: <T extends Where>(where: T) => Where;
}

/**
 * Reads a YAML (or JSON) document, restates its quantities in SI and checks it against its schema. What it returns is plain data
 * that fits the schema; the caller names the type. @throws TautlineError with the file, the line, the key, the value and the next step.
 */
export async function readPlacedDocument(path: string, schema: JsonSchema): Promise<PlacedDocument> {
  return parsePlacedDocument(await readSmallText(path, largestBytes), basename(path), schema);
}

/** As {@link readPlacedDocument}, for a text that is already in memory. `file` is its name in messages. */
export function parsePlacedDocument(text: string, file: string, schema: JsonSchema): PlacedDocument {
  const lines = new LineCounter();
  const document = parseDocument(text, { lineCounter: lines, prettyErrors: false, uniqueKeys: true });
  const lineOf = (offset: number): number => lines.linePos(offset).line;
  const [problem] = document.errors;
  if (problem !== undefined)
    throw new TautlineError(
      'document_syntax',
      { file, line: lineOf(problem.pos[0]) },
      `${file} is no valid YAML: ${problem.message}`,
      'correct this line; a colon in a text needs quotes around the text',
    );
  let raw: unknown;
  try {
    raw = document.toJS({ maxAliasCount: mostAliases });
  } catch (error) {
    throw new TautlineError(
      'document_too_large',
      { file },
      `${file} unfolds into too much: ${error instanceof Error ? error.message : String(error)}`,
      'write the values out instead of repeating them by alias',
    );
  }
  if (holdsItself(raw, new Set()))
    throw new TautlineError(
      'document_reference',
      { file },
      `${file}: an alias (*name) stands inside what it repeats, so the document never ends`,
      'write the value out instead of repeating it by alias',
    );
  const lineAt = (pointer: readonly string[]): number => {
    for (let n = pointer.length; n > 0; n--) {
      const range = rangeOf(document, pointer.slice(0, n));
      if (range !== undefined) return lineOf(range[0]);
    }
    return 1;
  };
  const placed = placer(file, lineAt, (pointer) => [...pointer]);
  let restated: Restated;
  try {
    restated = restateUnits(raw, schema);
  } catch (error) {
    throw placedError(error, placed);
  }
  const lineOfRestated = (pointer: readonly string[]): number => lineAt(restated.original(pointer));
  checkDocument(restated.data, schema, file, lineOfRestated);
  return { data: restated.data, placed: placer(file, lineAt, restated.original) };
}

function holdsItself(value: unknown, above: Set<unknown>): boolean {
  if (typeof value !== 'object' || value === null) return false;
  if (above.has(value)) return true;
  above.add(value);
  const found = Object.values(value).some((inner) => holdsItself(inner, above));
  above.delete(value);
  return found;
}

/** The document alone, where nothing after the schema check needs its lines. @throws as {@link readPlacedDocument} */
export const readYamlDocument = async (path: string, schema: JsonSchema): Promise<unknown> =>
  (await readPlacedDocument(path, schema)).data;

/** A coded error with file and line in its place; anything else as it is. */
export const placedError = (error: unknown, placed: PlacedDocument['placed']): unknown =>
  isTautlineError(error) && error.where.pointer !== undefined
    ? new TautlineError(error.code, placed(error.where), error.message, error.next)
    : error;

function placer(
  file: string,
  lineAt: (pointer: readonly string[]) => number,
  original: (pointer: readonly string[]) => string[],
): PlacedDocument['placed'] {
  return (where) => {
    const { pointer, ...rest } = where as Where & { readonly pointer?: string };
    if (pointer === undefined) return rest;
    const keys = original(pointer === '' ? [] : pointer.split('.'));
    return { file, line: lineAt(keys), key: keys.join('.'), ...rest };
  };
}

type Range = readonly [number, number, number];

/** Where a node stands in the text: at its key when it has one. */
function rangeOf(document: Document, pointer: readonly string[]): Range | undefined {
  const above = pointer.length === 1 ? document.contents : document.getIn(pointer.slice(0, -1), true);
  if (isMap(above)) {
    const pair = above.items.find((item) => isScalar(item.key) && String(item.key.value) === pointer.at(-1));
    if (pair !== undefined) return (pair.key as Scalar).range as Range;
  }
  const node = document.getIn(pointer, true) as { range?: Range } | null | undefined;
  return node?.range ?? undefined;
}
