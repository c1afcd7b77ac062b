import { readFileSync } from 'node:fs';

interface CurveValues {
  readonly value: number[];
  readonly derivative: number[];
}
interface DistributionValues {
  /** Rows of probability, degrees of freedom..., quantile. */
  readonly ppf: number[][];
  /** Rows of value, degrees of freedom..., probability. */
  readonly cdf: number[][];
}

/** Values written by test/reference/scipy/make_reference.py. */
export const scipy = JSON.parse(
  readFileSync(new URL('../../reference/scipy/reference.json', import.meta.url), 'utf8'),
) as {
  signal: number[];
  filters: {
    order: number;
    ripple_dB: number | null;
    cutoff: number;
    omega: number[];
    gain: number[];
    filtfilt: number[];
  }[];
  decimate10: number[];
  quantile: [number, number][];
  mad: number;
  knots: number[];
  heights: number[];
  at: number[];
  pchip: CurveValues;
  notAKnot: CurveValues;
  natural: CurveValues;
  fft: { n: number; re: number[]; im: number[] }[];
  savgol: {
    window: number;
    degree: number;
    derivative: number;
    step: number;
    weights: number[];
    values: number[];
  }[];
  normal: DistributionValues;
  t: DistributionValues;
  f: DistributionValues;
  chi2: DistributionValues;
};

/** Largest absolute difference; NaN, or Infinity for lengths that differ, fails every bound. */
export function largestDifference(a: ArrayLike<number>, b: ArrayLike<number>): number {
  if (a.length !== b.length || a.length === 0) return Number.POSITIVE_INFINITY;
  let largest = 0;
  for (let i = 0; i < a.length; i++) largest = Math.max(largest, Math.abs(a[i] - b[i]));
  return largest;
}
