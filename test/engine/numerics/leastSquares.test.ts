import { describe, expect, test } from 'vitest';
import {
  createRandom,
  projectedResiduals,
  StreamingLeastSquares,
  solveLeastSquares,
} from '../../../src/engine/numerics/index.js';
import { digits, readNist } from './nist.js';

const folder = new URL('../../reference/nist/', import.meta.url);

/** Powers or regressors of a set, as its model says. Powers by repeated products: exact for whole x of this size. */
function designOf(name: string, row: readonly number[]): number[] {
  const x = row[1];
  if (name.startsWith('NoInt')) return [x];
  if (name === 'Longley') return [1, ...row.slice(1)];
  const degree: Record<string, number> = { Norris: 1, Pontius: 2, Filip: 10 };
  const powers = [1];
  for (let k = 1; k <= (degree[name] ?? 5); k++) powers.push(powers[k - 1] * x);
  return powers;
}

function problemOf(name: string) {
  const set = readNist(folder, name);
  const n = set.rows.length;
  const p = set.certified.length;
  const design = Float64Array.from(set.rows.flatMap((row) => designOf(name, row)));
  expect(design.length).toBe(n * p);
  return { set, n, p, design, y: Float64Array.from(set.rows, (row) => row[0]) };
}

/**
 * Digits of coefficients and standard deviations that each set must reach. The data are exact in double precision (whole
 * numbers and their powers) or nearly so, and refinement brings coefficients to the rounding of the data times the
 * condition. Filip: powers to x^10 of 10-digit decimals rounded to doubles, 1e-16 times a condition of 5e9.
 */
const wanted: Record<string, [coefficients: number, deviations: number, streamed: number]> = {
  Norris: [13, 13, 11],
  Pontius: [13, 13, 11],
  NoInt1: [14, 14, 14],
  NoInt2: [14, 14, 14],
  Longley: [14, 12, 10],
  // Without refinement the streamed fit of the Wampler sets loses digits to the noise, which grows from set 3 to set 5
  // while the coefficients stay 1.
  Wampler1: [14, 14, 9],
  Wampler2: [13, 14, 12],
  Wampler3: [14, 12.5, 9],
  Wampler4: [14, 12.5, 7],
  Wampler5: [14, 12.5, 5],
  Filip: [7.5, 7, 6.5],
};

describe('linear least squares, NIST StRD', () => {
  for (const [name, [coefficient, deviation, streamed]] of Object.entries(wanted))
    test(name, () => {
      const { set, n, p, design, y } = problemOf(name);
      const fit = solveLeastSquares(design, n, p, y);
      expect(fit.rank).toBe(p);
      const reached = Math.min(...set.certified.map((c, j) => digits(fit.coefficients[j], c.value)));
      const sd = (rss: number, covariance: Float64Array, j: number): number =>
        Math.sqrt((rss / (n - p)) * covariance[j * p + j]);
      const sdReached = Math.min(
        ...set.certified.map((c, j) => digits(sd(fit.rss, fit.unscaledCovariance, j), c.deviation)),
      );
      const streaming = new StreamingLeastSquares(p);
      for (let i = 0; i < n; i++) streaming.add(design.subarray(i * p, (i + 1) * p), y[i]);
      const other = streaming.solve();
      const streamReached = Math.min(...set.certified.map((c, j) => digits(other.coefficients[j], c.value)));
      expect(reached).toBeGreaterThan(coefficient);
      expect(sdReached).toBeGreaterThan(deviation);
      expect(streamReached).toBeGreaterThan(streamed);
    });
});

test.each([
  // Data such as 107.8681568 carry the rounding of doubles, 1e-14, into deviations of 1e-5: about 10 digits of a square sum.
  ['AtmWtAg', 1.04951729166667e-8, 10],
  ['SiRstv', 2.1663656e-1, 12.5],
] as const)('one-way analysis of variance, sum of squares within groups: NIST %s', (name, within, want) => {
  const set = readNist(folder, name);
  const groups = Math.max(...set.rows.map((row) => row[0]));
  const design = Float64Array.from(
    set.rows.flatMap((row) => Array.from({ length: groups }, (_, g) => (row[0] === g + 1 ? 1 : 0))),
  );
  const y = Float64Array.from(set.rows, (row) => row[1]);
  expect(digits(solveLeastSquares(design, y.length, groups, y).rss, within)).toBeGreaterThan(want);
});

