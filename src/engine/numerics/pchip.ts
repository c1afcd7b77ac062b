import { type Curve, checkKnots, piecewiseCubic } from './piecewiseCubic.js';

/**
 * Monotone piecewise cubic through points (PCHIP): once differentiable, no overshoot, extremes only at the points.
 * Slopes inside are weighted harmonic means of the neighbouring secants, ends one-sided and kept shape-preserving.
 * x strictly ascending, at least two points (two give the straight line). NaN outside.
 * @throws TautlineError argument_invalid
 * Source: Fritsch and Carlson, SIAM J. Numer. Anal. 17(2), 1980; Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5(2),
 * 1984, for the weights (from memory).
 */
export function pchip(x: Float64Array, y: Float64Array): Curve {
  checkKnots(x, y);
  const n = x.length;
  const h = Float64Array.from({ length: n - 1 }, (_, i) => x[i + 1] - x[i]);
  const secant = h.map((step, i) => (y[i + 1] - y[i]) / step);
  const slopes = new Float64Array(n);
  if (n === 2) return piecewiseCubic(x, y, slopes.fill(secant[0]));
  for (let i = 1; i < n - 1; i++) {
    if (!(secant[i - 1] * secant[i] > 0)) continue;
    const before = 2 * h[i] + h[i - 1];
    const after = h[i] + 2 * h[i - 1];
    slopes[i] = (before + after) / (before / secant[i - 1] + after / secant[i]);
  }
  slopes[0] = endSlope(h[0], h[1], secant[0], secant[1]);
  slopes[n - 1] = endSlope(h[n - 2], h[n - 3], secant[n - 2], secant[n - 3]);
  return piecewiseCubic(x, y, slopes);
}

/** Three-point slope at an end, cut back where it would break the shape of the first cell. */
function endSlope(h0: number, h1: number, secant0: number, secant1: number): number {
  const slope = ((2 * h0 + h1) * secant0 - h0 * secant1) / (h0 + h1);
  if (Math.sign(slope) !== Math.sign(secant0)) return 0;
  if (Math.sign(secant0) !== Math.sign(secant1) && Math.abs(slope) > 3 * Math.abs(secant0))
    return 3 * secant0;
  return slope;
}
