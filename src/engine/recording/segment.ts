/**
 * Cuts a sampled signal into pieces that are straight within its own noise: the raw material of plateaus and ramps.
 *
 * Bottom-up merging: start from pieces of a few cells, always merge the neighbours whose common straight line costs
 * least, stop when a merge would cost more than noise explains. It needs no window length, so ramps of 50 ms and of
 * 5 min are found alike. Theory and constants: docs/models/segmentation.md.
 */

/** A straight piece: value ≈ level + slope·(t - (from+to)/2) on [from, to]. Units are the signal's own. */
export interface Piece {
  /** First and one-past-last sample. */
  readonly start: number;
  readonly end: number;
  readonly from: number;
  readonly to: number;
  /** Mean value, at mid-time of the piece. */
  readonly level: number;
  /** Slope [per s]. */
  readonly slope: number;
  /** RMS deviation from the line. */
  readonly rms: number;
}

export interface SegmentOptions {
  /** RMS deviation from a straight line that is always accepted, in units of the signal. */
  readonly tolerance: number;
  /** Most cells that the signal is averaged into before merging; bounds the cost. */
  readonly maxCells?: number;
}

interface Cells {
  readonly size: number;
  readonly start: Int32Array;
  readonly end: Int32Array;
  readonly time: Float64Array;
  readonly value: Float64Array;
}

/** White-noise level of a signal that changes slowly, from its second differences: sd = 1.4826·MAD(y''/√6). */
export function noiseLevel(values: Float64Array): number {
  // Thinned to bound the cost on long records; an odd stride avoids locking on to a periodic ripple.
  const stride = values.length > 40_000 ? 2 * Math.floor(values.length / 40_000) + 1 : 1;
  const magnitudes = new Float64Array(Math.ceil(values.length / stride));
  let n = 0;
  for (let i = 1; i + 1 < values.length; i += stride) {
    const d = Math.abs(values[i + 1] - 2 * values[i] + values[i - 1]);
    if (!Number.isNaN(d)) magnitudes[n++] = d;
  }
  if (n === 0) return 0;
  const sorted = magnitudes.subarray(0, n).sort();
  const median = sorted[n >> 1];
  // A signal quantised coarser than its noise has a zero median: its root mean square then tells the step.
  if (median > 0) return (1.4826 * median) / Math.sqrt(6);
  const kept = sorted.subarray(0, Math.ceil(0.98 * n));
  return Math.sqrt(kept.reduce((s, d) => s + d * d, 0) / kept.length / 6);
}

function averageIntoCells(time: Float64Array, values: Float64Array, size: number): Cells {
  const count = Math.ceil(values.length / size);
  const cells = {
    size,
    start: new Int32Array(count),
    end: new Int32Array(count),
    time: new Float64Array(count),
    value: new Float64Array(count),
  };
  for (let c = 0; c < count; c++) {
    const start = c * size;
    const end = Math.min(values.length, start + size);
    let sumTime = 0;
    let sumValue = 0;
    for (let i = start; i < end; i++) {
      sumTime += time[i];
      sumValue += values[i];
    }
    cells.start[c] = start;
    cells.end[c] = end;
    cells.time[c] = sumTime / (end - start);
    // A gap inside a cell makes the whole cell a gap: nothing is interpolated across it.
    cells.value[c] = sumValue / (end - start);
  }
  return cells;
}

/** Running sums of a piece, about a common origin; merging adds them. */
interface Sums {
  n: number;
  t: number;
  y: number;
  tt: number;
  ty: number;
  yy: number;
}

function squaredError(s: Sums): number {
  if (s.n < 3) return 0;
  const stt = s.tt - (s.t * s.t) / s.n;
  const sty = s.ty - (s.t * s.y) / s.n;
  const syy = s.yy - (s.y * s.y) / s.n;
  return Math.max(0, syy - (stt > 0 ? (sty * sty) / stt : 0));
}

const add = (a: Sums, b: Sums): Sums => ({
  n: a.n + b.n,
  t: a.t + b.t,
  y: a.y + b.y,
  tt: a.tt + b.tt,
  ty: a.ty + b.ty,
  yy: a.yy + b.yy,
});

