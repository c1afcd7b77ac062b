import type { TimeWindow } from './held.js';

/** The shortest stretch that a trend of a recording shows: four samples. */
export const shortest = (whole: TimeWindow, samples: number): number =>
  (4 * (whole.to - whole.from)) / Math.max(4, samples);

/** A window of an allowed length that lies inside the recording. */
export function clamped({ from, to }: TimeWindow, whole: TimeWindow, least: number): TimeWindow {
  const full = whole.to - whole.from;
  if (!(to - from < full)) return { from: whole.from, to: whole.to };
  // what needs no change keeps its very numbers: a cursor at its edge stays inside
  if (to - from >= least && from >= whole.from && to <= whole.to) return { from, to };
  const length = Math.min(full, Math.max(to - from, Math.min(least, full)));
  const middle = 0.5 * (from + to);
  const start = Math.min(Math.max(middle - 0.5 * length, whole.from), whole.to - length);
  return { from: start, to: start + length };
}

/** The window with all lengths times a factor; the time `about` stays where it is. */
export const zoomed = ({ from, to }: TimeWindow, factor: number, about: number): TimeWindow => ({
  from: about - (about - from) * factor,
  to: about + (to - about) * factor,
});

export const panned = ({ from, to }: TimeWindow, by: number): TimeWindow => ({
  from: from + by,
  to: to + by,
});

export const isSame = (a: TimeWindow | undefined, b: TimeWindow | undefined): boolean =>
  a?.from === b?.from && a?.to === b?.to;

/** Decimals that tell neighbouring pixels of a window apart, at most 9. */
export const decimalsFor = (perPixel: number): number =>
  perPixel > 0 ? Math.min(9, Math.max(0, Math.ceil(-Math.log10(perPixel)))) : 3;

/** A window as it stands in an address: as many digits as its length needs. */
export function toAddress({ from, to }: TimeWindow): { from: string; to: string } {
  const decimals = decimalsFor((to - from) / 10_000);
  const text = (t: number): string => String(Number(t.toFixed(decimals)));
  return { from: text(from), to: text(to) };
}

/** The window that an address states, undefined for the whole recording. */
export function fromAddress(search: URLSearchParams): TimeWindow | undefined {
  const [from, to] = ['from', 'to'].map((key) => Number(search.get(key) ?? Number.NaN));
  return (from as number) < (to as number) ? { from: from as number, to: to as number } : undefined;
}
