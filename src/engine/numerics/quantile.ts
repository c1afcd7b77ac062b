import { TautlineError } from '../errors.js';

/**
 * Sample quantile, definition R-7: linear interpolation between order statistics at position (n - 1)·p.
 * `probability` from 0 to 1. Order of the values does not matter; they are not changed. Average cost of order n.
 * @throws TautlineError argument_invalid for no values, any NaN (leave gaps out first: a gap has no rank) and
 * a probability outside 0 to 1.
 * Source: Hyndman and Fan, The American Statistician 50(4), 1996, definition 7 (from memory).
 */
export function quantile(values: ArrayLike<number>, probability: number): number {
  if (!(probability >= 0 && probability <= 1))
    throw new TautlineError(
      'argument_invalid',
      { probability },
      `probability ${probability} is not between 0 and 1`,
      'pass a fraction, not a percentage',
    );
  return quantileInPlace(copyChecked(values), probability);
}

/** Median of the values: `quantile` at 0.5, with its errors. */
export function median(values: ArrayLike<number>): number {
  return quantileInPlace(copyChecked(values), 0.5);
}

/**
 * Median absolute deviation from the median, in the unit of the values and unscaled: times 1.4826 it estimates the
 * standard deviation of normal data. Errors as `quantile`.
 */
export function medianAbsoluteDeviation(values: ArrayLike<number>): number {
  const work = copyChecked(values);
  const centre = quantileInPlace(work, 0.5);
  for (let i = 0; i < work.length; i++) work[i] = Math.abs(work[i] - centre);
  return quantileInPlace(work, 0.5);
}

function copyChecked(values: ArrayLike<number>): Float64Array {
  const work = Float64Array.from(values);
  const fail = (where: Record<string, number>, message: string): never => {
    throw new TautlineError('argument_invalid', where, message, 'pass at least one value and leave gaps out');
  };
  if (work.length === 0) fail({ length: 0 }, 'a quantile of no values does not exist');
  for (let i = 0; i < work.length; i++)
    if (Number.isNaN(work[i])) fail({ index: i }, `value ${i} is NaN and has no rank`);
  return work;
}

function quantileInPlace(work: Float64Array, probability: number): number {
  const position = (work.length - 1) * probability;
  const index = Math.floor(position);
  select(work, index);
  const lower = work[index];
  const fraction = position - index;
  if (fraction === 0) return lower;
  // Everything after `index` is at least work[index]: the next order statistic is the smallest of it.
  let upper = Number.POSITIVE_INFINITY;
  for (let i = index + 1; i < work.length; i++) upper = Math.min(upper, work[i]);
  // Equal neighbours are returned as they are, which also keeps infinities from making NaN.
  return lower === upper ? lower : lower + fraction * (upper - lower);
}

/**
 * Quickselect: reorder so that work[k] is the k-th order statistic, nothing before it larger, nothing after it smaller.
 * The pivot is the median of first, middle and last, so sorted and constant data stay of order n.
 */
function select(work: Float64Array, k: number): void {
  let left = 0;
  let right = work.length - 1;
  while (left < right) {
    const a = work[left];
    const b = work[(left + right) >> 1];
    const c = work[right];
    const pivot = Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
    let i = left;
    let j = right;
    while (i <= j) {
      while (work[i] < pivot) i++;
      while (work[j] > pivot) j--;
      if (i <= j) {
        const kept = work[i];
        work[i++] = work[j];
        work[j--] = kept;
      }
    }
    if (k <= j) right = j;
    else if (k >= i) left = i;
    else return;
  }
}
