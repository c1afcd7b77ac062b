import { type Command, InvalidArgumentError } from 'commander';
import { type Dialect, type Role, roles } from '../engine/recording/recording.js';
import type { UnitSystem } from '../engine/units/quantity.js';
import type { TextOptions } from '../node/text/streamTextTable.js';

/** Collects ROLE=TEXT options. */
function collectRole(
  text: string,
  before: Partial<Record<Role, string>> = {},
): Partial<Record<Role, string>> {
  const at = text.indexOf('=');
  const role = text.slice(0, at) as Role;
  if (at < 1 || !roles.includes(role))
    throw new InvalidArgumentError(`expected ROLE=TEXT with ROLE one of ${roles.join(', ')}`);
  return { ...before, [role]: text.slice(at + 1) };
}

export const positiveNumber = (text: string): number => {
  const value = Number(text);
  if (!(value > 0) || !Number.isFinite(value)) throw new InvalidArgumentError('expected a number above 0');
  return value;
};

export const finiteNumber = (text: string): number => {
  const value = Number(text);
  if (text.trim() === '' || !Number.isFinite(value)) throw new InvalidArgumentError('expected a number');
  return value;
};

export const rowCount = (text: string): number => {
  const value = Number(text);
  if (!Number.isInteger(value) || value < 2 || value > 100_000)
    throw new InvalidArgumentError('expected a whole number from 2 to 100000');
  return value;
};

export const unitSystem = (text: string): UnitSystem => {
  if (text !== 'si' && text !== 'us') throw new InvalidArgumentError('expected si or us');
  return text;
};

/** Words as well as signs: a tab, a semicolon and a bar are hard to type in a shell. */
const separators: Readonly<Record<string, Dialect['separator']>> = {
  ',': ',',
  comma: ',',
  ';': ';',
  semicolon: ';',
  '\t': '\t',
  '\\t': '\t',
  tab: '\t',
  '|': '|',
  bar: '|',
};
const decimals: Readonly<Record<string, Dialect['decimal']>> = { '.': '.', point: '.', ',': ',', comma: ',' };
const encodings: Readonly<Record<string, Dialect['encoding']>> = {
  'utf-8': 'utf-8',
  'utf-16le': 'utf-16le',
  'utf-16be': 'utf-16be',
  'latin-1': 'latin-1',
};

/** A parser of an option with a few allowed words. */
const oneOf =
  <T>(allowed: Readonly<Record<string, T>>, words: string) =>
  (text: string): T => {
    const key = text.toLowerCase();
    if (!Object.hasOwn(allowed, key)) throw new InvalidArgumentError(`expected ${words}`);
    return allowed[key];
  };

const headerRow = (text: string): number | 'none' => {
  if (text === 'none') return 'none';
  if (!/^[1-9]\d{0,5}$/.test(text)) throw new InvalidArgumentError('expected a line number from 1, or none');
  return Number(text);
};

/** What the user may state about a text file. */
export interface DialectOptions {
  readonly separator?: Dialect['separator'];
  readonly decimal?: Dialect['decimal'];
  readonly encoding?: Dialect['encoding'];
  readonly headerRow?: number | 'none';
}

/** Adds the options that say how a text file is written; what is not stated is found out. */
export const addDialectOptions = (command: Command): Command =>
  command
    .option(
      '--separator <sign>',
      'between columns: comma, semicolon, tab or bar',
      oneOf(separators, 'comma, semicolon, tab or bar'),
    )
    .option('--decimal <sign>', 'decimal sign: point or comma', oneOf(decimals, 'point or comma'))
    .option(
      '--encoding <name>',
      Object.keys(encodings).join(', '),
      oneOf(encodings, Object.keys(encodings).join(', ')),
    )
    .option('--header-row <line>', 'line of the header, from 1, or none', headerRow);

/** The stated dialect as the text importer takes it. */
export function textOptions({ separator, decimal, encoding, headerRow: row }: DialectOptions): TextOptions {
  const dialect: Partial<Dialect> = {
    ...(separator !== undefined ? { separator } : {}),
    ...(decimal !== undefined ? { decimal } : {}),
    ...(encoding !== undefined ? { encoding } : {}),
    ...(row === 'none' ? { hasHeader: false } : {}),
  };
  return typeof row === 'number' ? { dialect, headerRow: row } : { dialect };
}

/** What the user may state about the columns of a recording. */
export interface ColumnOptions {
  readonly channel?: Partial<Record<Role, string>>;
  readonly unit?: Partial<Record<Role, string>>;
  readonly sampleInterval?: number;
}

/** Adds the options that say what the columns of a recording are; what is not stated is proposed by header and unit. */
export const addColumnOptions = (command: Command): Command =>
  command
    .option('--channel <role=header>', 'what a column is; repeatable', collectRole)
    .option('--unit <role=unit>', 'unit that a header lacks; repeatable', collectRole)
    .option('--sample-interval <seconds>', 'for files without time', positiveNumber);