/** Smallest-first queue of merge costs; entries go stale when a piece changes and are then skipped. */
class MergeQueue {
  private readonly items: { cost: number; left: number; version: number }[] = [];
  push(item: { cost: number; left: number; version: number }): void {
    const { items } = this;
    items.push(item);
    let i = items.length - 1;
    while (i > 0) {
      const parent = (i - 1) >> 1;
      if (items[parent].cost <= item.cost) break;
      items[i] = items[parent];
      i = parent;
    }
    items[i] = item;
  }
  pop(): { cost: number; left: number; version: number } | undefined {
    const { items } = this;
    const top = items[0];
    const last = items.pop();
    if (last === undefined || items.length === 0) return top;
    let i = 0;
    for (;;) {
      let child = 2 * i + 1;
      if (child >= items.length) break;
      if (child + 1 < items.length && items[child + 1].cost < items[child].cost) child++;
      if (items[child].cost >= last.cost) break;
      items[i] = items[child];
      i = child;
    }
    items[i] = last;
    return top;
  }
}

/**
 * Straight pieces of `values` over `time` [s], in order, covering every sample but the gaps (NaN).
 * Cost O(n log n) in the number of cells. Source: bottom-up piecewise-linear segmentation (general method, Keogh et al.
 * 2001, from memory); the stopping rule is ours.
 */
export function straightPieces(time: Float64Array, values: Float64Array, options: SegmentOptions): Piece[] {
  const maxCells = options.maxCells ?? 16_384;
  const noise = noiseLevel(values);
  let size = Math.max(1, Math.ceil(values.length / maxCells));
  // Average a noisy signal until one cell stands out of the noise, but keep enough cells to see short ramps.
  while (noise / Math.sqrt(size) > 2 * options.tolerance && values.length / (2 * size) > 400) size *= 2;
  const cells = averageIntoCells(time, values, size);
  const cellNoise = Math.max(noise / Math.sqrt(size), 1e-12 * options.tolerance);
  const accept = options.tolerance * options.tolerance;
  // Two line parameters and a break cost about 3·ln n by the Bayesian criterion; doubled, since noise is not white.
  const mergeLimit = 6 * Math.log(Math.max(10, cells.value.length)) * cellNoise * cellNoise;

  const pieces: Piece[] = [];
  let c = 0;
  while (c < cells.value.length) {
    if (Number.isNaN(cells.value[c])) {
      c++;
      continue;
    }
    let stop = c;
    while (stop < cells.value.length && !Number.isNaN(cells.value[stop])) stop++;
    mergeRun(cells, c, stop, mergeLimit, accept, pieces, time);
    c = stop;
  }
  return pieces;
}

function mergeRun(
  cells: Cells,
  first: number,
  stop: number,
  mergeLimit: number,
  accept: number,
  out: Piece[],
  time: Float64Array,
): void {
  const n = stop - first;
  const origin = cells.time[first];
  const sums: (Sums | undefined)[] = new Array(n);
  const next = new Int32Array(n);
  const previous = new Int32Array(n);
  const version = new Int32Array(n);
  for (let i = 0; i < n; i++) {
    const t = cells.time[first + i] - origin;
    const y = cells.value[first + i];
    sums[i] = { n: 1, t, y, tt: t * t, ty: t * y, yy: y * y };
    next[i] = i + 1;
    previous[i] = i - 1;
  }
  const queue = new MergeQueue();
  const offer = (left: number): void => {
    const right = next[left];
    if (left < 0 || right >= n) return;
    const a = sums[left] as Sums;
    const b = sums[right] as Sums;
    const merged = add(a, b);
    const error = squaredError(merged);
    const cost = error - squaredError(a) - squaredError(b);
    // Short merges are free; longer ones must be explained by noise or stay within the accepted deviation.
    if (merged.n <= 3 || cost <= mergeLimit || error <= accept * merged.n)
      queue.push({ cost, left, version: version[left] + version[right] });
  };
  for (let i = 0; i + 1 < n; i++) offer(i);
  for (let item = queue.pop(); item !== undefined; item = queue.pop()) {
    const { left } = item;
    const right = next[left];
    if (sums[left] === undefined || right >= n || item.version !== version[left] + version[right]) continue;
    sums[left] = add(sums[left] as Sums, sums[right] as Sums);
    sums[right] = undefined;
    next[left] = next[right];
    if (next[right] < n) previous[next[right]] = left;
    // Versions only grow, so a stale entry can never match again.
    version[left] += version[right] + 1;
    offer(left);
    if (previous[left] >= 0) offer(previous[left]);
  }
  for (let i = 0; i < n; i = next[i]) {
    const s = sums[i] as Sums;
    const start = cells.start[first + i];
    const end = cells.end[first + next[i] - 1];
    const stt = s.tt - (s.t * s.t) / s.n;
    const slope = s.n > 1 && stt > 0 ? (s.ty - (s.t * s.y) / s.n) / stt : 0;
    out.push({
      start,
      end,
      from: time[start],
      to: time[end - 1],
      level: s.y / s.n,
      slope,
      rms: Math.sqrt(squaredError(s) / s.n),
    });
  }
}
