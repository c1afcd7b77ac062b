import type { Finding } from '../findings.js';
import { findingCodes } from '../findings.js';
import type { Dialect, RawColumn, Role } from '../recording/recording.js';
import { roles } from '../recording/recording.js';
import type { JsonSchema } from './jsonSchema.js';

/** A column of an imported recording: what the file said of it, and what it was taken for. */
export interface RecordingColumnDocument {
  readonly header: string;
  readonly unit?: string;
  /** Present when the unit is not the file's own. */
  readonly unit_by?: 'stated';
  readonly kind: RawColumn['kind'];
  /** Unix time of value 0 of a date column. */
  readonly epoch_s?: number;
  readonly blank_cells: number;
  readonly text_cells: number;
  readonly first_text?: { readonly text: string; readonly line: number };
  readonly role?: Role;
  /** Who said which role it has: the program by header and unit, or the user. */
  readonly mapped_by?: 'proposed' | 'stated';
}

/** What stands beside an imported recording. `tautline/recording@1`. */
export interface RecordingDocument {
  readonly schema: 'tautline/recording@1';
  /** The Parquet file with the values, one column of doubles a column of the source, in its order. */
  readonly data: string;
  readonly source: { readonly file: string; readonly sha256: string; readonly rows: number };
  /** Day of the import, ISO 8601. */
  readonly imported: string;
  readonly dialect?: Dialect;
  readonly sample_interval_s?: number;
  readonly columns: readonly RecordingColumnDocument[];
  readonly findings: readonly Finding[];
  readonly notes: string;
}

/**
 * What a result rests on of the document beside a recording, as one text that two readings of equal meaning share: interval, and of each
 * column header, unit, kind, what was wrong with its cells and the role that was stated. A proposed role is made anew at each reading, and
 * notes, names and the day of the import change nothing. Not a relation [1]. Source: definition.
 */
export const recordingChoices = (d: RecordingDocument): string =>
  JSON.stringify([
    d.sample_interval_s ?? null,
    d.columns.map((c) => [
      c.header,
      c.unit ?? null,
      c.kind,
      c.epoch_s ?? null,
      c.blank_cells,
      c.text_cells,
      c.mapped_by === 'stated' ? (c.role ?? null) : null,
    ]),
    d.findings.map((f) => [f.code, f.severity]),
  ]);

const count: JsonSchema = { type: 'integer', minimum: 0 };
const text: JsonSchema = { type: 'string' };

export const recordingSchema: JsonSchema = {
  $schema: 'https://json-schema.org/draft/2020-12/schema',
  title: 'Tautline recording, version 1',
  type: 'object',
  required: ['schema', 'data', 'source', 'imported', 'columns', 'findings', 'notes'],
  additionalProperties: false,
  properties: {
    schema: { const: 'tautline/recording@1', description: 'version of this document' },
    data: { type: 'string', minLength: 1, description: 'file with the values' },
    source: {
      type: 'object',
      required: ['file', 'sha256', 'rows'],
      additionalProperties: false,
      properties: { file: text, sha256: text, rows: count },
      description: 'the file that was imported',
    },
    imported: { type: 'string', description: 'day of the import' },
    dialect: {
      type: 'object',
      required: ['encoding', 'separator', 'decimal', 'titleLines', 'hasHeader', 'hasUnitRow'],
      additionalProperties: false,
      properties: {
        encoding: { enum: ['utf-8', 'utf-16le', 'utf-16be', 'latin-1'] },
        separator: { enum: [',', ';', '\t', '|'] },
        decimal: { enum: ['.', ','] },
        titleLines: count,
        hasHeader: { type: 'boolean' },
        hasUnitRow: { type: 'boolean' },
      },
      description: 'how the text was read',
    },
    sample_interval_s: { type: 'number', exclusiveMinimum: 0, description: 'for a source without time' },
    columns: {
      type: 'array',
      items: {
        type: 'object',
        required: ['header', 'kind', 'blank_cells', 'text_cells'],
        additionalProperties: false,
        properties: {
          header: text,
          unit: text,
          unit_by: { enum: ['stated'] },
          kind: { enum: ['number', 'datetime', 'clock', 'boolean', 'text'] },
          epoch_s: { type: 'number' },
          blank_cells: count,
          text_cells: count,
          first_text: {
            type: 'object',
            required: ['text', 'line'],
            additionalProperties: false,
            properties: { text, line: count },
          },
          role: { enum: roles },
          mapped_by: { enum: ['proposed', 'stated'] },
        },
      },
    },
    findings: {
      type: 'array',
      items: {
        type: 'object',
        required: ['code', 'severity', 'message', 'where', 'next'],
        additionalProperties: false,
        properties: {
          code: { enum: findingCodes },
          severity: { enum: ['refuse', 'warn', 'info'] },
          message: text,
          where: { type: 'object' },
          next: text,
        },
      },
    },
    notes: { type: 'string', description: 'free text' },
  },
};
