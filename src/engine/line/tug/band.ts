import { type Band, type Interval, isKnown } from './types.js';

/** A value that is what it is, in any unit [any]. Source: definition. */
export const exactly = (value: number): Interval => ({ low: value, high: value });

export const nothing: Interval = exactly(0);

/** At least nothing: the drag of a roller of which nothing is known. */
export const atLeastNothing: Interval = { low: 0, high: Number.POSITIVE_INFINITY };

export const anything: Interval = { low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY };

/** Sum of intervals. An open end stays open: low ends are never +∞ and high ends never −∞. Source: interval arithmetic. */
export const plus = (a: Interval, b: Interval): Interval => ({ low: a.low + b.low, high: a.high + b.high });

/** Difference of intervals. Source: interval arithmetic. */
export const minus = (a: Interval, b: Interval): Interval => ({ low: a.low - b.high, high: a.high - b.low });

/** Sum of any number of intervals; nothing of none. Source: interval arithmetic. */
export const total = (all: readonly Interval[]): Interval => all.reduce(plus, nothing);

/** An interval times a factor above 0 [1]. Source: interval arithmetic. */
export const times = (a: Interval, factor: number): Interval => ({
  low: a.low * factor,
  high: a.high * factor,
});

/** Largest magnitude within an interval, in its unit [any]. Source: definition. */
export const largest = ({ low, high }: Interval): number => Math.max(Math.abs(low), Math.abs(high));

/** Value within an interval that is nearest to 0, with its sign, in its unit [any]. Source: definition. */
export const nearestToNothing = ({ low, high }: Interval): number => (low > 0 ? low : high < 0 ? high : 0);

/** An interval for a result: left out when an end is open. */
export const known = (interval: Interval): Band | undefined => (isKnown(interval) ? interval : undefined);