describe('rank', () => {
  const n = 40;
  const random = createRandom('rank');
  const a = Float64Array.from({ length: n }, () => random.normal());
  const b = Float64Array.from({ length: n }, () => 1e-6 * random.normal());
  const c = Float64Array.from({ length: n }, () => 1e5 * random.normal());
  const y = Float64Array.from(
    { length: n },
    (_, i) => 2 * a[i] + 3e6 * b[i] - 1e-5 * c[i] + 0.01 * random.normal(),
  );
  const stack = (...columns: Float64Array[]): Float64Array =>
    Float64Array.from(
      { length: n * columns.length },
      (_, k) => columns[k % columns.length][Math.floor(k / columns.length)],
    );

  test('columns in a dependence have no coefficient; the others keep theirs', () => {
    const sum = a.map((v, i) => v - 3e5 * b[i]);
    const fit = solveLeastSquares(stack(a, sum, c, b), n, 4, y);
    const without = solveLeastSquares(stack(a, c, b), n, 3, y);
    expect(fit.rank).toBe(3);
    expect(fit.condition).toBe(Number.POSITIVE_INFINITY);
    expect([...fit.coefficients].map(Number.isNaN)).toEqual([true, true, false, true]);
    expect(fit.coefficients[2] / without.coefficients[1]).toBeCloseTo(1, 10);
    expect(fit.unscaledCovariance[2 * 4 + 2] / without.unscaledCovariance[1 * 3 + 1]).toBeCloseTo(1, 10);
    expect(fit.unscaledCovariance[1]).toBeNaN();
    expect(fit.rss / without.rss).toBeCloseTo(1, 10);
    for (let i = 0; i < n; i++) expect(fit.residuals[i]).toBeCloseTo(without.residuals[i], 10);
    const stream = new StreamingLeastSquares(4);
    const design = stack(a, sum, c, b);
    for (let i = 0; i < n; i++) stream.add(design.subarray(4 * i, 4 * i + 4), y[i]);
    const streamed = stream.solve();
    expect([...streamed.coefficients].map(Number.isNaN)).toEqual([true, true, false, true]);
    expect(streamed.rss / without.rss).toBeCloseTo(1, 10);
  });

  test('a column of zeros and fewer rows than columns are deficient too', () => {
    const zero = solveLeastSquares(stack(a, new Float64Array(n)), n, 2, y);
    expect(zero.rank).toBe(1);
    expect(zero.coefficients[0]).not.toBeNaN();
    expect(zero.coefficients[1]).toBeNaN();
    const short = solveLeastSquares(Float64Array.of(1, 2, 3), 1, 3, Float64Array.of(6));
    expect(short.rank).toBe(1);
    expect(short.coefficients.every(Number.isNaN)).toBe(true);
    expect(short.residuals[0]).toBeCloseTo(0, 14);
  });

  test('units of a column do not matter to rank, condition or fit', () => {
    const one = solveLeastSquares(stack(a, b, c), n, 3, y);
    const two = solveLeastSquares(
      stack(
        a.map((v) => v * 1e120),
        b,
        c,
      ),
      n,
      3,
      y,
    );
    expect(one.rank).toBe(3);
    expect(two.rank).toBe(3);
    expect(two.condition / one.condition).toBeCloseTo(1, 9);
    expect((two.coefficients[0] * 1e120) / one.coefficients[0]).toBeCloseTo(1, 10);
  });

  test('condition of two columns at an angle: sqrt((1 + cos)/(1 - cos))', () => {
    const cosine = 0.96;
    const design = Float64Array.of(1, 100 * cosine, 0, 100 * Math.sqrt(1 - cosine ** 2));
    const fit = solveLeastSquares(design, 2, 2, Float64Array.of(1, 1));
    expect(fit.condition).toBeCloseTo(Math.sqrt(1.96 / 0.04), 10);
  });
});

test('a weight of 3 is the row three times, a weight of 0 no row', () => {
  const random = createRandom(5);
  const rows = Array.from({ length: 20 }, () => [1, random.normal(), random.normal()]);
  const y = rows.map((row) => row[0] + 2 * row[1] - row[2] + random.normal());
  const weight = rows.map((_, i) => i % 4);
  const repeated = rows.flatMap((row, i) => Array.from({ length: weight[i] }, () => ({ row, y: y[i] })));
  const weighted = solveLeastSquares(
    Float64Array.from(rows.flat()),
    20,
    3,
    Float64Array.from(y),
    Float64Array.from(weight),
  );
  const plain = solveLeastSquares(
    Float64Array.from(repeated.flatMap((r) => r.row)),
    repeated.length,
    3,
    Float64Array.from(repeated, (r) => r.y),
  );
  for (let j = 0; j < 3; j++) expect(weighted.coefficients[j]).toBeCloseTo(plain.coefficients[j], 12);
  for (let j = 0; j < 9; j++)
    expect(weighted.unscaledCovariance[j]).toBeCloseTo(plain.unscaledCovariance[j], 12);
  expect(weighted.rss).toBeCloseTo(plain.rss, 11);
  // Unweighted residuals of every row, the weightless ones included.
  rows.forEach((row, i) => {
    const [b0, b1, b2] = weighted.coefficients;
    expect(weighted.residuals[i]).toBeCloseTo(y[i] - b0 - b1 * row[1] - b2 * row[2], 12);
  });
});

