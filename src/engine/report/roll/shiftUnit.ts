import { type Format, shortNumber } from '../format.js';

/** A margin or a length that is computed, as a person reads it: three digits. */
export const threeDigits = (x: number): string => shortNumber(Number(x.toPrecision(3)));

/** Shifts are millimetres where lengths are metres. */
export interface ShiftUnit {
  readonly label: string;
  /** A length [m] in it. */
  readonly of: (si: number) => number;
  /** Three digits of it. */
  readonly text: (si: number) => string;
}

/** The unit in which shifts on the side of a roll are shown beside lengths. */
export function shiftUnit(format: Pick<Format, 'samples' | 'axis'>): ShiftUnit {
  const label = /\[(.*)\]$/.exec(format.axis('', '', 'length'))?.[1] ?? 'm';
  const factor = format.samples('length', [1])[0] as number;
  const unit = (name: string, of: ShiftUnit['of']): ShiftUnit => ({
    label: name,
    of,
    text: (x) => threeDigits(of(x)),
  });
  return label === 'm' ? unit('mm', (x) => 1000 * x) : unit(label, (x) => factor * x);
}
