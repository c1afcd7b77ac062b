import { readFileSync } from 'node:fs';

/** A NIST StRD regression file: certified values and data, found by the line ranges that its own head states. */
export interface NistSet {
  readonly name: string;
  readonly certified: readonly {
    readonly name: string;
    readonly value: number;
    readonly deviation: number;
  }[];
  readonly starts: readonly (readonly number[])[];
  /** Residual sum of squares as certified. */
  readonly rss: number;
  /** Data rows as printed, response first. */
  readonly rows: readonly (readonly number[])[];
}

export function readNist(folder: URL, name: string): NistSet {
  const text = readFileSync(new URL(`${name}.dat`, folder), 'latin1');
  const lines = text.split(/\r?\n/);
  const range = /^\s*Data\s*\(lines\s+(\d+)\s+to\s+(\d+)\)/m.exec(text);
  if (!range) throw new Error(`${name}: no data range in its head`);
  const rows = lines
    .slice(Number(range[1]) - 1, Number(range[2]))
    .map((line) => line.trim().split(/\s+/).map(Number));
  const certified = [];
  const starts: number[][] = [[], []];
  for (const line of lines.slice(0, 60)) {
    // B0  value  deviation, or  b1 = start1 start2 value deviation
    const parts = /^\s*([Bb]\d+)\s+=?\s*([-+.\dE\s]+)$/.exec(line);
    if (!parts) continue;
    const numbers = parts[2].trim().split(/\s+/).map(Number);
    if (numbers.length === 4) {
      starts[0].push(numbers[0]);
      starts[1].push(numbers[1]);
    } else if (numbers.length !== 2) continue;
    const [value, deviation] = numbers.slice(-2);
    certified.push({ name: parts[1], value, deviation });
  }
  const rss =
    /Residual Sum of Squares:\s+(\S+)/.exec(text)?.[1] ?? /^Residual\s+\d+\s+(\S+)/m.exec(text)?.[1] ?? 'NaN';
  return { name, certified, starts, rss: Number(rss), rows };
}

/** Number of correct digits: -log10 of the relative error (absolute where the certified value is 0), at most 15. */
export function digits(value: number, certified: number): number {
  if (Number.isNaN(value)) return -Infinity;
  const error = Math.abs(value - certified) / (certified === 0 ? 1 : Math.abs(certified));
  return error === 0 ? 15 : Math.min(15, -Math.log10(error));
}
