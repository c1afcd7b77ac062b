import { describe, expect, test } from 'vitest';
import {
  extent,
  linearScale,
  logScale,
  logTicks,
  niceStep,
  niceTicks,
  tickLabels,
} from '../../../../src/engine/report/svg/scale.js';

describe('niceTicks', () => {
  test.each([
    [0, 10, 5, [0, 2, 4, 6, 8, 10]],
    [0, 1, 5, [0, 0.2, 0.4, 0.6, 0.8, 1]],
    [-0.3, 0.3, 6, [-0.3, -0.2, -0.1, 0, 0.1, 0.2, 0.3]],
    [7, 96, 4, [20, 40, 60, 80]],
    [3, 47, 5, [10, 20, 30, 40]],
    [1e-6, 5e-6, 5, [1e-6, 2e-6, 3e-6, 4e-6, 5e-6]],
  ])('from %d to %d in %d parts', (min, max, count, expected) => {
    expect(niceTicks(min, max, count)).toEqual(expected);
  });

  test('steps are 1, 2 or 5 times a power of ten and ticks stay inside, over 12 decades', () => {
    for (let k = 0; k < 400; k++) {
      const span = 10 ** ((k % 120) / 10 - 6) * (1 + (k % 7));
      const min = (((k * 37) % 41) - 20) * span * 0.17;
      const step = niceStep(span, 6);
      const mantissa = step / 10 ** Math.floor(Math.log10(step) + 1e-9);
      expect([1, 2, 5].some((m) => Math.abs(mantissa - m) < 1e-9)).toBe(true);
      // Nearest in ratio: 2 and 5 are farthest apart, so the count misses 6 by at most the square root of 2.5.
      expect(span / step).toBeLessThanOrEqual(6 * Math.sqrt(2.5) * (1 + 1e-9));
      expect(span / step).toBeGreaterThanOrEqual((6 / Math.sqrt(2.5)) * (1 - 1e-9));
      const ticks = niceTicks(min, min + span, 6);
      expect(ticks.length).toBeLessThanOrEqual(10);
      for (const t of ticks) {
        expect(t).toBeGreaterThanOrEqual(min - step * 1e-6);
        expect(t).toBeLessThanOrEqual(min + span + step * 1e-6);
      }
    }
  });

  test('a single value and an unusable pair still give finite ticks', () => {
    for (const [a, b] of [
      [3, 3],
      [0, 0],
      [Number.NaN, 1],
      [Number.NEGATIVE_INFINITY, 1],
    ] as const) {
      const ticks = niceTicks(a, b, 5);
      expect(ticks.length).toBeGreaterThan(0);
      expect(ticks.every(Number.isFinite)).toBe(true);
    }
  });
});

describe('tickLabels', () => {
  test('have equal decimals and a true minus sign', () => {
    expect(tickLabels([-0.5, 0, 0.5, 1])).toEqual(['−0.5', '0.0', '0.5', '1.0']);
    expect(tickLabels([0, 200, 400])).toEqual(['0', '200', '400']);
  });
  test('very large and very small steps use an exponent', () => {
    expect(tickLabels([0, 2e6, 4e6])).toEqual(['0', '2e6', '4e6']);
    expect(tickLabels([0, 2e-6, 4e-6])).toEqual(['0', '2e−6', '4e−6']);
  });
});

describe('linearScale', () => {
  test('maps the ends of the domain to the ends of the range and keeps NaN', () => {
    const s = linearScale([2, 4], [100, 0]);
    expect([s(2), s(3), s(4)]).toEqual([100, 50, 0]);
    expect(s(Number.NaN)).toBeNaN();
  });
  test('a domain without width maps its value to the middle', () => {
    expect(linearScale([5, 5], [0, 10])(5)).toBe(5);
    expect(linearScale([0, 0], [0, 10])(0)).toBe(5);
  });
});

test('extent ignores what is not finite', () => {
  expect(extent([Number.NaN, 3, Number.POSITIVE_INFINITY, -1])).toEqual([-1, 3]);
  expect(extent([Number.NaN])).toBeUndefined();
});

describe('a logarithmic scale', () => {
  test('sets equal ratios equally far apart', () => {
    const sy = logScale([0.1, 1000], [400, 0]);
    expect([0.1, 1, 10, 100, 1000].map(sy)).toEqual([400, 300, 200, 100, 0].map((y) => expect.closeTo(y, 9)));
    expect(sy(Math.sqrt(10)) - sy(1)).toBeCloseTo(0.5 * (sy(10) - sy(1)), 9);
  });

  test('0 and less stand below it and stay finite, a gap stays one, and ends that are no ratio are not taken', () => {
    const sy = logScale([0.1, 10], [200, 0]);
    for (const v of [0, -5, Number.NEGATIVE_INFINITY, 1e-300]) expect(sy(v)).toBeCloseTo(300, 9);
    expect(sy(Number.NaN)).toBeNaN();
    for (const ends of [
      [0, 1],
      [5, 5],
      [Number.NaN, 1],
    ] as const)
      expect(Number.isFinite(logScale(ends, [200, 0])(1))).toBe(true);
  });

  test('has ticks at 1, 2 and 5, or at powers of ten where there is no room', () => {
    expect(logTicks(0.2, 20, 9)).toEqual([0.2, 0.5, 1, 2, 5, 10, 20]);
    expect(logTicks(0.2, 20, 6)).toEqual([1, 10]);
    expect(logTicks(3, 4, 6)).toEqual([]);
    expect(logTicks(1e-3, 1e6, 5)).toEqual([1e-3, 0.1, 10, 1000, 1e5]);
  });
});
