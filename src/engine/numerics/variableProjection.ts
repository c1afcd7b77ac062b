import { TautlineError } from '../errors.js';
import { type LeastSquaresSolution, projectedResiduals, solveLeastSquares } from './leastSquares.js';
import { levenbergMarquardt } from './levenbergMarquardt.js';

export interface SeparableProblem {
  readonly y: Float64Array;
  readonly weights?: Float64Array;
  /** Number of linear coefficients. */
  readonly p: number;
  /** Candidate values of each non-linear parameter, ascending, at least two each. All combinations are tried. */
  readonly grid: readonly (readonly number[])[];
  /** The design matrix at given non-linear parameters, n x p row-major, written to `out`. */
  design(parameters: ArrayLike<number>, out: Float64Array): void;
}

export interface SeparableSolution {
  readonly parameters: Float64Array;
  /** Linear fit at these parameters; its covariance holds them fixed. */
  readonly linear: LeastSquaresSolution;
  /** (J'WJ)^-1 over linear coefficients first, then non-linear parameters, row-major; NaN where not determined. */
  readonly unscaledCovariance: Float64Array;
  /** A non-linear parameter lies in the first or last cell of its grid: the data may only bound it. */
  readonly atEdge: boolean;
}

/**
 * Least squares with y = X(θ)·b: for every θ the best b is a linear fit, so only θ is searched. First over a grid, which
 * finds the right valley, then by Levenberg-Marquardt on the projected residuals, within the grid's span.
 * Source: Golub and Pereyra, SIAM J. Numer. Anal. 10(2), 1973 (from memory).
 */
export function variableProjection(problem: SeparableProblem): SeparableSolution {
  const { y, weights, p, grid } = problem;
  const n = y.length;
  for (const [index, values] of grid.entries())
    if (!(values.length >= 2 && values.every((v, i) => i === 0 || v > values[i - 1])))
      throw new TautlineError(
        'argument_invalid',
        { parameter: index, values: [...values] },
        `grid ${index} is not two or more ascending values`,
        'sort the grid and leave out repeats',
      );
  const design = new Float64Array(n * p);
  const solveAt = (parameters: ArrayLike<number>): LeastSquaresSolution => {
    problem.design(parameters, design);
    return solveLeastSquares(design, n, p, y, weights);
  };
  const leftAt = (parameters: ArrayLike<number>): Float64Array => {
    problem.design(parameters, design);
    return projectedResiduals(design, n, p, y, weights);
  };
  let start: number[] = [];
  let least = Number.POSITIVE_INFINITY;
  for (const candidate of combinations(grid)) {
    const rss = leftAt(candidate).reduce((sum, r) => sum + r * r, 0);
    if (rss < least) [least, start] = [rss, candidate];
  }
  const inside = (parameters: Float64Array): boolean =>
    grid.every((values, k) => parameters[k] >= values[0] && parameters[k] <= values[values.length - 1]);
  const refined = levenbergMarquardt({
    n,
    // An edge of the grid has no differences on its outer side: start a little inside.
    start: start.map((v, k) => insideBy(v, grid[k])),
    maxIterations: 200,
    residuals(parameters, out) {
      if (!inside(parameters)) out.fill(Number.NaN);
      else out.set(leftAt(parameters));
    },
  });
  const parameters = refined.rss <= least ? refined.parameters : Float64Array.from(start);
  const linear = solveAt(parameters);
  return {
    parameters,
    linear,
    unscaledCovariance: fullCovariance(problem, parameters, linear.coefficients),
    atEdge: grid.some((g, k) => parameters[k] < g[1] || parameters[k] > g[g.length - 2]),
  };
}

function insideBy(value: number, values: readonly number[]): number {
  const last = values.length - 1;
  if (value === values[0]) return value + 1e-3 * (values[1] - value);
  if (value === values[last]) return value - 1e-3 * (value - values[last - 1]);
  return value;
}

function* combinations(grid: readonly (readonly number[])[]): Generator<number[]> {
  if (grid.length === 0) {
    yield [];
    return;
  }
  for (const rest of combinations(grid.slice(0, -1)))
    for (const v of grid[grid.length - 1]) yield [...rest, v];
}

/** Covariance of linear and non-linear parameters together, from the Jacobian of the whole model. */
function fullCovariance(problem: SeparableProblem, parameters: Float64Array, b: Float64Array): Float64Array {
  const { y, weights, p } = problem;
  const n = y.length;
  const q = parameters.length;
  const jacobian = new Float64Array(n * (p + q));
  const above = new Float64Array(n * p);
  const below = new Float64Array(n * p);
  problem.design(parameters, above);
  for (let i = 0; i < n; i++) for (let j = 0; j < p; j++) jacobian[i * (p + q) + j] = above[i * p + j];
  for (let k = 0; k < q; k++) {
    const h = Math.cbrt(Number.EPSILON) * (Math.abs(parameters[k]) || 1e-3);
    const moved = parameters.slice();
    moved[k] = parameters[k] + h;
    problem.design(moved, above);
    moved[k] = parameters[k] - h;
    problem.design(moved, below);
    for (let i = 0; i < n; i++) {
      let slope = 0;
      for (let j = 0; j < p; j++)
        // An undetermined coefficient multiplies a column the others already span: any value of it serves, so zero.
        slope += ((above[i * p + j] - below[i * p + j]) / (2 * h)) * (Number.isNaN(b[j]) ? 0 : b[j]);
      jacobian[i * (p + q) + p + k] = slope;
    }
  }
  return solveLeastSquares(jacobian, n, p + q, y, weights).unscaledCovariance;
}
