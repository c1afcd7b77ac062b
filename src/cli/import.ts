import type { Command } from 'commander';
import type { RecordingDocument } from '../engine/project/recording.js';
import { readDrive } from '../node/documents/readDrive.js';
import { type ImportResult, importRecording } from '../node/store/importRecording.js';
import { dialectText } from './dialectText.js';
import {
  addColumnOptions,
  addDialectOptions,
  type ColumnOptions,
  type DialectOptions,
  textOptions,
} from './options.js';
import { findingLines, runCommand } from './output.js';
import { textTable } from './table.js';

interface Options extends ColumnOptions, DialectOptions {
  to: string;
  name?: string;
  drive?: string;
  notes?: string;
  json?: boolean;
}

export function registerImport(program: Command): void {
  const command = program
    .command('import')
    .argument('<file>', 'text as exported by a drive, controller or historian')
    .description('take a recording into a line folder and show how it was read')
    .requiredOption('--to <folder>', 'line folder; the recording goes to recordings/ in it')
    .option('--name <name>', 'name of the recording; that of the file by default')
    .option('--drive <file>', 'drive file; then also says what it lacks for the units of the recording')
    .option('--notes <text>', 'free text to keep with the recording');
  addDialectOptions(addColumnOptions(command))
    .option('--json', 'print one JSON document')
    .action((file: string, options: Options) =>
      runCommand(options.json === true, async () => {
        const result = await importRecording(file, options.to, {
          imported: new Date().toISOString().slice(0, 10),
          name: options.name,
          text: textOptions(options),
          map: { channels: options.channel, units: options.unit, sampleInterval: options.sampleInterval },
          drive: options.drive === undefined ? undefined : await readDrive(options.drive),
          notes: options.notes,
        });
        return {
          document: importDocument(result),
          text: () => importText(result),
          refused: result.written === undefined,
        };
      }),
    );
}

/** What `--json` prints: `tautline/import@1`. */
function importDocument({ written, document, findings, checkedRows, first }: ImportResult): object {
  const { source, dialect, sample_interval_s, columns } = document;
  const rows = first[0]?.length ?? 0;
  return {
    schema: 'tautline/import@1',
    verdict: written === undefined ? 'refused' : 'imported',
    ...(written === undefined ? {} : { written }),
    source,
    dialect,
    ...(sample_interval_s === undefined ? {} : { sample_interval_s }),
    columns,
    // NaN has no place in JSON
    firstRows: Array.from({ length: rows }, (_, i) =>
      first.map((values) => (Number.isNaN(values[i]) ? null : values[i])),
    ),
    notTaken: notTaken(document),
    checkedRows,
    findings,
  };
}

/** How much of the source gave no value. */
function notTaken({ columns, findings }: RecordingDocument): {
  skippedRows: number;
  blankCells: number;
  textCells: number;
} {
  const sum = (of: (c: RecordingDocument['columns'][number]) => number): number =>
    columns.reduce((n, c) => n + of(c), 0);
  const skipped = findings.filter((f) => f.code === 'rows_skipped').map((f) => Number(f.where.rows ?? 0));
  return {
    skippedRows: skipped.reduce((a, b) => a + b, 0),
    blankCells: sum((c) => c.blank_cells),
    textCells: sum((c) => c.text_cells),
  };
}

/** What a person reads of an import on a terminal. */
function importText({ document, written, findings, first, checkedRows }: ImportResult): string {
  const { columns, source } = document;
  const out = [dialectText(document.source, document.dialect), ''];
  if (columns.length > 0)
    out.push(
      textTable(
        ['column', 'unit', 'taken as', 'by', 'blank', 'text', 'first values'],
        columns.map((c, k) => [
          c.header,
          c.unit ?? (c.kind === 'number' ? 'none' : c.kind),
          c.role ?? '',
          c.mapped_by === undefined ? '' : c.mapped_by === 'stated' ? 'you' : 'proposal',
          String(c.blank_cells),
          String(c.text_cells),
          Array.from(first[k], shown).join('  '),
        ]),
      ),
      '',
    );
  const { skippedRows, blankCells, textCells } = notTaken(document);
  if (skippedRows + blankCells + textCells > 0)
    out.push(
      `not taken: ${skippedRows} rows; no value in ${blankCells} blank cells and ${textCells} of text`,
      '',
    );
  if (checkedRows < source.rows)
    out.push(`roles and findings rest on the first ${checkedRows} of ${source.rows} rows`, '');
  if (findings.length > 0) out.push('findings:', ...findingLines(findings), '');
  out.push(
    written === undefined
      ? 'Nothing was imported.'
      : `Stored as ${written.data}, described in ${written.document}.`,
  );
  return out.join('\n');
}

const shown = (x: number): string => (Number.isNaN(x) ? '–' : String(Number(x.toPrecision(6))));
