import { COLON, COMMA, DOT, MINUS, PLUS, SLASH, SPACE, TAB, trimEnd, trimStart, ZERO } from './bytes.js';
import { exactPowersOfTen } from './number.js';

/** Order of day and month where the year does not stand first. */
export type DayMonthOrder = 'day-month' | 'month-day';
/** Meaning of a clock time with one colon. */
export type TwoFieldClock = 'h:m' | 'm:s';

export interface TimeFormat {
  readonly order: DayMonthOrder;
  readonly twoFields: TwoFieldClock;
}

/** What a time cell says; one object is reused for all cells so that nothing is allocated per cell. */
export class TimeParts {
  /** Whole seconds: Unix time with a date, since midnight without. An integer, so that no digit is lost to the fraction. */
  seconds = 0;
  /** Fraction of a second, 0 <= f < 1. */
  fraction = 0;
  hasDate = false;
  hasClock = false;
  /** The two fields beside the year as written, 0 when the year stands first or the month is a word. */
  first = 0;
  second = 0;
  separator = 0;
  shortYear = false;
  colons = 0;
  hasMeridiem = false;
}

/** Days from 1970-01-01 in the Gregorian calendar; H. Hinnant's days_from_civil algorithm (from memory). */
function daysFromCivil(year: number, month: number, day: number): number {
  const y = month <= 2 ? year - 1 : year;
  const era = Math.floor(y / 400);
  const yearOfEra = y - era * 400;
  const dayOfYear = Math.floor((153 * (month + (month > 2 ? -3 : 9)) + 2) / 5) + day - 1;
  const dayOfEra = yearOfEra * 365 + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100) + dayOfYear;
  return era * 146097 + dayOfEra - 719468;
}

