import { expect, test } from 'vitest';
import { createRandom, movingBlockIndices, normalCdf } from '../../../src/engine/numerics/index.js';
import { xoshiro128starstar } from '../../../src/engine/numerics/random.js';

test('xoshiro128** from state 1, 2, 3, 4', () => {
  // First outputs, also carried by the tests of several open implementations. From memory, except the fifth, which the
  // whole-number form below gives: any error in it would have changed the later ones.
  const next = xoshiro128starstar([1, 2, 3, 4]);
  const known = [
    11520, 0, 5927040, 70819200, 2031721883, 1637235492, 1287239034, 3734860849, 3729100597, 4258142804,
  ];
  expect(known.map(() => next())).toEqual(known);
});

test('the generator, step by step in whole numbers of unlimited size', () => {
  const mask = 0xffffffffn;
  const rotate = (x: bigint, k: bigint): bigint => ((x << k) | (x >> (32n - k))) & mask;
  const s = [0x9e3779b9n, 0x85ebca6bn, 0xc2b2ae35n, 0x27d4eb2fn];
  const next = xoshiro128starstar([0x9e3779b9, 0x85ebca6b, 0xc2b2ae35, 0x27d4eb2f]);
  for (let i = 0; i < 1000; i++) {
    const wanted = (rotate((s[1] * 5n) & mask, 7n) * 9n) & mask;
    const t = (s[1] << 9n) & mask;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = rotate(s[3], 11n);
    expect(BigInt(next())).toBe(wanted);
  }
});

test('same seed, same numbers; forks do not depend on what was drawn', () => {
  const [a, b] = [createRandom(7), createRandom(7)];
  for (let i = 0; i < 10; i++) a.uniform();
  expect(a.fork('noise').normal()).toBe(b.fork('noise').normal());
  expect(a.fork('noise').uniform()).not.toBe(a.fork('ripple').uniform());
  expect(createRandom(1).uniform()).not.toBe(createRandom(2).uniform());
});

test('distributions: five standard errors', () => {
  const random = createRandom('distribution');
  const n = 100000;
  const cells = new Float64Array(20);
  let [sum, square, fourth, lag] = [0, 0, 0, 0];
  let last = 0;
  for (let i = 0; i < n; i++) {
    const z = random.normal();
    cells[Math.min(19, Math.floor(20 * normalCdf(z)))]++;
    sum += z;
    square += z * z;
    fourth += z ** 4;
    lag += z * last;
    last = z;
  }
  expect(Math.abs(sum / n)).toBeLessThan(5 / Math.sqrt(n));
  expect(Math.abs(square / n - 1)).toBeLessThan(5 * Math.sqrt(2 / n));
  expect(Math.abs(fourth / n - 3)).toBeLessThan(5 * Math.sqrt(96 / n));
  expect(Math.abs(lag / n)).toBeLessThan(5 / Math.sqrt(n));
  const chiSquare = cells.reduce((s, c) => s + (c - n / 20) ** 2 / (n / 20), 0);
  expect(chiSquare).toBeLessThan(19 + 5 * Math.sqrt(38));
  const counts = new Float64Array(7);
  for (let i = 0; i < n; i++) counts[random.integer(7)]++;
  for (const c of counts) expect(Math.abs(c - n / 7)).toBeLessThan(5 * Math.sqrt((n * 6) / 49));
  for (let i = 0; i < 1000; i++) {
    const u = random.uniform();
    expect(u >= 0 && u < 1).toBe(true);
  }
  expect(() => random.integer(0)).toThrow(/not 0/);
});

test('moving blocks: neighbours stay together, every row is within range, starts spread over all', () => {
  const random = createRandom('blocks');
  const starts = new Set<number>();
  for (let repeat = 0; repeat < 400; repeat++) {
    const indices = movingBlockIndices(23, 5, random);
    expect(indices.length).toBe(23);
    for (let i = 0; i < 23; i++) {
      if (i % 5 === 0) starts.add(indices[i]);
      else expect(indices[i]).toBe(indices[i - 1] + 1);
      expect(indices[i] >= 0 && indices[i] < 23).toBe(true);
    }
  }
  expect(starts.size).toBe(19);
  expect(() => movingBlockIndices(3, 4, random)).toThrow(/blocks of 4/);
});

test('block bootstrap of the mean of correlated data finds its standard error, single rows do not', () => {
  // AR(1), rho 0.8: variance of the mean is (1 + rho)/(1 - rho) = 9 times that of as many independent values.
  const random = createRandom('correlated');
  const n = 20000;
  const x = new Float64Array(n);
  for (let i = 1; i < n; i++) x[i] = 0.8 * x[i - 1] + 0.6 * random.normal();
  const deviation = (block: number): number => {
    let [sum, square] = [0, 0];
    for (let k = 0; k < 200; k++) {
      const mean = movingBlockIndices(n, block, random).reduce((s, i) => s + x[i], 0) / n;
      sum += mean;
      square += mean * mean;
    }
    return Math.sqrt(square / 200 - (sum / 200) ** 2);
  };
  // Standard error of a deviation from 200 repeats: 5 %; finite blocks add a few per cent of bias.
  expect(deviation(100) / (3 / Math.sqrt(n))).toBeGreaterThan(0.85);
  expect(deviation(100) / (3 / Math.sqrt(n))).toBeLessThan(1.15);
  expect(deviation(1) / (1 / Math.sqrt(n))).toBeLessThan(1.15);
});
