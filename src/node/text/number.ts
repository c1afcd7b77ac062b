import { DOT, MINUS, PLUS, trimEnd, trimStart, ZERO } from './bytes.js';

/** 10^0 .. 10^22: the powers of ten that a double holds exactly. */
export const exactPowersOfTen = Float64Array.from({ length: 23 }, (_, k) => Number(`1e${k}`));

/** Integers up to here are exact in a double; a longer row of digits goes to the language's own parser. */
const largestExactInteger = 2 ** 53;

/**
 * Reads [a, b) as a plain or scientific number with the given decimal sign, correctly rounded to the last bit.
 * Blanks around it, a leading plus and a typographic minus are allowed; thousands separators are not (see `parseGrouped`).
 * Mantissa <= 2^53 and |exponent| <= 22: both are exact doubles, so one multiplication or division rounds once, and right
 * (Clinger 1990, the fast case). Anything else is handed to Number(), which rounds correctly by the language's definition.
 * @returns NaN when it is not a number or too large for a double.
 */
export function parseNumber(buf: Uint8Array, a: number, b: number, decimal: number): number {
  let p = trimStart(buf, a, b);
  const end = trimEnd(buf, p, b);
  let negative = false;
  if (buf[p] === MINUS || buf[p] === PLUS) negative = buf[p++] === MINUS;
  else if (buf[p] === 0xe2 && buf[p + 1] === 0x88 && buf[p + 2] === 0x92) {
    negative = true; // U+2212 in UTF-8
    p += 3;
  }
  const digitsFrom = p;
  let mantissa = 0;
  let digits = 0;
  let d: number;
  while (p < end && (d = buf[p]! - ZERO) >= 0 && d <= 9) {
    mantissa = mantissa * 10 + d;
    digits++;
    p++;
  }
  let exponent = 0;
  if (p < end && buf[p] === decimal) {
    p++;
    while (p < end && (d = buf[p]! - ZERO) >= 0 && d <= 9) {
      mantissa = mantissa * 10 + d;
      digits++;
      exponent--;
      p++;
    }
  }
  if (digits === 0) return Number.NaN;
  if (p < end && (buf[p]! | 32) === 0x65) {
    p++;
    let negativeExponent = false;
    if (buf[p] === MINUS || buf[p] === PLUS) negativeExponent = buf[p++] === MINUS;
    const from = p;
    let written = 0;
    while (p < end && (d = buf[p]! - ZERO) >= 0 && d <= 9) {
      written = Math.min(written * 10 + d, 99999);
      p++;
    }
    if (p === from) return Number.NaN;
    exponent += negativeExponent ? -written : written;
  }
  if (p !== end) return Number.NaN;
  let value: number;
  if (mantissa <= largestExactInteger && exponent <= 22 && exponent >= -22) {
    value = exponent < 0 ? mantissa / exactPowersOfTen[-exponent]! : mantissa * exactPowersOfTen[exponent]!;
  } else {
    value = Number(asciiOf(buf, digitsFrom, end, decimal));
    if (!Number.isFinite(value)) return Number.NaN;
  }
  return negative ? -value : value;
}

function asciiOf(buf: Uint8Array, a: number, b: number, decimal: number): string {
  let text = '';
  for (let p = a; p < b; p++) text += String.fromCharCode(buf[p] === decimal ? DOT : buf[p]!);
  return text;
}

const grouped = {
  '.': /^([+-]?)([1-9]\d{0,2}(?:([, '’\u00a0\u202f])\d{3})(?:\3\d{3})*)(\.\d*)?$/,
  ',': /^([+-]?)([1-9]\d{0,2}(?:([. '’\u00a0\u202f])\d{3})(?:\3\d{3})*)(,\d*)?$/,
};

/**
 * Reads a number with thousands separators, when only one reading is possible: `1.234,5`, `1.234.567`, `1'234`, `1 234`.
 * `1.234` in a file with decimal comma (or `1,234` with decimal point) stays unread: it may be a decimal number from another
 * setting, wrong by a factor of a thousand.
 * @returns undefined when the text has no such form, 'unclear' when it has but could be read in two ways.
 */
export function parseGrouped(text: string, decimal: '.' | ','): number | 'unclear' | undefined {
  const m = grouped[decimal].exec(text.trim());
  if (!m) return undefined;
  const [, sign, whole, separator, fraction] = m;
  const groups = whole!.split(separator!);
  const couldBeDecimal = separator === '.' || separator === ',';
  if (couldBeDecimal && fraction === undefined && groups.length === 2) return 'unclear';
  return Number(`${sign}${groups.join('')}${fraction === undefined ? '' : fraction.replace(',', '.')}`);
}
