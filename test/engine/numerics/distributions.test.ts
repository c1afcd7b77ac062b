import { describe, expect, test } from 'vitest';
import {
  chiSquareCdf,
  chiSquareQuantile,
  fCdf,
  fQuantile,
  incompleteBeta,
  incompleteGamma,
  logGamma,
  normalCdf,
  normalQuantile,
  studentTCdf,
  studentTQuantile,
} from '../../../src/engine/numerics/index.js';
import { digits } from './nist.js';
import { scipy } from './scipyReference.js';

type Function = (x: number, ...dof: number[]) => number;
const cases: [string, Function, Function, { ppf: number[][]; cdf: number[][] }][] = [
  ['normal', normalCdf, normalQuantile, scipy.normal],
  ['t', studentTCdf as Function, studentTQuantile as Function, scipy.t],
  ['f', fCdf as Function, fQuantile as Function, scipy.f],
  ['chi2', chiSquareCdf as Function, chiSquareQuantile as Function, scipy.chi2],
];

describe.each(cases)('%s', (_, cdf, quantile, reference) => {
  test('agrees with SciPy', () => {
    for (const row of reference.cdf) {
      const reached = digits(cdf(row[0], ...row.slice(1, -1)), row[row.length - 1]);
      expect(reached, `cdf ${row}`).toBeGreaterThan(11);
    }
    for (const row of reference.ppf) {
      const reached = digits(quantile(row[0], ...row.slice(1, -1)), row[row.length - 1]);
      expect(reached, `quantile ${row}`).toBeGreaterThan(11);
    }
  });

  test('the quantile undoes the distribution function', () => {
    const dof = reference.ppf[0].length - 2;
    for (const p of [1e-12, 1e-3, 0.2, 0.5, 0.77])
      for (const nu of [0.7, 3, 55.5, 1e5]) {
        const arguments_ = [nu, nu + 1].slice(0, dof);
        expect(digits(cdf(quantile(p, ...arguments_), ...arguments_), p)).toBeGreaterThan(10);
      }
  });

  test('probability outside 0 to 1 and degrees of freedom not above 0 are refused', () => {
    const dof = reference.ppf[0].length - 2;
    const good = [3, 4].slice(0, dof);
    expect(() => quantile(1.5, ...good)).toThrow(/not between 0 and 1/);
    expect(() => quantile(Number.NaN, ...good)).toThrow(/not between 0 and 1/);
    if (dof > 0) expect(() => quantile(0.5, ...good.slice(1), 0)).toThrow(/degrees of freedom/);
  });
});

describe('closed forms', () => {
  test('t with 1, 2 and 10 degrees of freedom', () => {
    for (const p of [1e-9, 0.01, 0.3, 0.499, 0.6, 0.975]) {
      expect(digits(studentTQuantile(p, 1), -1 / Math.tan(Math.PI * p))).toBeGreaterThan(11.5);
      expect(digits(studentTQuantile(p, 2), (2 * p - 1) / Math.sqrt(2 * p * (1 - p)))).toBeGreaterThan(11.5);
    }
    // Even degrees of freedom: P = 1/2 + sin θ/2 (1 + c/2 + 3c²/8 + ...), c = cos² θ, tan θ = t/√ν (any statistics text).
    const t = studentTQuantile(0.975, 10);
    const theta = Math.atan(t / Math.sqrt(10));
    const c = Math.cos(theta) ** 2;
    const series = 1 + c / 2 + (3 / 8) * c ** 2 + (15 / 48) * c ** 3 + (105 / 384) * c ** 4;
    expect(0.5 + (Math.sin(theta) * series) / 2).toBeCloseTo(0.975, 14);
  });

  test('chi-square with 2 degrees of freedom is exponential, F with 2 in the numerator a power', () => {
    for (const p of [1e-6, 0.1, 0.5, 0.99]) {
      expect(digits(chiSquareQuantile(p, 2), -2 * Math.log1p(-p))).toBeGreaterThan(13);
      expect(digits(fQuantile(p, 2, 7), 3.5 * Math.expm1((-2 / 7) * Math.log1p(-p)))).toBeGreaterThan(13);
    }
  });

  test('F with 1 in the numerator is the square of t; many degrees of freedom approach the normal', () => {
    expect(digits(fQuantile(0.95, 1, 6.3), studentTQuantile(0.975, 6.3) ** 2)).toBeGreaterThan(12);
    // Leading term of Fisher's expansion: φ(z)(z³ + z)/(4ν) [from memory]; the next is of order 1/ν².
    const z = 1.96;
    const density = Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI);
    expect(studentTCdf(z, 1e7)).toBeCloseTo(normalCdf(z) - (density * (z ** 3 + z)) / 4e7, 13);
    expect(studentTQuantile(0.9, Number.POSITIVE_INFINITY)).toBe(normalQuantile(0.9));
  });

  test('ends of the range', () => {
    expect(normalQuantile(0)).toBe(Number.NEGATIVE_INFINITY);
    expect(normalQuantile(1)).toBe(Number.POSITIVE_INFINITY);
    expect(normalQuantile(0.5)).toBe(0);
    expect(chiSquareQuantile(0, 3)).toBe(0);
    expect(fQuantile(1, 3, 4)).toBe(Number.POSITIVE_INFINITY);
    expect(fCdf(-1, 2, 2)).toBe(0);
    expect(studentTCdf(Number.NEGATIVE_INFINITY, 3)).toBe(0);
    expect(normalCdf(Number.POSITIVE_INFINITY)).toBe(1);
  });
});

describe('special functions', () => {
  test('ln Γ: factorials, half-integers, reflection', () => {
    let factorial = 1;
    for (let k = 1; k <= 20; k++) {
      expect(Math.abs(logGamma(k) - Math.log(factorial))).toBeLessThan(
        1e-14 * Math.max(1, Math.log(factorial)),
      );
      factorial *= k;
    }
    expect(logGamma(0.5)).toBeCloseTo(Math.log(Math.PI) / 2, 14);
    for (const x of [0.01, 0.2, 0.7])
      expect(logGamma(x) + logGamma(1 - x)).toBeCloseTo(Math.log(Math.PI / Math.sin(Math.PI * x)), 13);
    expect(logGamma(-1)).toBeNaN();
  });

  test('incomplete gamma of whole a is a Poisson sum, incomplete beta of whole a, b a binomial sum', () => {
    const x = 3.7;
    const poisson = Math.exp(-x) * (1 + x + x ** 2 / 2 + x ** 3 / 6);
    expect(incompleteGamma(4, x).upper).toBeCloseTo(poisson, 14);
    // P(at least 2 of 4 at 0.2) = 0.1808 exactly
    expect(incompleteBeta(2, 3, 0.2, 0.8).lower).toBeCloseTo(0.1808, 14);
    expect(incompleteBeta(0.5, 0.5, 0.25, 0.75).lower).toBeCloseTo(1 / 3, 14);
  });
});
