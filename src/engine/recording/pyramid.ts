/**
 * A pyramid of least and greatest values over a long channel, so that a plot of any stretch of it is drawn from a few thousand numbers and
 * no peak is lost. Level 0 has a cell for every `cellSamples` samples; each further level joins `cellsJoined` cells into one. A cell is
 * [min, max]; both are NaN where no sample of it holds a number. Only for drawing: nothing is computed from it.
 */

/** Samples of a cell of the finest level. */
export const cellSamples = 16;
/** Cells of one level that make one cell of the next. */
export const cellsJoined = 4;
/** A level of so few cells is read whole, so there is no coarser one. */
const coarsest = 256;

/** Where a level stands among the cells of all levels laid end to end. */
export interface LevelPlace {
  /** Samples of one cell. */
  readonly samples: number;
  readonly cells: number;
  /** Cells of all finer levels. */
  readonly offset: number;
}

/**
 * The levels over n samples [1], finest first; at least one where there is a sample.
 * Not a relation [1]. Validity: n >= 0, whole. Source: definition.
 */
export function pyramidLevels(n: number): LevelPlace[] {
  const levels: LevelPlace[] = [];
  let offset = 0;
  for (let samples = cellSamples; n > 0; samples *= cellsJoined) {
    const cells = Math.ceil(n / samples);
    levels.push({ samples, cells, offset });
    offset += cells;
    if (cells <= coarsest) break;
  }
  return levels;
}

/**
 * The cells of all levels over the values [unit of the values], laid end to end as [min, max] pairs.
 * min and max of a cell are exactly those of its samples; NaN samples count for nothing. Source: definition.
 */
export function buildPyramid(values: Float64Array): Float64Array {
  const levels = pyramidLevels(values.length);
  const last = levels.at(-1);
  const out = new Float64Array(last === undefined ? 0 : 2 * (last.offset + last.cells));
  for (const [k, { samples, cells, offset }] of levels.entries()) {
    if (k === 0) {
      for (let c = 0; c < cells; c++) {
        const end = Math.min(values.length, (c + 1) * samples);
        let min = Number.NaN;
        let max = Number.NaN;
        for (let i = c * samples; i < end; i++) {
          const v = values[i];
          // written so that a NaN on either side lets the number through
          if (!(v >= min)) min = Number.isNaN(v) ? min : v;
          if (!(v <= max)) max = Number.isNaN(v) ? max : v;
        }
        out[2 * (offset + c)] = min;
        out[2 * (offset + c) + 1] = max;
      }
      continue;
    }
    const below = levels[k - 1];
    const source = out.subarray(2 * below.offset, 2 * (below.offset + below.cells));
    for (let c = 0; c < cells; c++)
      joinInto(out, offset + c, source, c * cellsJoined, Math.min(below.cells, (c + 1) * cellsJoined));
  }
  return out;
}

/** Writes the range of the cells [from, end) as cell `at` of `out`. */
function joinInto(out: Float64Array, at: number, cells: Float64Array, from: number, end: number): void {
  let min = Number.NaN;
  let max = Number.NaN;
  for (let c = from; c < end; c++) {
    if (!(cells[2 * c] >= min) && !Number.isNaN(cells[2 * c])) min = cells[2 * c];
    if (!(cells[2 * c + 1] <= max) && !Number.isNaN(cells[2 * c + 1])) max = cells[2 * c + 1];
  }
  out[2 * at] = min;
  out[2 * at + 1] = max;
}

/**
 * The coarsest level that still has as many cells as there are to be buckets over so many samples [1]; undefined when the samples
 * themselves are to be read. Not a relation [1]. Source: definition.
 */
export function levelFor(
  levels: readonly LevelPlace[],
  samples: number,
  buckets: number,
): LevelPlace | undefined {
  return levels.findLast((level) => samples >= level.samples * buckets);
}

/** A value of one sample as a cell. Not a relation [1]. Source: definition. */
export function cellsOf(values: Float64Array): Float64Array {
  const out = new Float64Array(2 * values.length);
  for (let i = 0; i < values.length; i++) out[2 * i] = out[2 * i + 1] = values[i];
  return out;
}

/**
 * Joins neighbouring cells into at most so many buckets and puts the start of each before it: [start, min, max] a bucket. Buckets hold equally
 * many cells, to one. @param starts of the cells, in the unit in which the buckets are to be placed. Source: definition.
 */
export function bucketsOf(starts: Float64Array, cells: Float64Array, buckets: number): Float64Array {
  const n = starts.length;
  const count = Math.min(buckets, n);
  const out = new Float64Array(3 * count);
  const cell = new Float64Array(2);
  for (let b = 0; b < count; b++) {
    const from = Math.floor((b * n) / count);
    joinInto(cell, 0, cells, from, Math.floor(((b + 1) * n) / count));
    out[3 * b] = starts[from];
    out[3 * b + 1] = cell[0];
    out[3 * b + 2] = cell[1];
  }
  return out;
}
