import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { bucketExtents, decimateLine } from '../../../../src/engine/report/svg/decimate.js';

/** A long quiet trace with two one-sample peaks and a gap. */
function longTrace(n: number): { x: Float64Array; y: Float64Array } {
  const x = Float64Array.from({ length: n }, (_, i) => i * 0.001);
  const y = Float64Array.from({ length: n }, (_, i) => Math.sin(i / 5000) * 0.1);
  y[123_457] = 9;
  y[700_001] = -7;
  y.fill(Number.NaN, 400_000, 410_000);
  return { x, y };
}

describe('bucketExtents', () => {
  const { x, y } = longTrace(1_000_000);
  const buckets = bucketExtents(x, y, 0, 1000, 600);

  test('a million samples become at most one bucket a column and both peaks stay', () => {
    expect(buckets.length).toBeLessThanOrEqual(600);
    expect(Math.max(...buckets.map((b) => b.max))).toBe(9);
    expect(Math.min(...buckets.map((b) => b.min))).toBe(-7);
  });

  test('a gap stays empty', () => {
    expect(buckets.some((b) => b.x > 402 && b.x < 408)).toBe(false);
  });

  test('samples outside the range and NaN abscissae are ignored', () => {
    expect(bucketExtents([-1, Number.NaN, 0.5, 2], [5, 5, 1, 5], 0, 1, 4)).toEqual([
      { x: 0.5, min: 1, max: 1 },
    ]);
  });

  test('the last sample belongs to the last bucket', () => {
    expect(bucketExtents([0, 1], [3, 4], 0, 1, 10)).toHaveLength(2);
  });
});

describe('decimateLine', () => {
  test('peaks, ends and gap of a long trace stay', () => {
    const { x, y } = longTrace(1_000_000);
    const kept = decimateLine(x, y, 0, 1000, 600);
    expect(kept.length).toBeLessThan(4 * 600 + 10);
    expect(kept).toContain(123_457);
    expect(kept).toContain(700_001);
    expect(kept[0]).toBe(0);
    expect(kept.at(-1)).toBe(999_999);
    expect(kept.some((i) => Number.isNaN(y[i]))).toBe(true);
  });

  test('a short trace is kept whole', () => {
    expect(decimateLine([0, 1, 2], [5, Number.NaN, 6], 0, 2, 10)).toEqual([0, 1, 2]);
  });

  test('whatever the samples: indices rise, and lowest and highest value survive', () => {
    const sample = fc.oneof(fc.double({ noNaN: true, min: -1e6, max: 1e6 }), fc.constant(Number.NaN));
    fc.assert(
      fc.property(
        fc.array(sample, { minLength: 1, maxLength: 400 }),
        fc.integer({ min: 1, max: 20 }),
        (values, count) => {
          const x = values.map((_, i) => i);
          const kept = decimateLine(x, values, 0, Math.max(1, values.length - 1), count);
          expect(kept.every((k, j) => j === 0 || k > (kept[j - 1] as number))).toBe(true);
          const finite = values.filter(Number.isFinite);
          const keptValues = kept.map((k) => values[k] as number).filter(Number.isFinite);
          expect(Math.max(...keptValues)).toBe(Math.max(...finite));
          expect(Math.min(...keptValues)).toBe(Math.min(...finite));
          // A line must not be drawn across a gap: missing samples between two kept ones leave a missing one between.
          for (let j = 1; j < kept.length; j++) {
            const [a, b] = [kept[j - 1] as number, kept[j] as number];
            const crossesGap = values.slice(a + 1, b).some(Number.isNaN);
            if (crossesGap) expect(Number.isNaN(values[a]) || Number.isNaN(values[b])).toBe(true);
          }
        },
      ),
      { seed: 7, numRuns: 300 },
    );
  });
});
