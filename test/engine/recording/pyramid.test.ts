import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  bucketsOf,
  buildPyramid,
  cellSamples,
  cellsJoined,
  cellsOf,
  levelFor,
  pyramidLevels,
} from '../../../src/engine/recording/pyramid.js';

/** The range of some samples, by the plainest way there is. */
function rangeOf(values: readonly number[]): [number, number] {
  const numbers = values.filter((v) => !Number.isNaN(v));
  return numbers.length === 0 ? [Number.NaN, Number.NaN] : [Math.min(...numbers), Math.max(...numbers)];
}

const samples = fc.array(fc.oneof({ weight: 9, arbitrary: fc.double() }, fc.constant(Number.NaN)), {
  maxLength: 700,
});

describe('levels', () => {
  test('none over nothing, one over a little, else each a quarter of the one below', () => {
    expect(pyramidLevels(0)).toEqual([]);
    expect(pyramidLevels(1)).toEqual([{ samples: cellSamples, cells: 1, offset: 0 }]);
    const levels = pyramidLevels(10_000_000);
    for (const [k, level] of levels.entries()) {
      expect(level.samples).toBe(cellSamples * cellsJoined ** k);
      expect(level.cells).toBe(Math.ceil(10_000_000 / level.samples));
    }
    expect(levels.at(-1)?.cells).toBeLessThanOrEqual(256);
  });

  test('the coarsest that has a cell a bucket is taken, and the samples themselves where none has', () => {
    const levels = pyramidLevels(1_000_000);
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1_000_000 }), fc.integer({ min: 1, max: 5000 }), (n, buckets) => {
        const level = levelFor(levels, n, buckets);
        const fit = levels.filter((l) => n / l.samples >= buckets);
        expect(level).toEqual(fit.at(-1));
      }),
    );
  });
});

describe('cells', () => {
  test('of every level hold exactly the range of their samples, NaN left aside', () => {
    fc.assert(
      fc.property(samples, fc.integer({ min: 1, max: 12 }), (some, times) => {
        const values = Array.from({ length: times }, () => some).flat();
        const cells = buildPyramid(Float64Array.from(values));
        for (const level of pyramidLevels(values.length))
          for (let c = 0; c < level.cells; c++) {
            const [min, max] = rangeOf(values.slice(c * level.samples, (c + 1) * level.samples));
            const at = 2 * (level.offset + c);
            // toEqual would tell 0 from -0, which no plot does
            expect([cells[at] + 0, cells[at + 1] + 0]).toEqual([min + 0, max + 0]);
          }
      }),
      { numRuns: 60 },
    );
  });

  test('one sample of a million that stands out is there in every level', () => {
    const values = new Float64Array(1_000_000).fill(1);
    values[765_432] = 9;
    values[765_433] = -7;
    const cells = buildPyramid(values);
    for (const level of pyramidLevels(values.length)) {
      const part = cells.subarray(2 * level.offset, 2 * (level.offset + level.cells));
      expect([part.reduce((a, b) => Math.min(a, b)), part.reduce((a, b) => Math.max(a, b))]).toEqual([-7, 9]);
    }
  });
});

describe('buckets', () => {
  test('cover every cell once, in order, and lose no peak', () => {
    fc.assert(
      fc.property(samples, fc.integer({ min: 1, max: 900 }), (values, wanted) => {
        const starts = Float64Array.from(values, (_, i) => i);
        const out = bucketsOf(starts, cellsOf(Float64Array.from(values)), wanted);
        const count = out.length / 3;
        expect(count).toBe(Math.min(wanted, values.length));
        for (let b = 0; b < count; b++) {
          const end = b + 1 < count ? out[3 * (b + 1)] : values.length;
          expect(end).toBeGreaterThan(out[3 * b]);
          const [min, max] = rangeOf(values.slice(out[3 * b], end));
          expect([out[3 * b + 1] + 0, out[3 * b + 2] + 0]).toEqual([min + 0, max + 0]);
        }
        if (count > 0) expect(out[0]).toBe(0);
      }),
    );
  });
});
