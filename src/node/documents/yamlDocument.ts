import { basename } from 'node:path';
import * as Schema from 'typebox/schema';
import { LineCounter, parseDocument } from 'yaml';
import { nearest, TautlineError } from '../../engine/errors.js';
import type { JsonSchema } from '../../engine/project/jsonSchema.js';
import { readSmallText } from './readSmallText.js';

/** A document of this size is no hand-written one. */
const largestBytes = 1024 * 1024;
/** An alias may be used a few times; a bomb uses it millions of times. */
const mostAliases = 50;

/**
 * Reads a YAML (or JSON) document and checks it against its schema. What it returns is plain data that fits the schema; the caller
 * names the type. @throws TautlineError with the file, the line, the key, the value and the next step.
 */
export async function readYamlDocument(path: string, schema: JsonSchema): Promise<unknown> {
  const file = basename(path);
  const text = await readSmallText(path, largestBytes);
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
  let data: unknown;
  try {
    data = document.toJS({ maxAliasCount: mostAliases });
  } catch (error) {
    throw new TautlineError(
      'document_too_large',
      { file },
      `${file} unfolds into too much: ${error instanceof Error ? error.message : String(error)}`,
      'write the values out instead of repeating them by alias',
    );
  }
  checkDocument(data, schema, file, (pointer) => {
    const node = pointer.length === 0 ? document.contents : document.getIn(pointer, true);
    const range = (node as { range?: [number, number, number] } | null | undefined)?.range;
    return range === undefined || range === null ? 1 : lineOf(range[0]);
  });
  return data;
}

interface SchemaProblem {
  readonly keyword: string;
  readonly instancePath: string;
  readonly message: string;
  readonly params: object;
}

/** @throws TautlineError for the first thing that does not fit the schema */
export function checkDocument(
  data: unknown,
  schema: JsonSchema,
  file: string,
  lineOf: (pointer: string[]) => number,
): void {
  const [fits, problems] = Schema.Errors({ ...schema }, data) as [boolean, SchemaProblem[]];
  if (fits) return;
  // "schema is false" at an unknown key repeats what additionalProperties says of its parent.
  const unknown = problems.find((p) => p.keyword === 'additionalProperties');
  const problem = unknown ?? problems[0];
  const pointer = problem.instancePath
    .split('/')
    .slice(1)
    .map((s) => s.replace(/~1/g, '/').replace(/~0/g, '~'));
  const place = pointer.length === 0 ? 'the document' : pointer.join('.');
  if (unknown !== undefined) {
    const [key] = (unknown.params as { additionalProperties: string[] }).additionalProperties;
    const known = Object.keys(schemaAt(schema, pointer)?.properties ?? {});
    throw new TautlineError(
      'document_unknown_key',
      { file, line: lineOf([...pointer, key]), key },
      `${file}: "${key}" is not a key of ${place}`,
      `use ${nearest(key, known)}; known keys are ${known.join(', ')}`,
    );
  }
  const value = valueAt(data, pointer);
  if (pointer.length === 1 && pointer[0] === 'schema')
    throw new TautlineError(
      'document_version',
      { file, line: lineOf(pointer), value: String(value) },
      `${file} states schema "${String(value)}"`,
      `write schema: ${String(schema.properties?.schema?.const)}, or use the program version that wrote the file`,
    );
  const allowed = schemaAt(schema, pointer)?.enum;
  throw new TautlineError(
    'document_schema',
    { file, line: lineOf(pointer), key: pointer.join('.'), value: shortValue(value) },
    `${file}: ${place} ${problem.message}${value === undefined || typeof value === 'object' ? '' : `, but is ${shortValue(value)}`}`,
    allowed === undefined
      ? 'correct this value; docs/conventions.md lists units and signs'
      : `use one of ${allowed.join(', ')}`,
  );
}

const shortValue = (value: unknown): string => (JSON.stringify(value) ?? 'missing').slice(0, 80);

function schemaAt(schema: JsonSchema, pointer: readonly string[]): JsonSchema | undefined {
  let at: JsonSchema | undefined = schema;
  for (const key of pointer) at = at?.properties?.[key] ?? at?.items;
  return at;
}

function valueAt(data: unknown, pointer: readonly string[]): unknown {
  let at = data;
  for (const key of pointer) at = (at as Record<string, unknown> | null | undefined)?.[key];
  return at;
}
