/** A stretch of time of a recording [s], or of rows where it has no time. */
export interface TimeWindow {
  readonly from: number;
  readonly to: number;
}

/** What was once asked of the server about one channel: least and greatest values of neighbouring samples, in SI. */
export interface Held extends TimeWindow {
  /** [start, min, max] a bucket, starts increasing. */
  readonly buckets: Float64Array;
  /** Every bucket is one sample. */
  readonly isRaw: boolean;
}

export const bucketCount = (held: Held): number => held.buckets.length / 3;

/** Mean length of a bucket: the smaller, the finer. */
export const grain = (held: Held): number => (held.to - held.from) / Math.max(1, bucketCount(held));

/** The stretch that an answer covers, as the buckets themselves say it, and whether they are the samples. */
export function heldOf(asked: TimeWindow, buckets: Float64Array, most: number, factor: number): Held {
  if (factor !== 1)
    for (let i = 0; i < buckets.length; i += 3) {
      buckets[i + 1] = (buckets[i + 1] as number) * factor;
      buckets[i + 2] = (buckets[i + 2] as number) * factor;
    }
  return { ...asked, buckets, isRaw: buckets.length / 3 < most };
}

/** A part of what is held, to be drawn between two times. */
export interface Piece extends TimeWindow {
  readonly held: Held;
}

/**
 * What to draw of a window: everywhere the finest that is held, so that a view that was just moved shows at once what is known, coarser where
 * nothing finer has come yet. What is much finer than the screen can show is passed over while something coarser covers it.
 * @param perPixel length of a pixel
 */
export function piecesFor(held: readonly Held[], { from, to }: TimeWindow, perPixel: number): Piece[] {
  const far = perPixel / 16;
  const order = [...held].sort((a, b) => {
    const [tooA, tooB] = [!a.isRaw && grain(a) < far, !b.isRaw && grain(b) < far];
    if (tooA !== tooB) return tooA ? 1 : -1;
    return tooA ? grain(b) - grain(a) : grain(a) - grain(b);
  });
  let open: TimeWindow[] = [{ from, to }];
  const pieces: Piece[] = [];
  for (const h of order) {
    const still: TimeWindow[] = [];
    for (const w of open) {
      const a = Math.max(w.from, h.from);
      const b = Math.min(w.to, h.to);
      if (!(a < b)) {
        still.push(w);
        continue;
      }
      pieces.push({ held: h, from: a, to: b });
      if (w.from < a) still.push({ from: w.from, to: a });
      if (b < w.to) still.push({ from: b, to: w.to });
    }
    open = still;
    if (open.length === 0) break;
  }
  return pieces.sort((a, b) => a.from - b.from);
}

/** Is a window held as finely as the screen shows it? */
export function isFine(held: readonly Held[], window: TimeWindow, perPixel: number): boolean {
  return held.some(
    (h) => h.from <= window.from && h.to >= window.to && (h.isRaw || grain(h) <= 1.5 * perPixel),
  );
}

/** Index of the bucket that a time falls into: the last one that starts at or before it; 0 before all. */
export function bucketAt({ buckets }: Pick<Held, 'buckets'>, t: number): number {
  let low = 0;
  let high = buckets.length / 3 - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if ((buckets[3 * middle] as number) <= t) low = middle;
    else high = middle - 1;
  }
  return low;
}

/** Least and greatest value of a window by what is held of it; undefined where it holds no number. */
export function rangeOf(pieces: readonly Piece[]): readonly [number, number] | undefined {
  let least = Number.POSITIVE_INFINITY;
  let greatest = Number.NEGATIVE_INFINITY;
  for (const { held, from, to } of pieces) {
    const { buckets } = held;
    for (let b = bucketAt(held, from); 3 * b < buckets.length; b++) {
      const start = buckets[3 * b] as number;
      if (start > to) break;
      // a sample before the window is drawn up to its edge and counts for nothing in it
      if (held.isRaw && start < from) continue;
      const low = buckets[3 * b + 1] as number;
      const high = buckets[3 * b + 2] as number;
      if (low < least) least = low;
      if (high > greatest) greatest = high;
    }
  }
  return least <= greatest ? [least, greatest] : undefined;
}

/** What a channel was at a time: one value, or the range that the samples about it have. Undefined where it has no number. */
export function valueAt(
  held: readonly Held[],
  t: number,
  perPixel: number,
): readonly [number, number] | undefined {
  const [piece] = piecesFor(held, { from: t, to: t + perPixel * 1e-3 }, perPixel);
  if (piece === undefined || piece.held.buckets.length === 0) return undefined;
  const { buckets, isRaw } = piece.held;
  let b = bucketAt(piece.held, t);
  // of two samples the nearer
  if (isRaw && 3 * (b + 1) < buckets.length) {
    const [before, after] = [buckets[3 * b] as number, buckets[3 * b + 3] as number];
    if (after - t < t - before) b++;
  }
  const [low, high] = [buckets[3 * b + 1] as number, buckets[3 * b + 2] as number];
  return low <= high ? [low, high] : undefined;
}

/** Ends of an axis for a range: some room, and zero where it is near. */
export function withRoom(
  range: readonly [number, number] | undefined,
  mayShowZero: boolean,
): readonly [number, number] {
  if (range === undefined) return [0, 1];
  let [low, high] = range;
  if (mayShowZero && low > 0 && low < 0.5 * high) low = 0;
  if (mayShowZero && high < 0 && high > 0.5 * low) high = 0;
  const room = high > low ? 0.06 * (high - low) : Math.abs(high) * 0.5 || 1;
  if (low === high) return [low - room, high + room];
  return [low === 0 ? 0 : low - room, high === 0 ? 0 : high + room];
}
