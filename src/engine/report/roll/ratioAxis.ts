import { shortNumber } from '../format.js';
import type { Samples } from '../svg/decimate.js';
import type { Axis } from '../svg/figure.js';
import { extent } from '../svg/scale.js';

/** How far the axis reaches beyond the smallest value, or the limit where that is larger, and beyond what half of the values are: further out only that it is much more counts. */
const worthShowing = 100;
const beyondMedian = 3;
/** A smaller share of the limit is as bad as none. */
const leastShown = 0.1;

/**
 * A logarithmic axis for numbers that must not fall below a value, such as margins below 1, and rise without end where nothing is asked: from what is smallest to
 * {@link worthShowing} times that, or further where most of them lie there. `limit` is the value that counts, in the unit of the numbers; it is always shown.
 */
export function ratioAxis(label: string, all: readonly Samples[], limit = 1): Required<Axis> {
  const [smallest = limit, largest = limit] = extentOf(all) ?? [];
  const low = below(Math.max(leastShown * limit, Math.min(limit / 2, smallest)));
  const far = Math.max(worthShowing * Math.max(smallest, limit), beyondMedian * medianOf(all, limit));
  const high = above(Math.max(5 * limit, Math.min(largest, far)));
  return { label, include: [limit], range: [low, high], isLogarithmic: true };
}

/** What a caption has to say of such an axis, and of what lies outside of it. */
export function ratioCaption(
  what: string,
  { range: [low, high] }: Required<Axis>,
  all: readonly Samples[],
): string {
  const [smallest, largest] = extentOf(all) ?? [low, high];
  const outside = [
    ...(largest > high ? [`above ${shortNumber(high)}`] : []),
    ...(smallest < low ? [`below ${shortNumber(low)}`] : []),
  ];
  return outside.length === 0
    ? `${what} on a logarithmic scale.`
    : `${what} on a logarithmic scale; what is ${outside.join(' or ')} lies outside it.`;
}

const extentOf = (all: readonly Samples[]): [number, number] | undefined =>
  extent(all.flatMap((samples) => extent(Array.from(samples)) ?? []));

function medianOf(all: readonly Samples[], otherwise: number): number {
  const sorted = all
    .flatMap((samples) => Array.from(samples))
    .filter(Number.isFinite)
    .sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)] ?? otherwise;
}

/** The next value of 1, 2 and 5 times a power of ten below and above. */
const below = (value: number): number => nearest(value, (steps) => steps.filter((s) => s <= value).at(-1));
const above = (value: number): number => nearest(value, (steps) => steps.find((s) => s >= value));

function nearest(value: number, pick: (steps: number[]) => number | undefined): number {
  const power = Math.floor(Math.log10(value));
  const steps = [power - 1, power, power + 1].flatMap((k) => [1, 2, 5].map((f) => Number(`${f}e${k}`)));
  return pick(steps) ?? value;
}
