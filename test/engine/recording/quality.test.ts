import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { createRandom } from '../../../src/engine/numerics/random.js';
import { atLimit, flatTop, spanOf, spikeIndices } from '../../../src/engine/recording/quality.js';

const random = createRandom('quality');
const noise = Float64Array.from({ length: 4000 }, () => 0.1 * random.normal());

const withAt = (values: Float64Array, changes: Record<number, number>): Float64Array => {
  const out = values.slice();
  for (const [i, v] of Object.entries(changes)) out[Number(i)] = v;
  return out;
};

describe('spikes', () => {
  test('lone samples that jump away and back are found, up and down, and only they', () => {
    expect(spikeIndices(withAt(noise, { 100: 5, 700: -4, 2000: 3 }), 1)).toEqual([100, 700, 2000]);
  });

  test('on a ramp too', () => {
    const ramp = noise.map((v, i) => v + 0.02 * i);
    expect(spikeIndices(withAt(ramp, { 900: 0 }), 1)).toEqual([900]);
  });

  test('a step, a peak of several samples and a saw-tooth are none', () => {
    expect(
      spikeIndices(
        noise.map((v, i) => v + (i >= 2000 ? 10 : 0)),
        1,
      ),
    ).toEqual([]);
    expect(spikeIndices(withAt(noise, { 500: 3, 501: 6, 502: 9, 503: 6, 504: 3 }), 1)).toEqual([]);
    expect(spikeIndices(withAt(noise, { 500: 6, 501: 6 }), 1)).toEqual([]);
    expect(
      spikeIndices(
        noise.map((_, i) => (i % 50) / 5),
        1,
      ),
    ).toEqual([]);
  });

  test('noise alone is none, even where the least jump is no more than its standard deviation', () => {
    // 14.8 standard deviations away from the neighbours' median: no such sample among 4000 normal ones.
    expect(spikeIndices(noise, 0.1)).toEqual([]);
  });

  test('ripple of twelve samples a turn is none', () => {
    expect(
      spikeIndices(
        noise.map((_, i) => Math.sin((2 * Math.PI * i) / 12)),
        0.05,
      ),
    ).toEqual([]);
  });

  test('gaps beside it hide a spike rather than make one', () => {
    expect(spikeIndices(withAt(noise, { 300: Number.NaN, 301: Number.NaN, 305: 5 }), 1)).toEqual([305]);
    expect(spikeIndices(withAt(noise, { 300: Number.NaN }), 1)).toEqual([]);
    expect(spikeIndices(new Float64Array(50).fill(Number.NaN), 1)).toEqual([]);
  });

  test('sign, offset and scale of the channel do not matter; reversing time mirrors the places', () => {
    fc.assert(
      fc.property(
        fc.uniqueArray(fc.integer({ min: 10, max: 389 }), { maxLength: 6 }),
        fc.constantFrom(1, -1, 4, -0.5),
        (places, factor) => {
          const values = noise.slice(0, 400);
          for (const p of places) values[p] = 8;
          const found = spikeIndices(values, 1);
          expect(
            spikeIndices(
              values.map((v) => factor * v),
              Math.abs(factor),
            ),
          ).toEqual(found);
          expect(spikeIndices(values.slice().reverse(), 1)).toEqual(found.map((i) => 399 - i).reverse());
        },
      ),
      { numRuns: 100 },
    );
  });
});

describe('flat top', () => {
  const wave = Float64Array.from({ length: 1000 }, (_, i) => 10 * Math.sin((2 * Math.PI * i) / 200));
  const clipped = (limit: number): Float64Array => wave.map((v) => Math.max(-limit, Math.min(limit, v)));

  test('a clipped wave holds its limit, the whole wave passes its crest', () => {
    expect(flatTop(clipped(8), 1e-9, 12)).toBe(8);
    expect(
      flatTop(
        clipped(8).map((v) => -v),
        1e-9,
        12,
      ),
    ).toBe(8);
    expect(flatTop(wave, 1e-9, 12)).toBeUndefined();
    expect(flatTop(new Float64Array(100), 1e-9, 12)).toBeUndefined();
  });

  test('only the extreme counts: one higher peak undoes it', () => {
    expect(flatTop(withAt(clipped(8), { 500: 9 }), 1e-9, 12)).toBeUndefined();
  });

  test('marks as long as the wave is beyond the limit: arcsin(0.8) to its mirror of every half wave', () => {
    // |sin| >= 0.8 for 2·(π/2 - arcsin 0.8) of each π, 41.0 % of the time.
    const share = atLimit(clipped(8), 8, 1e-9, 3).reduce((a, b) => a + b, 0) / 1000;
    expect(share).toBeCloseTo((Math.PI - 2 * Math.asin(0.8)) / Math.PI, 2);
  });

  test('runs shorter than asked for and gaps are not at the limit', () => {
    const values = Float64Array.from([0, 5, 5, 0, -5, -5, -5, 0, 5, Number.NaN, 5, 5]);
    expect([...atLimit(values, 5, 0.01, 3)]).toEqual([0, 0, 0, 0, 1, 1, 1, 0, 0, 0, 0, 0]);
    expect([...atLimit(values, 5, 0.01, 2)]).toEqual([0, 1, 1, 0, 1, 1, 1, 0, 0, 0, 1, 1]);
  });
});

describe('span', () => {
  test('of 1 to 1000 the largest two are left out at 0.2 %', () => {
    const values = Float64Array.from({ length: 1000 }, (_, i) => (i % 2 === 0 ? 1 : -1) * (i + 1));
    expect(spanOf(values)).toBe(998);
    expect(spanOf(values, 0)).toBe(1000);
  });

  test('order and sign do not matter, gaps are passed over, nothing has none', () => {
    const values = withAt(noise, { 5: Number.NaN });
    expect(spanOf(values.slice().reverse())).toBe(spanOf(values));
    expect(spanOf(values.map((v) => -v))).toBe(spanOf(values));
    expect(spanOf(new Float64Array(0))).toBe(0);
    expect(spanOf(new Float64Array(9).fill(Number.NaN))).toBe(0);
  });
});
