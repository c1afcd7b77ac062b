import { type Curve, checkKnots, piecewiseCubic } from './piecewiseCubic.js';
import { solveTridiagonal } from './tridiagonal.js';

/**
 * Cubic spline through points: twice differentiable. Ends either `not-a-knot` (the first two cells are one cubic, and the
 * last two; three points give a parabola, two a line), which keeps fourth-order accuracy to the ends, or `natural`
 * (no curvature at the ends). May overshoot where data turn sharply: use `pchip` there. NaN outside.
 * @throws TautlineError argument_invalid. Source: de Boor, A Practical Guide to Splines, 1978 (from memory).
 */
export function cubicSpline(
  x: Float64Array,
  y: Float64Array,
  ends: 'not-a-knot' | 'natural' = 'not-a-knot',
): Curve {
  checkKnots(x, y);
  const n = x.length;
  const h = Float64Array.from({ length: n - 1 }, (_, i) => x[i + 1] - x[i]);
  const secant = h.map((step, i) => (y[i + 1] - y[i]) / step);
  if (n === 2) return piecewiseCubic(x, y, new Float64Array(2).fill(secant[0]));
  if (n === 3 && ends === 'not-a-knot') {
    const curvature = (secant[1] - secant[0]) / (h[0] + h[1]);
    const slopes = [secant[0] - curvature * h[0], secant[0] + curvature * h[0], secant[1] + curvature * h[1]];
    return piecewiseCubic(x, y, Float64Array.from(slopes));
  }
  const lower = new Float64Array(n);
  const diagonal = new Float64Array(n);
  const upper = new Float64Array(n);
  const right = new Float64Array(n);
  for (let i = 1; i < n - 1; i++) {
    lower[i] = h[i];
    diagonal[i] = 2 * (h[i - 1] + h[i]);
    upper[i] = h[i - 1];
    right[i] = 3 * (h[i] * secant[i - 1] + h[i - 1] * secant[i]);
  }
  const z = n - 1;
  if (ends === 'natural') {
    diagonal[0] = diagonal[z] = 2;
    upper[0] = lower[z] = 1;
    right[0] = 3 * secant[0];
    right[z] = 3 * secant[z - 1];
  } else {
    diagonal[0] = h[1];
    upper[0] = h[0] + h[1];
    right[0] = notAKnot(h[0], h[1], secant[0], secant[1]);
    diagonal[z] = h[z - 2];
    lower[z] = h[z - 1] + h[z - 2];
    right[z] = notAKnot(h[z - 1], h[z - 2], secant[z - 1], secant[z - 2]);
  }
  return piecewiseCubic(x, y, solveTridiagonal(lower, diagonal, upper, right));
}

/** Right-hand side of the end row: equal third derivatives either side of the first inner knot. */
function notAKnot(h0: number, h1: number, secant0: number, secant1: number): number {
  const both = h0 + h1;
  return ((h0 + 2 * both) * h1 * secant0 + h0 * h0 * secant1) / both;
}
