/** The ASCII bytes that the scanner and the cell parsers compare with. */
export const TAB = 9;
export const LF = 10;
export const CR = 13;
export const SPACE = 32;
export const QUOTE = 34;
export const PLUS = 43;
export const COMMA = 44;
export const MINUS = 45;
export const DOT = 46;
export const SLASH = 47;
export const ZERO = 48;
export const COLON = 58;

/** First byte of [a, b) that is neither a blank nor a tab. */
export function trimStart(buf: Uint8Array, a: number, b: number): number {
  let p = a;
  while (p < b && (buf[p] === SPACE || buf[p] === TAB)) p++;
  return p;
}

/** End of [a, b) without the blanks and tabs at its end. */
export function trimEnd(buf: Uint8Array, a: number, b: number): number {
  let p = b;
  while (p > a && (buf[p - 1] === SPACE || buf[p - 1] === TAB)) p--;
  return p;
}
