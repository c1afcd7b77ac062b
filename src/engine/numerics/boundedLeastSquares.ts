import { TautlineError } from '../errors.js';
import { solveLeastSquares } from './leastSquares.js';

/** A sum of squares to be made small, each parameter between its bounds. */
export interface BoundedProblem {
  readonly start: ArrayLike<number>;
  readonly lower: ArrayLike<number>;
  readonly upper: ArrayLike<number>;
  /** Residuals at a point within the bounds, always of the same number. May be non-finite: such a point is stepped back from. */
  residuals(parameters: Float64Array): Float64Array;
  /** Step of the forward differences, as a share of the range of each parameter. */
  readonly step?: number;
  readonly maxIterations?: number;
  /** Ends when steps gain less than this share of the sum of squares, three in a row: one alone may have been cut short by a bend of the residuals. */
  readonly tolerance?: number;
  /** Told after every iteration; false ends the search with what it has. */
  onIteration?(iteration: number, sumOfSquares: number): boolean;
}

export interface BoundedSolution {
  readonly parameters: Float64Array;
  readonly residuals: Float64Array;
  readonly sumOfSquares: number;
  readonly iterations: number;
  /** Parameters that stand at a bound and would go beyond: -1 the lower one, 1 the upper one, 0 free. */
  readonly held: Int8Array;
  readonly ended: 'converged' | 'iterations' | 'stopped';
}

const smallGainsToEnd = 3;

/**
 * Least squares within a box by projected Levenberg–Marquardt: parameters are scaled to their range, those at a bound whose gradient points outwards are
 * held, the damped step of the others comes from a QR factor and is cut back to the box. For a handful of parameters and expensive residuals: the
 * Jacobian is by forward differences, one evaluation a free parameter.
 * @throws TautlineError argument_invalid: bounds that leave no range, a start that is not finite there
 * Source: Kanzow, Yamashita, Fukushima, J. Comput. Appl. Math. 172, 2004 (projected Levenberg–Marquardt; idea from memory).
 */
export function boundedLeastSquares(problem: BoundedProblem): BoundedSolution {
  const { lower, upper, step = 1e-4, maxIterations = 50, tolerance = 1e-6 } = problem;
  const p = problem.start.length;
  const range = Float64Array.from({ length: p }, (_, k) => (upper[k] as number) - (lower[k] as number));
  if (!range.every((r) => r > 0 && Number.isFinite(r)))
    throw new TautlineError(
      'argument_invalid',
      { lower: Array.from(lower), upper: Array.from(upper) },
      'the bounds leave a parameter no range',
      'state each upper bound above its lower bound',
    );
  const inBox = (x: Float64Array): Float64Array =>
    x.map((v, k) => Math.min(upper[k] as number, Math.max(lower[k] as number, v)));
  let at = inBox(Float64Array.from(problem.start));
  let residuals = problem.residuals(at);
  let sum = squares(residuals);
  if (!Number.isFinite(sum))
    throw new TautlineError(
      'argument_invalid',
      { start: [...at] },
      'the residuals are not finite at the start',
      'start where they are',
    );
  const n = residuals.length;
  let lambda = 1e-3;
  let smallGains = 0;
  let held = new Int8Array(p);
  const found = (iterations: number, ended: BoundedSolution['ended']): BoundedSolution => ({
    parameters: at,
    residuals,
    sumOfSquares: sum,
    iterations,
    held,
    ended,
  });
  for (let iteration = 1; iteration <= maxIterations; iteration++) {
    const columns = Array.from({ length: p }, (_, k) => {
      const moved = Float64Array.from(at);
      // into the box, away from the nearer bound
      const isUp = at[k] + step * range[k] <= (upper[k] as number);
      moved[k] += (isUp ? step : -step) * range[k];
      const there = problem.residuals(moved);
      return there.map((r, i) => (r - residuals[i]) / (isUp ? step : -step));
    });
    const gradient = columns.map((c) => c.reduce((g, v, i) => g + v * residuals[i], 0));
    held = Int8Array.from(gradient, (g, k) =>
      at[k] <= (lower[k] as number) && g > 0 ? -1 : at[k] >= (upper[k] as number) && g < 0 ? 1 : 0,
    );
    const free = [...held.keys()].filter((k) => held[k] === 0 && columns[k].some((v) => v !== 0));
    if (free.length === 0) return found(iteration, 'converged');
    let gained = false;
    for (let attempt = 0; attempt < 12 && !gained; attempt++) {
      const delta = dampedStep(columns, residuals, free, lambda, n);
      const next = Float64Array.from(at);
      free.forEach((k, j) => {
        next[k] += delta[j] * range[k];
      });
      const tried = inBox(next);
      const there = problem.residuals(tried);
      const sumThere = squares(there);
      if (sumThere < sum) {
        const gain = (sum - sumThere) / sum;
        at = tried;
        residuals = there;
        sum = sumThere;
        lambda = Math.max(1e-9, lambda / 5);
        gained = true;
        if (problem.onIteration?.(iteration, sum) === false) return found(iteration, 'stopped');
        smallGains = gain < tolerance ? smallGains + 1 : 0;
        if (smallGains === smallGainsToEnd) return found(iteration, 'converged');
      } else lambda *= 4;
    }
    if (!gained) return found(iteration, 'converged');
  }
  return found(maxIterations, 'iterations');
}

const squares = (r: Float64Array): number => r.reduce((a, b) => a + b * b, 0);

/** Step of the free parameters, in shares of their range: least squares of the Jacobian with √λ times its column lengths below it. */
function dampedStep(
  columns: readonly Float64Array[],
  residuals: Float64Array,
  free: readonly number[],
  lambda: number,
  n: number,
): Float64Array {
  const q = free.length;
  const rows = n + q;
  const matrix = new Float64Array(rows * q);
  const right = new Float64Array(rows);
  for (let i = 0; i < n; i++) right[i] = -residuals[i];
  free.forEach((k, j) => {
    const column = columns[k];
    let length = 0;
    for (let i = 0; i < n; i++) {
      matrix[i * q + j] = column[i];
      length += column[i] ** 2;
    }
    matrix[(n + j) * q + j] = Math.sqrt(lambda * length);
  });
  return solveLeastSquares(matrix, rows, q, right).coefficients;
}