const monthLength = [31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
const isLeap = (y: number): boolean => (y % 4 === 0 && y % 100 !== 0) || y % 400 === 0;
const monthWords = ['jan', 'feb', 'mar', 'apr', 'may', 'jun', 'jul', 'aug', 'sep', 'oct', 'nov', 'dec'];

/**
 * Reads [a, b) as date, date-time or clock time:
 * dates `2026-12-31`, `2026/12/31`, `31.12.2026`, `12/31/2026`, `31-Dec-26`; between date and time a `T` or blanks;
 * clock times `H:MM`, `H:MM:SS`, fraction after `.` or `,`, `AM`/`PM`; zone `Z`, `UTC`, `+01:00` only after a date.
 * @returns false, with `out` undefined in content, for any other text or an impossible date.
 */
export function parseTime(
  buf: Uint8Array,
  a: number,
  b: number,
  format: TimeFormat,
  out: TimeParts,
): boolean {
  out.seconds = out.fraction = out.first = out.second = out.separator = out.colons = 0;
  out.hasDate = out.hasClock = out.shortYear = out.hasMeridiem = false;
  let p = trimStart(buf, a, b);
  const end = trimEnd(buf, p, b);
  const afterDate = parseDate(buf, p, end, format.order, out);
  if (afterDate > 0) {
    out.hasDate = true;
    if (afterDate === end) return true;
    const c = buf[afterDate]!;
    if (c !== SPACE && c !== TAB && (c | 32) !== 0x74) return false;
    p = trimStart(buf, afterDate + 1, end);
  }
  p = parseClock(buf, p, end, format.twoFields, out);
  if (p < 0) return false;
  out.hasClock = true;
  if (p < end && out.hasDate) p = parseZone(buf, p, end, out);
  return p === end;
}

function digitRun(buf: Uint8Array, p: number, end: number): number {
  let q = p;
  while (q < end && buf[q]! >= ZERO && buf[q]! <= 57) q++;
  return q;
}

function integer(buf: Uint8Array, a: number, b: number): number {
  let v = 0;
  for (let p = a; p < b; p++) v = v * 10 + buf[p]! - ZERO;
  return v;
}

/** @returns position after the date, or -1. */
function parseDate(buf: Uint8Array, a: number, end: number, order: DayMonthOrder, out: TimeParts): number {
  const a1 = digitRun(buf, a, end);
  const length1 = a1 - a;
  const separator = buf[a1];
  if (length1 === 0 || length1 > 4 || length1 === 3 || a1 >= end) return -1;
  if (separator !== DOT && separator !== SLASH && separator !== MINUS) return -1;
  let b1 = digitRun(buf, a1 + 1, end);
  let monthWord = 0;
  if (b1 === a1 + 1) {
    if (end - b1 < 3) return -1;
    const word = String.fromCharCode(buf[b1]! | 32, buf[b1 + 1]! | 32, buf[b1 + 2]! | 32);
    monthWord = monthWords.indexOf(word) + 1;
    if (monthWord === 0) return -1;
    b1 += 3;
  } else if (b1 - a1 > 3) return -1;
  if (b1 >= end || buf[b1] !== separator) return -1;
  const c1 = digitRun(buf, b1 + 1, end);
  const length3 = c1 - b1 - 1;
  const n1 = integer(buf, a, a1);
  const n2 = monthWord > 0 ? monthWord : integer(buf, a1 + 1, b1);
  const n3 = integer(buf, b1 + 1, c1);
  let year: number;
  let month = n2;
  let day: number;
  if (length1 === 4) {
    if (length3 === 0 || length3 > 2) return -1;
    year = n1;
    day = n3;
  } else {
    if (length3 !== 2 && length3 !== 4) return -1;
    out.shortYear = length3 === 2;
    year = out.shortYear ? 2000 + n3 : n3;
    day = n1;
    if (monthWord === 0) {
      out.first = n1;
      out.second = n2;
      if (order === 'month-day') {
        month = n1;
        day = n2;
      }
    }
  }
  if (month < 1 || month > 12 || day < 1 || day > monthLength[month - 1]!) return -1;
  if (month === 2 && day === 29 && !isLeap(year)) return -1;
  out.separator = separator;
  out.seconds = daysFromCivil(year, month, day) * 86400;
  return c1;
}

/** Adds the clock time to `out`. @returns position after it, or -1. */
function parseClock(
  buf: Uint8Array,
  a: number,
  end: number,
  twoFields: TwoFieldClock,
  out: TimeParts,
): number {
  const h1 = digitRun(buf, a, end);
  if (h1 === a || h1 - a > 5 || buf[h1] !== COLON || h1 >= end) return -1;
  const m1 = digitRun(buf, h1 + 1, end);
  if (m1 - h1 !== 3) return -1;
  let hours = integer(buf, a, h1);
  let minutes = integer(buf, h1 + 1, m1);
  let seconds = 0;
  let p = m1;
  out.colons = 1;
  if (p < end && buf[p] === COLON) {
    const s1 = digitRun(buf, p + 1, end);
    if (s1 - p !== 3) return -1;
    seconds = integer(buf, p + 1, s1);
    p = s1;
    out.colons = 2;
  } else if (twoFields === 'm:s') {
    seconds = minutes;
    minutes = hours;
    hours = 0;
  }
  // 60 s: a leap second; minutes beyond 59 only where minutes lead
  if (seconds > 60 || (minutes > 59 && !(out.colons === 1 && twoFields === 'm:s'))) return -1;
  if (p < end && (buf[p] === DOT || buf[p] === COMMA)) {
    if (out.colons === 1 && twoFields === 'h:m') return -1;
    const f1 = digitRun(buf, p + 1, end);
    if (f1 === p + 1) return -1;
    const kept = Math.min(f1, p + 16); // 15 digits are exact in a double
    out.fraction = integer(buf, p + 1, kept) / exactPowersOfTen[kept - p - 1]!;
    p = f1;
  }
  const q = trimStart(buf, p, end);
  if (q + 1 < end && (buf[q + 1]! | 32) === 0x6d) {
    const letter = buf[q]! | 32;
    if ((letter !== 0x61 && letter !== 0x70) || hours > 12) return -1;
    hours = (hours % 12) + (letter === 0x70 ? 12 : 0);
    out.hasMeridiem = true;
    p = q + 2;
  }
  if (out.hasDate && hours > 24) return -1;
  out.seconds += hours * 3600 + minutes * 60 + seconds;
  return p;
}

/** Takes the offset from UTC off `out`. @returns position after the zone, or -1. */
function parseZone(buf: Uint8Array, a: number, end: number, out: TimeParts): number {
  const p = trimStart(buf, a, end);
  if ((buf[p]! | 32) === 0x7a) return p + 1;
  if (end - p === 3 && /^(utc|gmt)$/i.test(String.fromCharCode(buf[p]!, buf[p + 1]!, buf[p + 2]!)))
    return end;
  if (buf[p] !== PLUS && buf[p] !== MINUS) return -1;
  const h1 = digitRun(buf, p + 1, end);
  let hours = integer(buf, p + 1, h1);
  let minutes = 0;
  let q = h1;
  if (h1 - p === 5) {
    minutes = hours % 100;
    hours = (hours - minutes) / 100;
  } else if (h1 - p !== 3) return -1;
  else if (buf[h1] === COLON && h1 < end) {
    q = digitRun(buf, h1 + 1, end);
    if (q - h1 !== 3) return -1;
    minutes = integer(buf, h1 + 1, q);
  }
  if (hours > 14 || minutes > 59) return -1;
  const offset = hours * 3600 + minutes * 60;
  out.seconds -= buf[p] === PLUS ? offset : -offset;
  return q;
}
