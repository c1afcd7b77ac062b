/** A list of numbers of any kind, read only. */
export type Samples = ArrayLike<number>;

/** What one bucket along x holds: where its samples lie and how far they reach. */
export interface Bucket {
  /** Mean x of the finite samples. */
  readonly x: number;
  readonly min: number;
  readonly max: number;
}

/**
 * Samples y over x gathered into `count` buckets of equal width over [from, to]: the smallest and largest finite y of
 * each, so that no peak is lost however long the trace is. Empty buckets are left out; samples outside are ignored.
 * x need not be sorted.
 */
export function bucketExtents(x: Samples, y: Samples, from: number, to: number, count: number): Bucket[] {
  const sum = new Float64Array(count);
  const samples = new Uint32Array(count);
  const min = new Float64Array(count).fill(Number.POSITIVE_INFINITY);
  const max = new Float64Array(count).fill(Number.NEGATIVE_INFINITY);
  for (let i = 0; i < x.length; i++) {
    const xi = x[i] as number;
    const yi = y[i] as number;
    const k = bucketOf(xi, from, to, count);
    if (k < 0 || !Number.isFinite(yi)) continue;
    sum[k] = (sum[k] as number) + xi;
    samples[k] = (samples[k] as number) + 1;
    if (yi < (min[k] as number)) min[k] = yi;
    if (yi > (max[k] as number)) max[k] = yi;
  }
  const out: Bucket[] = [];
  for (let k = 0; k < count; k++) {
    const n = samples[k] as number;
    if (n > 0) out.push({ x: (sum[k] as number) / n, min: min[k] as number, max: max[k] as number });
  }
  return out;
}

/**
 * Indices of the samples that draw the same line in `count` columns: of each bucket the first, lowest, highest and last
 * sample, in order, plus the first missing sample of every gap so that the line breaks where it must. x increasing.
 * A trace of at most 4·count samples is kept whole.
 */
export function decimateLine(x: Samples, y: Samples, from: number, to: number, count: number): number[] {
  const n = x.length;
  if (n <= 4 * count) return Array.from({ length: n }, (_, i) => i);
  const kept: number[] = [];
  let i = 0;
  while (i < n) {
    const k = bucketOf(x[i] as number, from, to, count);
    const missing = !Number.isFinite(y[i] as number);
    let end = i + 1;
    let low = i;
    let high = i;
    // A run: samples of one bucket that are all there, or all missing.
    while (
      end < n &&
      bucketOf(x[end] as number, from, to, count) === k &&
      !Number.isFinite(y[end] as number) === missing
    ) {
      if ((y[end] as number) < (y[low] as number)) low = end;
      if ((y[end] as number) > (y[high] as number)) high = end;
      end++;
    }
    const run = missing ? [i] : [i, Math.min(low, high), Math.max(low, high), end - 1];
    for (const index of run) if (kept.at(-1) !== index) kept.push(index);
    i = end;
  }
  return kept;
}

/** Number of the bucket that holds x, or -1 outside [from, to] and for NaN. */
function bucketOf(x: number, from: number, to: number, count: number): number {
  if (!(x >= from && x <= to)) return -1;
  return Math.min(count - 1, Math.floor(((x - from) / (to - from)) * count));
}
