/** Writes a plant's columns as text, in the ways that drives, controllers and historians export trends. */
import type { Plant, PlantColumn } from './plantTypes.js';

export const csvStyles = ['plain', 'titled-comma', 'iso', 'local-clock', 'tab-ms'] as const;
/**
 * plain: `,` and `.`, unit in square brackets. titled-comma: BOM, title lines, `;`, decimal comma, unit row, CRLF.
 * iso: ISO date-time, unit in round brackets. local-clock: day first, `;`, decimal comma, CRLF. tab-ms: tabs, unit row, milliseconds.
 */
export type CsvStyle = (typeof csvStyles)[number];

interface Form {
  readonly separator: string;
  readonly comma: boolean;
  readonly newline: string;
  readonly unitRow: boolean;
  readonly brackets: readonly [string, string];
  readonly titles: (plant: Plant) => string[];
}

const titles = (plant: Plant): string[] => [
  `Trend export;${plant.drive.name}`,
  'Invented recording, no machine was measured',
  '',
];

const forms: Record<CsvStyle, Form> = {
  plain: {
    separator: ',',
    comma: false,
    newline: '\n',
    unitRow: false,
    brackets: ['[', ']'],
    titles: () => [],
  },
  'titled-comma': {
    separator: ';',
    comma: true,
    newline: '\r\n',
    unitRow: true,
    brackets: ['[', ']'],
    titles,
  },
  iso: {
    separator: ',',
    comma: false,
    newline: '\n',
    unitRow: false,
    brackets: ['(', ')'],
    titles: () => [],
  },
  'local-clock': {
    separator: ';',
    comma: true,
    newline: '\r\n',
    unitRow: false,
    brackets: ['[', ']'],
    titles: () => [],
  },
  'tab-ms': {
    separator: '\t',
    comma: false,
    newline: '\n',
    unitRow: true,
    brackets: ['[', ']'],
    titles: () => [],
  },
};

/** Start of the invented recordings: 4 March 2026, 08:00 UTC. */
const epochMs = Date.UTC(2026, 2, 4, 8);

/** Other spellings of the same units. */
const spelled: Readonly<Record<string, string>> = { '1': '', '%': '% of rated', 'N.m': 'Nm', rpm: '1/min' };

const two = (n: number): string => String(n).padStart(2, '0');

function dateTime(seconds: number, dayFirst: boolean): string {
  const d = new Date(epochMs + Math.round(seconds * 1000));
  const ms = String(d.getUTCMilliseconds()).padStart(3, '0');
  const clock = `${two(d.getUTCHours())}:${two(d.getUTCMinutes())}:${two(d.getUTCSeconds())}`;
  const day = [two(d.getUTCDate()), two(d.getUTCMonth() + 1), String(d.getUTCFullYear())];
  return dayFirst ? `${day.join('.')} ${clock},${ms}` : `${day.reverse().join('-')}T${clock}.${ms}`;
}

/** As many digits as the column's sensor has, so that the file adds no rounding worth speaking of. */
function cellWriter(column: PlantColumn, style: CsvStyle, comma: boolean): (v: number) => string {
  if (column.role === 'time') {
    if (style === 'iso') return (v) => dateTime(v, false);
    if (style === 'local-clock') return (v) => dateTime(v, true);
    if (style === 'tab-ms') return (v) => String(Math.round(v * 1e6) / 1e3);
  }
  const digits = column.role === 'time' || column.role === 'motor-position' ? 12 : 7;
  return (v) => {
    if (Number.isNaN(v)) return '';
    const text = String(Number(v.toPrecision(digits)));
    return comma ? text.replace('.', ',') : text;
  };
}

export function toCsv(plant: Plant, style: CsvStyle): string {
  const form = forms[style];
  const clock = style === 'iso' || style === 'local-clock';
  const unitOf = (c: PlantColumn): string => {
    if (c.role === 'time') return clock ? '' : style === 'tab-ms' ? 'ms' : c.unit;
    if (style === 'titled-comma') return spelled[c.unit] ?? c.unit;
    return c.unit === '1' ? '' : c.unit;
  };
  const headerOf = (c: PlantColumn): string => {
    const unit = unitOf(c);
    return form.unitRow || unit === ''
      ? c.header
      : `${c.header} ${form.brackets[0]}${unit}${form.brackets[1]}`;
  };
  const lines = [...form.titles(plant), plant.columns.map(headerOf).join(form.separator)];
  if (form.unitRow) lines.push(plant.columns.map((c) => unitOf(c) || '-').join(form.separator));
  const write = plant.columns.map((c) => cellWriter(c, style, form.comma));
  const rows = plant.columns[0]!.values.length;
  for (let k = 0; k < rows; k++)
    lines.push(plant.columns.map((c, j) => write[j]!(c.values[k]!)).join(form.separator));
  return (style === 'titled-comma' ? '\ufeff' : '') + lines.join(form.newline) + form.newline;
}
