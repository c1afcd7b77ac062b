import { type CellClass, classify } from './classify.js';
import type { Layout } from './dialect.js';
import { uniqueHeaders, unitOfHeader } from './header.js';
import { bareUnit } from './headerArea.js';
import { parseTime, type TimeFormat, TimeParts } from './time.js';
import { isUnitLabel } from './words.js';

/** How the scanner reads the cells of one column of the file. */
export const CellKind = {
  number: 0,
  unknown: 1,
  boolean: 2,
  datetime: 3,
  clock: 4,
  dateOfPair: 5,
  clockOfPair: 6,
} as const;
export type CellKind = (typeof CellKind)[keyof typeof CellKind];

/** A column of the result: one column of the file, or a date column with the clock column beside it. */
export interface OutputColumn {
  readonly header: string;
  readonly unit: string | undefined;
  /** Index in the file of the column that holds the values. */
  readonly from: number;
  /** Index in the file of the clock column that is added to the dates. */
  readonly clockFrom?: number;
}

export interface Plan {
  /** By column of the file. */
  readonly kinds: readonly CellKind[];
  readonly formats: readonly TimeFormat[];
  readonly outputs: readonly OutputColumn[];
  readonly repeatedHeaders: readonly string[];
  /** Columns of the file whose order of day and month the data leave open, with an example. */
  readonly unclearDates: readonly { readonly header: string; readonly text: string }[];
}

/**
 * What each column holds, judged by its cells, and which columns come out.
 */
export function planColumns(layout: Layout): Plan {
  const kinds: CellKind[] = [];
  const formats: TimeFormat[] = [];
  const unclearDates: { header: string; text: string }[] = [];
  layout.sample.forEach((cells, i) => {
    const kind = kindOf(cells);
    kinds.push(kind);
    const { format, unclear } = timeFormat(
      kind === CellKind.number || kind === CellKind.boolean ? [] : cells,
    );
    formats.push(format);
    if (unclear !== undefined) unclearDates.push({ header: layout.headers[i]!, text: unclear });
  });
  const units = layout.headers.map((h, i) => unitOfHeader(h) ?? unitOfRow(layout, i));
  const raw: string[] = [];
  const sources: Omit<OutputColumn, 'header'>[] = [];
  for (let i = 0; i < kinds.length; i++) {
    const pair = pairAt(kinds, i);
    if (pair) {
      kinds[pair.date] = CellKind.dateOfPair;
      kinds[pair.clock] = CellKind.clockOfPair;
      raw.push(layout.dialect.hasHeader ? `${layout.headers[pair.date]} ${layout.headers[pair.clock]}` : '');
      sources.push({ unit: undefined, from: pair.date, clockFrom: pair.clock });
      i++;
    } else {
      raw.push(layout.headers[i]!);
      sources.push({ unit: units[i], from: i });
    }
  }
  // columns without a name are called after their place in the file
  const named = raw.map((h, k) => (h.trim() === '' ? `column ${sources[k]!.from + 1}` : h));
  const { headers, repeated } = uniqueHeaders(named);
  const outputs = sources.map((s, k) => ({ ...s, header: headers[k]! }));
  return {
    kinds: kinds.map((k) => (k === dateOnly ? CellKind.datetime : k)),
    formats,
    outputs,
    repeatedHeaders: repeated,
    unclearDates,
  };
}

/** Provisional kind: dates without clock time, which a clock column beside them completes. */
const dateOnly = 7 as CellKind;

function pairAt(kinds: readonly CellKind[], i: number): { date: number; clock: number } | undefined {
  const [a, b] = [kinds[i], kinds[i + 1]];
  if (a === dateOnly && b === CellKind.clock) return { date: i, clock: i + 1 };
  if (a === CellKind.clock && b === dateOnly) return { date: i + 1, clock: i };
  return undefined;
}

function unitOfRow(layout: Layout, i: number): string | undefined {
  const text = layout.units?.[i]?.trim();
  return text === undefined || text === '' || isUnitLabel(text) ? undefined : bareUnit(text);
}

function kindOf(cells: readonly string[]): CellKind {
  const count = new Map<CellClass, number>();
  for (const cell of cells) {
    const c = classify(cell);
    count.set(c, (count.get(c) ?? 0) + 1);
  }
  const n = (c: CellClass): number => count.get(c) ?? 0;
  const dates = n('date') + n('datetime');
  const most = Math.max(n('number'), n('boolean'), dates, n('clock'));
  if (most === 0) return CellKind.unknown;
  if (n('number') === most) return CellKind.number;
  if (dates === most) return n('datetime') > 0 ? CellKind.datetime : dateOnly;
  if (n('clock') === most) return CellKind.clock;
  return CellKind.boolean;
}

const parts = new TimeParts();

/**
 * Order of day and month, and meaning of `12:30`, for a column. Decided, in this order, by: a field above 12; a point as separator
 * (day first); the only field that changes over the recording (the day); AM/PM (month first); else day first, and said to be unclear.
 */
function timeFormat(cells: readonly string[]): { format: TimeFormat; unclear: string | undefined } {
  let dayFirst = false;
  let monthFirst = false;
  let meridiem = false;
  let points = false;
  let minutesFirst = false;
  let example: string | undefined;
  const firsts = new Set<number>();
  const seconds = new Set<number>();
  for (const cell of cells) {
    const bytes = Buffer.from(cell);
    let read = false;
    for (const order of ['day-month', 'month-day'] as const) {
      read ||= parseTime(bytes, 0, bytes.length, { order, twoFields: 'm:s' }, parts);
    }
    if (!read) continue;
    if (parts.hasMeridiem) meridiem = true;
    if (parts.colons === 1 && (parts.fraction > 0 || /[.,]\d+$/.test(cell) || Number.parseInt(cell, 10) > 23))
      minutesFirst ||= !parts.hasDate;
    if (parts.first === 0) continue;
    example ??= cell;
    if (parts.separator === 0x2e) points = true;
    if (parts.first > 12) dayFirst = true;
    if (parts.second > 12) monthFirst = true;
    firsts.add(parts.first);
    seconds.add(parts.second);
  }
  const twoFields = minutesFirst ? 'm:s' : 'h:m';
  const as = (order: TimeFormat['order'], unclear?: string) => ({
    format: { order, twoFields } as const,
    unclear,
  });
  if (example === undefined || (dayFirst && !monthFirst)) return as('day-month');
  if (monthFirst && !dayFirst) return as('month-day');
  if (dayFirst && monthFirst) return as('day-month', example);
  if (points) return as('day-month');
  if (firsts.size > 1 && seconds.size === 1) return as('day-month');
  if (seconds.size > 1 && firsts.size === 1) return as('month-day');
  return as(meridiem ? 'month-day' : 'day-month', example);
}