describe('what a fit leaves, without the fit', () => {
  // Norris, Wampler3 of NIST StRD: the residual sum of squares is certified there, Wampler3 ill conditioned
  test.each(['Norris', 'Wampler3', 'Longley'])('%s: the certified residual sum of squares', (name) => {
    const { set, n, p, design, y } = problemOf(name);
    const left = projectedResiduals(design, n, p, y);
    expect(
      digits(
        left.reduce((sum, r) => sum + r * r, 0),
        set.rss,
      ),
    ).toBeGreaterThan(8);
  });

  test('is at right angles to every weighted column, also where a column depends on others', () => {
    const random = createRandom(11);
    const [n, p] = [40, 4];
    const design = Float64Array.from({ length: n * p }, () => random.normal());
    // the last is the sum of the first two
    for (let i = 0; i < n; i++) design[i * p + 3] = design[i * p] + design[i * p + 1];
    const y = Float64Array.from({ length: n }, () => random.normal());
    const weights = Float64Array.from({ length: n }, (_, i) => 1 + (i % 3));
    const left = projectedResiduals(design, n, p, y, weights);
    for (let j = 0; j < p; j++) {
      let dot = 0;
      for (let i = 0; i < n; i++) dot += Math.sqrt(weights[i]) * design[i * p + j] * left[i];
      expect(Math.abs(dot)).toBeLessThan(1e-12);
    }
    const { residuals } = solveLeastSquares(design, n, p, y, weights);
    for (let i = 0; i < n; i++) expect(left[i]).toBeCloseTo(Math.sqrt(weights[i]) * residuals[i], 12);
  });
});

test('streamed in two merged parts equals the whole at once', () => {
  const random = createRandom('merge');
  const n = 20000;
  const design = Float64Array.from({ length: n * 4 }, (_, k) =>
    k % 4 === 0 ? 1 : random.normal() * 10 ** (k % 4),
  );
  const y = Float64Array.from(
    { length: n },
    (_, i) => design[4 * i + 1] - design[4 * i + 3] + random.normal(),
  );
  const parts = [new StreamingLeastSquares(4), new StreamingLeastSquares(4)];
  for (let i = 0; i < n; i++)
    parts[i < 7000 ? 0 : 1].add(design.subarray(4 * i, 4 * i + 4), y[i], 1 + (i % 3));
  parts[0].merge(parts[1]);
  const weights = Float64Array.from({ length: n }, (_, i) => 1 + (i % 3));
  const whole = solveLeastSquares(design, n, 4, y, weights);
  const merged = parts[0].solve();
  expect(parts[0].n).toBe(n);
  expect(merged.rank).toBe(4);
  for (let j = 0; j < 4; j++) {
    // Rounding of 20 000 rotations: a few hundred times ε, on a scale of 1.
    expect(Math.abs(merged.coefficients[j] - whole.coefficients[j])).toBeLessThan(1e-12);
    expect(merged.unscaledCovariance[5 * j] / whole.unscaledCovariance[5 * j]).toBeCloseTo(1, 10);
  }
  expect(merged.rss / whole.rss).toBeCloseTo(1, 11);
  expect(merged.condition / whole.condition).toBeCloseTo(1, 9);
});

test('refuses gaps and lengths that do not match', () => {
  const y = Float64Array.of(1, 2, 3);
  const design = Float64Array.of(1, 1, 1, 2, 1, 3);
  expect(() => solveLeastSquares(design, 3, 2, Float64Array.of(1, Number.NaN, 3))).toThrow(
    /y is NaN in row 1/,
  );
  expect(() => solveLeastSquares(Float64Array.of(1, 1, 1, Number.POSITIVE_INFINITY, 1, 3), 3, 2, y)).toThrow(
    /design is Infinity in row 1, column 1/,
  );
  expect(() => solveLeastSquares(design, 3, 2, y, Float64Array.of(1, -1, 1))).toThrow(
    /weight is -1 in row 1/,
  );
  expect(() => solveLeastSquares(design, 2, 2, y)).toThrow(/design holds 6 values/);
  expect(() => solveLeastSquares(new Float64Array(0), 0, 2, new Float64Array(0))).toThrow(/at least one row/);
  const stream = new StreamingLeastSquares(2);
  expect(() => stream.add([1, Number.NaN], 1)).toThrow(/finite/);
  expect(() => stream.add([1, 2, 3], 1)).toThrow(/2 finite/);
  expect(() => stream.add([1, 2], 1, -1)).toThrow(/weight/);
  expect(stream.n).toBe(0);
});
