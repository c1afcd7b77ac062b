/** How a locale writes numbers: its decimal sign and what it puts between thousands. */
export interface NumberStyle {
  readonly decimal: '.' | ',';
}

/** Decimal sign of a locale, as Intl knows it. */
export function numberStyle(locale: string | undefined): NumberStyle {
  const parts = new Intl.NumberFormat(locale).formatToParts(1.5);
  return { decimal: parts.find((p) => p.type === 'decimal')?.value === ',' ? ',' : '.' };
}

const grammar = /^[+\-−]?(\d+([.,]\d*)?|[.,]\d+)(e[+\-−]?\d+)?$/i;

/**
 * The number that a person typed, or undefined. Either decimal sign is understood, since a keypad has one and a locale the other; a number with
 * both, or with one of them twice, is not guessed at: "1.234,5" and "1,234.5" are refused, and so is "1,234" where the locale would write it
 * for one thousand two hundred and thirty-four.
 */
export function readNumber(text: string, { decimal }: NumberStyle): number | undefined {
  const bare = text.trim().replace(/[\s\u00a0\u202f]/g, '');
  if (!grammar.test(bare)) return undefined;
  const other = decimal === '.' ? ',' : '.';
  // exactly three digits behind the other sign may be thousands: not ours to guess
  if (new RegExp(`^[+\\-−]?[1-9]\\d{0,2}\\${other}\\d{3}$`).test(bare)) return undefined;
  const value = Number(bare.replace(',', '.').replaceAll('−', '-'));
  return Number.isFinite(value) ? value : undefined;
}

/** A number for an entry field: all digits that matter, none that do not. */
export function writeNumber(value: number, { decimal }: NumberStyle, digits = 6): string {
  if (!Number.isFinite(value)) return '';
  const plain = String(Number(value.toPrecision(digits)));
  return decimal === ',' ? plain.replace('.', ',') : plain;
}
