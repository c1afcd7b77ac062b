import { expect, test } from 'vitest';
import {
  createRandom,
  median,
  medianAbsoluteDeviation,
  quantile,
} from '../../../src/engine/numerics/index.js';
import { scipy } from './scipyReference.js';

test('R-7 quantiles and median deviation agree with NumPy and SciPy', () => {
  // Order statistics are exact; the interpolation rounds once or twice.
  for (const [p, value] of scipy.quantile) expect(quantile(scipy.signal, p)).toBeCloseTo(value, 14);
  expect(medianAbsoluteDeviation(scipy.signal)).toBeCloseTo(scipy.mad, 14);
});

test('selection finds the order statistics of a sort, for any order of the data', () => {
  const random = createRandom('select');
  const n = 5001;
  const kinds: [string, (i: number) => number][] = [
    ['random', () => random.normal()],
    ['few values', () => random.integer(3)],
    ['constant', () => 7],
    ['ascending', (i) => i],
    ['descending', (i) => -i],
    ['organ pipe', (i) => Math.min(i, n - i)],
  ];
  for (const [kind, value] of kinds) {
    const values = Float64Array.from({ length: n }, (_, i) => value(i));
    const before = values.slice();
    const sorted = values.slice().sort();
    for (const k of [0, 1, 17, 2500, 4999, 5000]) expect(quantile(values, k / (n - 1)), kind).toBe(sorted[k]);
    expect(values).toEqual(before);
  }
});

test('small cases and refusals', () => {
  expect(median([3])).toBe(3);
  expect(median([4, 1])).toBe(2.5);
  expect(median([Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY, 1])).toBe(1);
  expect(quantile([1, Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY], 0.75)).toBe(
    Number.POSITIVE_INFINITY,
  );
  expect(() => median([])).toThrow(/no values/);
  expect(() => quantile([1, Number.NaN], 0.5)).toThrow(/value 1 is NaN/);
  expect(() => quantile([1, 2], 50)).toThrow(/50 is not between 0 and 1/);
});
