import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll } from 'vitest';
import type { RawColumn, RawTable } from '../../../src/engine/recording/recording.js';
import { readTextTable } from '../../../src/node/text/readTextTable.js';
import type { TextOptions } from '../../../src/node/text/streamTextTable.js';

const folder = mkdtempSync(join(tmpdir(), 'tautline-text-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

let count = 0;

/** Writes a text or bytes to a file of the test's own folder. */
export function fileOf(content: string | Uint8Array, name = `trace-${count++}.csv`): string {
  const path = join(folder, name);
  writeFileSync(path, content);
  return path;
}

export const read = (content: string | Uint8Array, options: TextOptions = {}): Promise<RawTable> =>
  readTextTable(fileOf(content), options);

export const lines = (...texts: string[]): string => `${texts.join('\n')}\n`;

export const valuesOf = (table: RawTable): number[][] => table.columns.map((c) => [...c.values]);
export const headersOf = (table: RawTable): string[] => table.columns.map((c) => c.header);
export const unitsOf = (table: RawTable): (string | undefined)[] => table.columns.map((c) => c.unit);
export const codesOf = (table: RawTable): string[] => table.findings.map((f) => f.code);

export function column(table: RawTable, header: string): RawColumn {
  const found = table.columns.find((c) => c.header === header);
  if (!found) throw new Error(`no column "${header}" among ${headersOf(table).join(' | ')}`);
  return found;
}
