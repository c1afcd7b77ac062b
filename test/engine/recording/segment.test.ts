import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { createRandom } from '../../../src/engine/numerics/random.js';
import { noiseLevel, type Piece, straightPieces } from '../../../src/engine/recording/segment.js';
import { type Knot, polyline } from '../../support/profiles.js';

/** Profiles with corners and slopes known by construction. */
const noisy = (values: Float64Array, sd: number, seed: number | string): Float64Array => {
  const random = createRandom(seed);
  return values.map((v) => v + sd * random.normal());
};

/** The piece that holds a sample. */
const at = (pieces: readonly Piece[], i: number): Piece => {
  const piece = pieces.find((p) => p.start <= i && i < p.end);
  if (piece === undefined) throw new Error(`no piece holds sample ${i}`);
  return piece;
};

const lineAt = (p: Piece, t: number): number => p.level + p.slope * (t - 0.5 * (p.from + p.to));

/** How often every sample is covered. */
function coverage(pieces: readonly Piece[], samples: number): number[] {
  const count = new Array<number>(samples).fill(0);
  for (const p of pieces) for (let i = p.start; i < p.end; i++) count[i]++;
  return count;
}

const upAndDown: Knot[] = [
  [0, 0],
  [5, 0],
  [10, 100],
  [20, 100],
  [22, 40],
  [40, 40],
];

describe('straight pieces of a polyline', () => {
  test.each([0, 0.02, 0.1, 0.5])('noise of %f on a range of 100: every piece found, at its corners', (sd) => {
    const { time, value, pieces: truth } = polyline(upAndDown, 0.01);
    const pieces = straightPieces(time, noisy(value, sd, 1), { tolerance: 0.15 });
    for (const { start, end, slope } of truth) {
      const piece = at(pieces, (start + end) >> 1);
      // The corner is where the two lines have parted by what noise and tolerance hide.
      const hidden = 3 * (sd + 0.15);
      const shallowest = 20;
      expect(Math.abs(time[piece.start] - time[start])).toBeLessThan(hidden / shallowest + 0.05);
      expect(Math.abs(piece.to - time[Math.min(end, time.length - 1)])).toBeLessThan(
        hidden / shallowest + 0.05,
      );
      expect(Math.abs(piece.slope - slope)).toBeLessThan(0.01 * Math.max(10, Math.abs(slope)));
    }
    const squares = value.map((v, i) => (lineAt(at(pieces, i), time[i]) - v) ** 2);
    expect(Math.sqrt(squares.reduce((a, b) => a + b, 0) / squares.length)).toBeLessThan(0.15 + 0.3 * sd);
  });

  test('no more pieces than the profile has, but for a few at its corners', () => {
    const { time, value } = polyline(upAndDown, 0.01);
    for (const seed of [1, 2, 3]) {
      const pieces = straightPieces(time, noisy(value, 0.1, seed), { tolerance: 0.15 });
      expect(pieces.filter((p) => p.to - p.from > 0.5)).toHaveLength(5);
      expect(pieces.length).toBeLessThanOrEqual(5 + 2 * 4);
    }
  });

  test.each([
    ['50 ms at 1 kHz', 0.05, 0.001, 4],
    ['5 min at 10 Hz', 300, 0.1, 900],
  ] as const)('a ramp of %s', (_, ramp, interval, duration) => {
    const from = Math.round(duration / 3 / interval) * interval;
    const { time, value } = polyline(
      [
        [0, 20],
        [from, 20],
        [from + ramp, 80],
        [duration, 80],
      ],
      interval,
    );
    const pieces = straightPieces(time, noisy(value, 0.05, 7), { tolerance: 0.15 });
    const middle = at(pieces, Math.round((from + ramp / 2) / interval));
    expect(middle.slope / (60 / ramp)).toBeCloseTo(1, 1);
    expect(Math.abs(middle.to - middle.from - ramp)).toBeLessThan(0.1 * ramp);
    expect(at(pieces, 10).level).toBeCloseTo(20, 1);
    expect(at(pieces, time.length - 10).level).toBeCloseTo(80, 1);
  });

  test('a quantised speed: plateaus between two steps stay one piece, and the ramp is one', () => {
    const { time, value } = polyline(
      [
        [0, 10.3],
        [10, 10.3],
        [20, 60.3],
        [30, 60.3],
      ],
      0.01,
    );
    // Steps of 0.25 with noise of a third of a step, as an encoder of few lines gives.
    const pieces = straightPieces(
      time,
      noisy(value, 0.08, 4).map((v) => 0.25 * Math.round(v / 0.25)),
      { tolerance: 0.15 },
    );
    const long = pieces.filter((p) => p.to - p.from > 1);
    expect(long).toHaveLength(3);
    expect(long[1].slope).toBeCloseTo(5, 1);
    expect(long[0].level).toBeCloseTo(10.3, 1);
  });

  test('quantised without any noise: a ramp is no staircase', () => {
    const { time, value } = polyline(
      [
        [0, 0],
        [10, 0],
        [20, 50],
        [30, 50],
      ],
      0.01,
    );
    const pieces = straightPieces(
      time,
      value.map((v) => 0.25 * Math.round(v / 0.25)),
      { tolerance: 0.15 },
    );
    expect(at(pieces, 1500).slope).toBeCloseTo(5, 1);
    expect(at(pieces, 1500).to - at(pieces, 1500).from).toBeGreaterThan(9);
  });
});

