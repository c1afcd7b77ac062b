import { expect, test } from 'vitest';
import { choleskyFactor } from '../../../src/engine/numerics/cholesky.js';
import { createRandom } from '../../../src/engine/numerics/random.js';

test('a matrix of whole numbers has the factor that multiplies out to it by hand', () => {
  // [2 0 0; 6 1 0; −8 5 3] times its transpose
  expect(Array.from(choleskyFactor([4, 12, -16, 12, 37, -43, -16, -43, 98], 3) ?? [])).toEqual([
    2, 0, 0, 6, 1, 0, -8, 5, 3,
  ]);
});

test('L·Lᵀ is the matrix, for matrices that are positive definite by construction', () => {
  const random = createRandom('cholesky');
  for (const n of [1, 2, 3, 6]) {
    const b = Array.from({ length: n * n }, () => random.normal());
    const dot = (m: ArrayLike<number>, i: number, j: number): number => {
      let sum = 0;
      for (let k = 0; k < n; k++) sum += (m[i * n + k] as number) * (m[j * n + k] as number);
      return sum;
    };
    const a = Array.from(
      { length: n * n },
      (_, m) => dot(b, Math.floor(m / n), m % n) + (m % (n + 1) === 0 ? 0.1 : 0),
    );
    const factor = choleskyFactor(a, n) as Float64Array;
    for (let i = 0; i < n; i++)
      for (let j = 0; j < n; j++) expect(dot(factor, i, j)).toBeCloseTo(a[i * n + j] as number, 12);
  }
});

test('a matrix that is not positive definite, or holds a NaN, has none', () => {
  expect(choleskyFactor([1, 1, 1, 1], 2)).toBeUndefined();
  expect(choleskyFactor([1, 2, 2, 1], 2)).toBeUndefined();
  expect(choleskyFactor([1, 0.9, 0.9, 0.9, 1, -0.9, 0.9, -0.9, 1], 3)).toBeUndefined();
  expect(choleskyFactor([Number.NaN], 1)).toBeUndefined();
});
