import * as Schema from 'typebox/schema';
import { nearest, TautlineError } from '../../engine/errors.js';
import type { JsonSchema } from '../../engine/project/jsonSchema.js';
import { branchFor, keysInOtherUnits } from '../../engine/project/unitKeys.js';

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
  lineOf: (pointer: readonly string[]) => number,
): void {
  const [fits, problems] = Schema.Errors({ ...schema }, data) as [boolean, SchemaProblem[]];
  if (fits) return;
  // "schema is false" at an unknown key repeats what additionalProperties says of its parent.
  const unknown = problems.find((p) => p.keyword === 'additionalProperties');
  const problem = unknown ?? deepest(problems);
  const pointer = problem.instancePath
    .split('/')
    .slice(1)
    .map((s) => s.replace(/~1/g, '/').replace(/~0/g, '~'));
  const place = pointer.length === 0 ? 'the document' : pointer.join('.');
  if (unknown !== undefined) {
    const [key] = (unknown.params as { additionalProperties: string[] }).additionalProperties;
    const properties = schemaAt(schema, pointer, data)?.properties ?? {};
    const known = Object.keys(properties);
    const near = nearest(key, known);
    const others = keysInOtherUnits(near, properties[near]);
    throw new TautlineError(
      'document_unknown_key',
      { file, line: lineOf([...pointer, key]), key },
      `${file}: "${key}" is not a key of ${place}`,
      `use ${near}${others.length === 0 ? '' : ` (or ${others.join(', ')})`}; known keys are ${known.join(', ')}`,
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
  const allowed = schemaAt(schema, pointer, data)?.enum;
  throw new TautlineError(
    'document_schema',
    { file, line: lineOf(pointer), key: pointer.join('.'), value: shortValue(value) },
    `${file}: ${place} ${problem.message}${value === undefined || typeof value === 'object' ? '' : `, but is ${shortValue(value)}`}`,
    allowed === undefined
      ? 'correct this value; docs/conventions.md lists units and signs'
      : `use one of ${allowed.join(', ')}`,
  );
}

/** Of the problems of alternatives (anyOf) the one that goes deepest speaks of the alternative that was meant. */
const deepest = (problems: readonly SchemaProblem[]): SchemaProblem => {
  const depth = (p: SchemaProblem): number => p.instancePath.split('/').length;
  return problems.filter((p) => p.keyword !== 'anyOf').reduce((a, b) => (depth(b) > depth(a) ? b : a));
};

const shortValue = (value: unknown): string => (JSON.stringify(value) ?? 'missing').slice(0, 80);

function schemaAt(schema: JsonSchema, pointer: readonly string[], data: unknown): JsonSchema | undefined {
  let at: JsonSchema | undefined = schema;
  let value = data;
  for (const key of pointer) {
    at = branchFor(at, value);
    at = at?.properties?.[key] ?? at?.items;
    value = (value as Record<string, unknown> | null | undefined)?.[key];
  }
  return branchFor(at, value);
}

function valueAt(data: unknown, pointer: readonly string[]): unknown {
  let at = data;
  for (const key of pointer) at = (at as Record<string, unknown> | null | undefined)?.[key];
  return at;
}
