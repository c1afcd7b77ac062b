import { COMMA, DOT } from './bytes.js';
import { parseGrouped, parseNumber } from './number.js';
import { parseTime, type TimeFormat, TimeParts } from './time.js';
import { isQualityWord, parseBoolean } from './words.js';

/** What a cell of the head could be, before the decimal sign is known. */
export type CellClass = 'blank' | 'number' | 'boolean' | 'date' | 'datetime' | 'clock' | 'quality' | 'text';

const parts = new TimeParts();
const bothOrders: readonly TimeFormat[] = [
  { order: 'day-month', twoFields: 'm:s' },
  { order: 'month-day', twoFields: 'm:s' },
];

export function classify(text: string): CellClass {
  if (text === '') return 'blank';
  const bytes = Buffer.from(text, 'utf8');
  const n = bytes.length;
  if (!Number.isNaN(parseNumber(bytes, 0, n, DOT)) || !Number.isNaN(parseNumber(bytes, 0, n, COMMA)))
    return 'number';
  if (isQualityWord(text)) return 'quality';
  if (parseGrouped(text, '.') !== undefined || parseGrouped(text, ',') !== undefined) return 'number';
  if (parseBoolean(text) !== undefined) return 'boolean';
  for (const format of bothOrders) {
    if (parseTime(bytes, 0, n, format, parts)) {
      if (!parts.hasDate) return 'clock';
      return parts.hasClock ? 'datetime' : 'date';
    }
  }
  return 'text';
}

/** A class that a cell of measured values has. */
export const isValue = (c: CellClass): boolean => c !== 'blank' && c !== 'text' && c !== 'quality';
