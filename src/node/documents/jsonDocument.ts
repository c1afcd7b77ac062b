import { basename } from 'node:path';
import { LineCounter, parseDocument } from 'yaml';
import { TautlineError } from '../../engine/errors.js';
import type { JsonSchema } from '../../engine/project/jsonSchema.js';
import { checkDocument } from './checkDocument.js';
import { readSmallText } from './readSmallText.js';

/** Results list every stretch of a recording; even a week of them stays far below this. */
const largestBytes = 64 * 1024 * 1024;

/**
 * Reads a JSON document that the program wrote and checks it against its schema. What it returns is plain data that fits the schema; the
 * caller names the type. @throws TautlineError with the file, the line, the key, the value and the next step.
 */
export async function readJsonDocument(path: string, schema: JsonSchema): Promise<unknown> {
  const file = basename(path);
  const text = await readSmallText(path, largestBytes);
  let data: unknown;
  try {
    data = JSON.parse(text);
  } catch (error) {
    const message = error instanceof Error ? error.message : String(error);
    const at = /position (\d+)/.exec(message);
    throw new TautlineError(
      'document_syntax',
      { file, ...(at && { line: text.slice(0, Number(at[1])).split('\n').length }) },
      `${file} is no valid JSON: ${message}`,
      'use the file as the program wrote it; make it again if it was cut short',
    );
  }
  const expected = String(schema.properties?.schema?.const);
  const stated = (data as { schema?: unknown } | null)?.schema;
  if (stated !== expected)
    throw new TautlineError(
      'document_version',
      { file, value: stated === undefined ? 'none' : String(stated) },
      stated === undefined
        ? `${file} states no schema, so it is not a ${expected}`
        : `${file} is a ${String(stated)}, not a ${expected}`,
      `give a document with "schema": "${expected}"`,
    );
  checkDocument(data, schema, file, (pointer) => lineOf(text, pointer));
  return data;
}

/** Line of a key, or of the nearest key above it that is there. JSON is YAML, and its parser keeps the places. */
function lineOf(text: string, pointer: readonly string[]): number {
  const lines = new LineCounter();
  const document = parseDocument(text, { lineCounter: lines });
  for (let depth = pointer.length; depth > 0; depth--) {
    const path = pointer.slice(0, depth).map((key) => (/^\d+$/.test(key) ? Number(key) : key));
    const node = document.getIn(path, true) as { range?: [number, number, number] } | undefined;
    if (node?.range) return lines.linePos(node.range[0]).line;
  }
  return 1;
}