describe('laws that hold for any signal', () => {
  const walks = fc
    .array(fc.double({ min: -3, max: 3, noNaN: true }), { minLength: 1, maxLength: 300 })
    .map((steps) => {
      let y = 0;
      return Float64Array.from(steps, (s) => (y += s));
    });
  const timeOf = (values: Float64Array): Float64Array => values.map((_, i) => 0.01 * i);

  test('every sample is covered once, pieces are in order, and each states its own least-squares line', () => {
    fc.assert(
      fc.property(walks, (values) => {
        const time = timeOf(values);
        const pieces = straightPieces(time, values, { tolerance: 0.5 });
        expect(coverage(pieces, values.length).every((c) => c === 1)).toBe(true);
        pieces.forEach((p, k) => {
          if (k > 0) expect(p.start).toBe(pieces[k - 1].end);
          let sum = 0;
          for (let i = p.start; i < p.end; i++) sum += values[i];
          expect(p.level).toBeCloseTo(sum / (p.end - p.start), 8);
        });
      }),
      { numRuns: 60 },
    );
  });

  test('gaps are covered by no piece, all else once', () => {
    fc.assert(
      fc.property(walks, fc.array(fc.nat(299), { maxLength: 8 }), (values, gaps) => {
        const holed = values.slice();
        for (const g of gaps) if (g < holed.length) holed[g] = Number.NaN;
        const pieces = straightPieces(timeOf(values), holed, { tolerance: 0.5 });
        expect(coverage(pieces, holed.length)).toEqual([...holed].map((v) => (Number.isNaN(v) ? 0 : 1)));
        for (const p of pieces) expect(Number.isFinite(p.level + p.slope + p.rms)).toBe(true);
      }),
      { numRuns: 60 },
    );
  });

  test.each([2, -4, 0.125])('signal and tolerance times %f: same pieces, line times that', (factor) => {
    fc.assert(
      fc.property(walks, (values) => {
        const time = timeOf(values);
        const one = straightPieces(time, values, { tolerance: 0.5 });
        // A power of two scales without rounding, so the pieces must be the same to the last sample.
        const other = straightPieces(
          time,
          values.map((v) => factor * v),
          { tolerance: 0.5 * Math.abs(factor) },
        );
        expect(other.map((p) => [p.start, p.end])).toEqual(one.map((p) => [p.start, p.end]));
        other.forEach((p, k) => {
          expect(p.slope).toBeCloseTo(factor * one[k].slope, 6);
          expect(p.level).toBeCloseTo(factor * one[k].level, 6);
        });
      }),
      { numRuns: 40 },
    );
  });

  test('an offset of the signal and another origin of time change no corner; time in other units scales the slope', () => {
    const { time, value } = polyline(upAndDown, 0.01);
    const values = noisy(value, 0.1, 11);
    const one = straightPieces(time, values, { tolerance: 0.15 });
    const corners = one.map((p) => [p.start, p.end]);
    const raised = straightPieces(
      time,
      values.map((v) => v + 256),
      { tolerance: 0.15 },
    );
    expect(raised.map((p) => [p.start, p.end])).toEqual(corners);
    raised.forEach((p, k) => {
      expect(p.level).toBeCloseTo(one[k].level + 256, 6);
      expect(p.slope).toBeCloseTo(one[k].slope, 5);
    });
    const later = straightPieces(
      time.map((t) => t + 4096),
      values,
      { tolerance: 0.15 },
    );
    expect(later.map((p) => [p.start, p.end])).toEqual(corners);
    const slower = straightPieces(
      time.map((t) => 64 * t),
      values,
      { tolerance: 0.15 },
    );
    expect(slower.map((p) => [p.start, p.end])).toEqual(corners);
    slower.forEach((p, k) => {
      expect(p.slope).toBeCloseTo(one[k].slope / 64, 6);
    });
  });

  test('a signal averaged into cells is still covered once', () => {
    const { time, value } = polyline(upAndDown, 0.001);
    const pieces = straightPieces(time, noisy(value, 1, 3), { tolerance: 0.15, maxCells: 1000 });
    expect(coverage(pieces, value.length).every((c) => c === 1)).toBe(true);
    expect(at(pieces, 7500).slope).toBeCloseTo(20, 0);
  });
});

