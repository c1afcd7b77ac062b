import { mkdir, open, rm, writeFile } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import type { Finding } from '../../engine/findings.js';
import { chooseColumns, unitOf } from '../../engine/recording/chooseColumns.js';
import type { Dialect, RawTable, Role } from '../../engine/recording/recording.js';
import { roleQuantities } from '../../engine/recording/roleProposal.js';
import { unitLabels } from '../../engine/units/parse.js';
import { temporaryName } from '../../node/files/temporary.js';
import { isParquet, readRecordingTable } from '../../node/store/readRecordingTable.js';
import { readTextTable } from '../../node/text/readTextTable.js';
import type { TextOptions } from '../../node/text/streamTextTable.js';
import type { Proposal, Question, Statements } from './tasks.js';

/** A proposal rests on the start of a file; the import reads all of it. */
const headBytes = 4 * 1024 * 1024;
const shownRows = 20;
const shownLines = 24;
const shownCharacters = 400;

/** What a user stated about a text, as its reader takes it. */
export const textOptionsOf = ({ dialect, headerRow }: Statements): TextOptions => ({
  ...(dialect && { dialect }),
  ...(headerRow !== undefined && { headerRow }),
});

/**
 * How a file would be read: dialect, columns, roles and units, and what is to be asked. Nothing is written but a copy of its start, which is removed.
 * @throws TautlineError as readTextTable; column_unknown, unit_unknown for what the user stated wrongly
 */
export async function propose(file: string, statements: Statements): Promise<Proposal> {
  const { head, bytes } = await readHead(file);
  const table = (await isParquet(file))
    ? await readRecordingTable(file)
    : await readHeadTable(file, head, textOptionsOf(statements));
  const findings: Finding[] = [...table.findings];
  const { channels, units, sampleInterval } = statements;
  const map = { channels, units, sampleInterval };
  const chosen = chooseColumns(table.columns, undefined, map, findings);
  for (const [role, column] of chosen)
    if (role !== 'drive-enabled' && (role !== 'time' || column.kind === 'number'))
      unitOf(role, column, chosen, map, findings);
  const roleOf = new Map([...chosen].map(([role, column]) => [column, role]));
  return {
    file: basename(file),
    bytes,
    ...(table.dialect && { dialect: table.dialect }),
    text: table.dialect === undefined ? [] : linesOf(head, table.dialect),
    columns: table.columns.map((column) => {
      const role = roleOf.get(column);
      const unit = (role && units?.[role]) ?? column.unit;
      return {
        header: column.header,
        ...(unit !== undefined && { unit }),
        kind: column.kind,
        ...(role !== undefined && { role }),
      };
    }),
    rows: Array.from({ length: Math.min(shownRows, table.rows) }, (_, i) =>
      table.columns.map((c) => (Number.isFinite(c.values[i]) ? c.values[i] : null)),
    ),
    questions: questionsOf(findings, table, !chosen.has('time') && sampleInterval === undefined),
    findings,
  };
}

async function readHead(file: string): Promise<{ head: Uint8Array; bytes: number }> {
  const handle = await open(file, 'r');
  try {
    const { size } = await handle.stat();
    const buffer = new Uint8Array(Math.min(size, headBytes));
    const { bytesRead } = await handle.read(buffer, 0, buffer.length, 0);
    return { head: wholeLines(buffer.subarray(0, bytesRead), size), bytes: size };
  } finally {
    await handle.close();
  }
}

/** The bytes up to the last line end, unless they are the whole file or hold no line end at all. */
function wholeLines(bytes: Uint8Array, size: number): Uint8Array {
  if (bytes.length === size) return bytes;
  const end = bytes.lastIndexOf(10);
  // the zero behind a line end belongs to it in UTF-16
  return end < 0 ? bytes : bytes.subarray(0, bytes[end + 1] === 0 ? end + 2 : end + 1);
}

async function readHeadTable(file: string, head: Uint8Array, options: TextOptions): Promise<RawTable> {
  const work = join(dirname(file), temporaryName('head'));
  await mkdir(work);
  try {
    const copy = join(work, basename(file));
    await writeFile(copy, head);
    return await readTextTable(copy, options);
  } finally {
    await rm(work, { recursive: true, force: true }).catch(() => undefined);
  }
}

function linesOf(head: Uint8Array, { encoding }: Dialect): string[] {
  const label = encoding === 'latin-1' ? 'latin1' : encoding;
  const text = new TextDecoder(label).decode(head.subarray(0, 256 * 1024));
  return text
    .split(/\r\n|\n|\r/, shownLines)
    .map((line) => (line.length > shownCharacters ? `${line.slice(0, shownCharacters)}…` : line));
}

/** What only the user can answer, from the findings that ask for it. */
function questionsOf(findings: readonly Finding[], { columns }: RawTable, lacksTime: boolean): Question[] {
  const headers = columns.map((c) => c.header);
  const questions = findings.flatMap((f): Question[] => {
    const role = f.where.role as Role | undefined;
    const base = { message: f.message, needed: f.severity === 'refuse' };
    if (role === undefined) return [];
    if (f.code === 'units_missing')
      return [
        {
          ...base,
          kind: 'unit',
          role,
          ...(typeof f.where.header === 'string' && { header: f.where.header }),
          choices: unitLabels(roleQuantities[role]),
        },
      ];
    if (f.code === 'role_ambiguous')
      return [
        {
          ...base,
          kind: 'column',
          role,
          choices: Array.isArray(f.where.headers) ? f.where.headers : headers,
        },
      ];
    return [];
  });
  if (lacksTime && !questions.some((q) => q.role === 'time'))
    questions.unshift({
      kind: 'column',
      role: 'time',
      choices: headers,
      message: 'no column is known to be the time; name it, or state the sampling interval',
      needed: true,
    });
  return questions;
}
