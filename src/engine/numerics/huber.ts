import { type LeastSquaresSolution, solveLeastSquares } from './leastSquares.js';
import { median } from './quantile.js';

export interface HuberSolution extends LeastSquaresSolution {
  /** Robustness weight of each row, 1 within k scales of the fit, falling beyond. */
  readonly robustWeights: Float64Array;
  /** Robust standard deviation of the residuals, 1.4826 times their median size; 0 when half the rows fit exactly. */
  readonly scale: number;
  readonly iterations: number;
  readonly converged: boolean;
}

/**
 * Linear fit by Huber's M-estimator, iteratively reweighted. With k = 1.345 it is 95 % as efficient as least squares on
 * normal errors and bounds the pull of any one observation (not of an outlying regressor). Use it beside least squares,
 * not instead: where residuals are model error it moves the estimate without improving it.
 * Arguments and errors as `solveLeastSquares`. Source: Huber, Robust Statistics, 1981 (from memory).
 */
export function fitHuber(
  design: Float64Array,
  n: number,
  p: number,
  y: Float64Array,
  options: { readonly weights?: Float64Array; readonly k?: number } = {},
): HuberSolution {
  const { weights, k = 1.345 } = options;
  let solution = solveLeastSquares(design, n, p, y, weights);
  const robustWeights = new Float64Array(n).fill(1);
  const root = weights?.map(Math.sqrt);
  let scale = 0;
  for (let iterations = 1; iterations <= 200; iterations++) {
    const sizes = solution.residuals.map((r, i) => Math.abs(r) * (root ? root[i] : 1));
    scale = 1.4826 * median(sizes);
    if (scale === 0) return { ...solution, robustWeights, scale, iterations, converged: true };
    for (let i = 0; i < n; i++) robustWeights[i] = sizes[i] <= k * scale ? 1 : (k * scale) / sizes[i];
    const before = solution.coefficients;
    const combined = robustWeights.map((r, i) => r * (weights ? weights[i] : 1));
    solution = solveLeastSquares(design, n, p, y, combined);
    const { coefficients, unscaledCovariance } = solution;
    // A change far below the coefficient's own uncertainty is no change, whatever the coefficient's size.
    const still = coefficients.every((b, j) => {
      const uncertainty = scale * Math.sqrt(unscaledCovariance[j * p + j]);
      return Number.isNaN(b) || Math.abs(b - before[j]) <= 1e-8 * uncertainty;
    });
    if (still) return { ...solution, robustWeights, scale, iterations, converged: true };
  }
  return { ...solution, robustWeights, scale, iterations: 200, converged: false };
}