describe('noise level', () => {
  const white = (n: number, sd: number, seed: string): Float64Array => noisy(new Float64Array(n), sd, seed);

  test.each([
    ['few samples', 2_000, 0.08],
    ['many samples', 30_000, 0.03],
    ['a thinned record', 200_000, 0.03],
  ] as const)('white noise of known standard deviation, %s', (_, n, within) => {
    // Standard error of a median absolute deviation of n normal values: 1.17/√n of itself (any text on robust statistics).
    expect(Math.abs(noiseLevel(white(n, 0.3, 'w')) / 0.3 - 1)).toBeLessThan(within);
  });

  test('a straight line under the noise changes nothing, a factor scales it, single spikes hardly move it', () => {
    const values = white(20_000, 0.3, 'l');
    const plain = noiseLevel(values);
    expect(noiseLevel(values.map((v, i) => v + 5 + 0.01 * i))).toBeCloseTo(plain, 9);
    expect(noiseLevel(values.map((v) => -7 * v))).toBeCloseTo(7 * plain, 9);
    expect(noiseLevel(values.map((v, i) => (i % 1000 === 500 ? 1e6 : v))) / plain).toBeCloseTo(1, 1);
    expect(noiseLevel(values.map((v, i) => (i % 50 === 7 ? Number.NaN : v))) / plain).toBeCloseTo(1, 1);
  });

  test('a constant, a straight line, gaps only and nothing have none', () => {
    expect(noiseLevel(new Float64Array(100).fill(3))).toBe(0);
    expect(noiseLevel(Float64Array.from({ length: 100 }, (_, i) => 2 * i))).toBe(0);
    expect(noiseLevel(new Float64Array(100).fill(Number.NaN))).toBe(0);
    expect(noiseLevel(new Float64Array(0))).toBe(0);
  });

  test.each([0.5, 1])('a ramp quantised in steps of %f without noise: √(q·s/3), s its rise a sample', (q) => {
    // Second differences are ±q at the 2·s/q samples beside a step, else zero: mean square 2·s·q, over 6 for white noise.
    const rise = 0.1;
    const ramp = Float64Array.from({ length: 5_000 }, (_, i) => q * Math.round((rise * i) / q));
    expect(Math.abs(noiseLevel(ramp) / Math.sqrt((q * rise) / 3) - 1)).toBeLessThan(0.06);
  });
});
