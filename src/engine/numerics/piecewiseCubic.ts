import { TautlineError } from '../errors.js';

/** A curve through given points; NaN outside the span of the knots: nothing is extrapolated. */
export interface Curve {
  value(x: number): number;
  derivative(x: number): number;
}

/** Piecewise cubic with given values and slopes at the knots (Hermite form), knots ascending. */
export function piecewiseCubic(x: Float64Array, y: Float64Array, slopes: Float64Array): Curve {
  const n = x.length;
  const cell = (at: number): number => {
    if (!(at >= x[0] && at <= x[n - 1])) return -1;
    let low = 0;
    let high = n - 1;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (x[middle] <= at) low = middle;
      else high = middle;
    }
    return low;
  };
  // y + s·(d0 + s·(c2 + s·c3)) with s measured from the left knot.
  const coefficients = (i: number): [c2: number, c3: number] => {
    const h = x[i + 1] - x[i];
    const secant = (y[i + 1] - y[i]) / h;
    const c3 = (slopes[i] + slopes[i + 1] - 2 * secant) / (h * h);
    return [(secant - slopes[i]) / h - c3 * h, c3];
  };
  return {
    value(at) {
      const i = cell(at);
      if (i < 0) return Number.NaN;
      if (at === x[i + 1]) return y[i + 1];
      const s = at - x[i];
      const [c2, c3] = coefficients(i);
      return y[i] + s * (slopes[i] + s * (c2 + s * c3));
    },
    derivative(at) {
      const i = cell(at);
      if (i < 0) return Number.NaN;
      const s = at - x[i];
      const [c2, c3] = coefficients(i);
      return slopes[i] + s * (2 * c2 + 3 * s * c3);
    },
  };
}

/** @throws TautlineError argument_invalid unless x ascends strictly, all is finite and there are at least two points. */
export function checkKnots(x: Float64Array, y: Float64Array): void {
  const bad = (where: Record<string, number>, message: string): never => {
    throw new TautlineError(
      'argument_invalid',
      where,
      message,
      'sort the points by x, without gaps and repeats',
    );
  };
  if (!(x.length >= 2 && x.length === y.length))
    bad(
      { x: x.length, y: y.length },
      `a curve needs two or more points, not ${x.length} x and ${y.length} y`,
    );
  for (let i = 0; i < x.length; i++) {
    if (!(Number.isFinite(x[i]) && Number.isFinite(y[i])))
      bad({ index: i }, `point ${i} is (${x[i]}, ${y[i]})`);
    if (i > 0 && !(x[i] > x[i - 1])) bad({ index: i }, `x goes from ${x[i - 1]} to ${x[i]} at point ${i}`);
  }
}
