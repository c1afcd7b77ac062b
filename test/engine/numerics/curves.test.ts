import { describe, expect, test } from 'vitest';
import { cubicSpline, pchip, solveTridiagonal } from '../../../src/engine/numerics/index.js';
import { largestDifference, scipy } from './scipyReference.js';

const knots = Float64Array.from(scipy.knots);
const heights = Float64Array.from(scipy.heights);

test.each([
  ['pchip', pchip(knots, heights), scipy.pchip],
  ['not-a-knot spline', cubicSpline(knots, heights), scipy.notAKnot],
  ['natural spline', cubicSpline(knots, heights, 'natural'), scipy.natural],
] as const)('%s agrees with SciPy', (_, curve, reference) => {
  // Values and slopes are of order 10: a few tens of roundings.
  expect(largestDifference(scipy.at.map(curve.value), reference.value)).toBeLessThan(1e-13);
  // At a knot either neighbour may answer; their slopes agree, to rounding.
  expect(largestDifference(scipy.at.map(curve.derivative), reference.derivative)).toBeLessThan(1e-12);
});

describe('laws', () => {
  const line = [pchip, cubicSpline];
  test('points are met exactly, nothing is said outside, two points give the line', () => {
    for (const make of line) {
      const curve = make(knots, heights);
      knots.forEach((x, i) => {
        expect(curve.value(x)).toBe(heights[i]);
      });
      expect(curve.value(-1e-9)).toBeNaN();
      expect(curve.derivative(5.001)).toBeNaN();
      expect(curve.value(Number.NaN)).toBeNaN();
      const two = make(Float64Array.of(1, 3), Float64Array.of(5, 9));
      expect(two.value(1.5)).toBeCloseTo(6, 14);
      expect(two.derivative(3)).toBeCloseTo(2, 14);
    }
  });

  test('pchip of monotone data is monotone', () => {
    const curve = pchip(Float64Array.of(0, 1, 1.01, 2, 5), Float64Array.of(0, 0.1, 8, 8, 8.5));
    for (let k = 0, last = 0; k <= 500; k++) {
      const value = curve.value(k / 100);
      expect(value).toBeGreaterThanOrEqual(last - 1e-15);
      last = value;
    }
  });

  test('a cubic comes back from a not-a-knot spline, a parabola from three points', () => {
    const cubic = (x: number): number => 1 - 2 * x + 0.5 * x ** 3;
    const curve = cubicSpline(knots, knots.map(cubic));
    for (const x of scipy.at) expect(curve.value(x)).toBeCloseTo(cubic(x), 11);
    const parabola = cubicSpline(Float64Array.of(0, 1, 4), Float64Array.of(0, 1, 16));
    expect(parabola.value(3)).toBeCloseTo(9, 13);
    expect(parabola.derivative(4)).toBeCloseTo(8, 13);
  });

  test('order of convergence on sin: 4 for the not-a-knot spline, nearly 3 for pchip where nothing turns', () => {
    const error = (make: typeof pchip, end: number, n: number): number => {
      const x = Float64Array.from({ length: n + 1 }, (_, i) => (end * i) / n);
      const curve = make(x, x.map(Math.sin));
      let largest = 0;
      for (let k = 0; k <= 1000; k++) {
        const at = (end * k) / 1000;
        largest = Math.max(largest, Math.abs(curve.value(at) - Math.sin(at)));
      }
      return largest;
    };
    const order = (make: typeof pchip, end: number): number =>
      Math.log2(error(make, end, 40) / error(make, end, 80));
    expect(order(cubicSpline, 3)).toBeGreaterThan(3.7);
    expect(order(pchip, 1.4)).toBeGreaterThan(2.7);
  });

  test('unsorted, repeated and missing points are refused', () => {
    for (const make of line) {
      expect(() => make(Float64Array.of(0, 0), Float64Array.of(1, 2))).toThrow(/goes from 0 to 0 at point 1/);
      expect(() => make(Float64Array.of(0, 1), Float64Array.of(1, Number.NaN))).toThrow(/point 1/);
      expect(() => make(Float64Array.of(0), Float64Array.of(1))).toThrow(/two or more/);
    }
  });
});

describe('tridiagonal', () => {
  test('solves: the equations hold, and -u" = 1 has the parabola exactly', () => {
    const n = 50;
    const h = 1 / (n + 1);
    const off = new Float64Array(n).fill(-1);
    const x = solveTridiagonal(off, new Float64Array(n).fill(2), off, new Float64Array(n).fill(h * h));
    x.forEach((value, i) => {
      expect(value).toBeCloseTo(((i + 1) * h * (1 - (i + 1) * h)) / 2, 13);
    });
    // Unsymmetric, checked by hand: 2x + y = 4, x + 3y - z = 4, 5y + z = 13 has (1, 2, 3).
    const small = solveTridiagonal(
      Float64Array.of(Number.NaN, 1, 5),
      Float64Array.of(2, 3, 1),
      Float64Array.of(1, -1, Number.NaN),
      Float64Array.of(4, 4, 13),
    );
    expect(largestDifference(small, [1, 2, 3])).toBeLessThan(1e-14);
  });

  test('a vanishing pivot and lengths that differ are refused', () => {
    const one = Float64Array.of(1, 1);
    expect(() => solveTridiagonal(one, one, one, one)).toThrow(/pivot 0 in row 1/);
    expect(() => solveTridiagonal(one, one, one, Float64Array.of(1))).toThrow(/differ in length/);
  });
});
