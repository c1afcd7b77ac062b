import { TautlineError } from '../errors.js';
import { applyTransposedQ, factorPivotedQr, solveUpper, upperEntry } from './householder.js';
import { type LeastSquaresSolution, solveLeastSquares } from './leastSquares.js';

export interface NonlinearProblem {
  /** Number of residuals. */
  readonly n: number;
  /** Starting values. */
  readonly start: ArrayLike<number>;
  /** Residuals (observed minus model, times the square root of a weight if any) written to `out`. May be non-finite: such
   *  a point is stepped back from. */
  residuals(parameters: Float64Array, out: Float64Array): void;
  /** Derivatives of the residuals, n x p row-major, written to `out`. Central differences when absent
   *  (one-sided at the edge of the model). */
  jacobian?(parameters: Float64Array, out: Float64Array): void;
  /** Default 1000 accepted or refused steps. */
  readonly maxIterations?: number;
}

export interface NonlinearSolution {
  readonly parameters: Float64Array;
  readonly residuals: Float64Array;
  readonly rss: number;
  /** (J'J)^-1 at the solution, p x p row-major; NaN where the data do not determine a parameter. */
  readonly unscaledCovariance: Float64Array;
  readonly rank: number;
  /** Condition of the column-scaled Jacobian at the solution. */
  readonly condition: number;
  readonly iterations: number;
  /** False when the iterations ran out: the parameters are then no estimate. Nor are they where `rank` is below their
   *  number: a plateau on which a parameter has no influence also ends the search. */
  readonly converged: boolean;
}

/**
 * Non-linear least squares by Levenberg-Marquardt: the damped step comes from a QR factor of the Jacobian, never from
 * J'J; the damping of each parameter is scaled by the largest column length seen (Moré), so units do not matter; the
 * damping follows the ratio of gained to promised decrease (Nielsen). Ends when a step no longer changes the parameters
 * or the sum of squares.
 * @throws TautlineError argument_invalid when the residuals are not finite at the start.
 * Source: Marquardt, SIAM J. Appl. Math. 11(2), 1963; Moré, Lecture Notes in Mathematics 630, 1978; Nielsen,
 * IMM-REP-1999-05 (from memory).
 */
export function levenbergMarquardt(problem: NonlinearProblem): NonlinearSolution {
  const { n, maxIterations = 1000 } = problem;
  const p = problem.start.length;
  let at = Float64Array.from(problem.start);
  let residuals = new Float64Array(n);
  problem.residuals(at, residuals);
  let rss = sumOfSquares(residuals);
  if (!Number.isFinite(rss))
    throw new TautlineError(
      'argument_invalid',
      { start: [...at] },
      'the model is not finite at the starting values',
      'start inside the range of the model',
    );
  const jacobian = new Float64Array(n * p);
  const damping = new Float64Array(p);
  let lambda = 1e-3;
  let growth = 2;
  let iterations = 0;
  let converged = false;
  let trial = new Float64Array(n);
  while (!converged && iterations < maxIterations) {
    differentiate(problem, at, residuals, jacobian);
    const reduced = reduce(jacobian, residuals, n, p);
    for (let j = 0; j < p; j++) damping[j] = Math.max(damping[j], reduced.lengths[j]);
    for (;;) {
      iterations++;
      const step = dampedStep(reduced, damping, lambda, p);
      const next = at.map((v, j) => v + step.step[j]);
      problem.residuals(next, trial);
      const nextRss = sumOfSquares(trial);
      const small = step.step.every((s, j) => Math.abs(s) <= 1e-15 * (Math.abs(at[j]) + 1e-300));
      const gain = (rss - nextRss) / step.promised;
      if (gain > 0 && nextRss < rss) {
        converged = small || (step.promised <= 1e-30 * rss && rss - nextRss <= 1e-30 * rss);
        at = next;
        [residuals, trial] = [trial, residuals];
        rss = nextRss;
        lambda *= Math.max(1 / 3, 1 - (2 * gain - 1) ** 3);
        growth = 2;
        break;
      }
      // No further decrease can be told from rounding: this is the minimum as far as doubles can say.
      if (small || !(step.promised > 1e-17 * rss)) {
        converged = true;
        break;
      }
      lambda *= growth;
      growth *= 2;
      if (iterations >= maxIterations) break;
    }
  }
  if (converged) {
    // Near the minimum the sum of squares is flat to rounding over half the digits of the parameters, so it can no longer
    // judge a step. The length of undamped steps can: go on while it shrinks.
    let last = Number.POSITIVE_INFINITY;
    for (let polish = 0; polish < 10; polish++) {
      differentiate(problem, at, residuals, jacobian);
      const { step } = dampedStep(reduce(jacobian, residuals, n, p), damping, 0, p);
      const length = Math.sqrt(sumOfSquares(step.map((s, j) => s * damping[j])));
      const next = at.map((v, j) => v + step[j]);
      problem.residuals(next, trial);
      const nextRss = sumOfSquares(trial);
      if (!(length < last / 2 && nextRss <= rss * (1 + 1e-12))) break;
      last = length;
      at = next;
      [residuals, trial] = [trial, residuals];
      rss = nextRss;
    }
  }
  differentiate(problem, at, residuals, jacobian);
  const final = linearised(jacobian, residuals, n, p);
  return {
    parameters: at,
    residuals,
    rss,
    unscaledCovariance: final.unscaledCovariance,
    rank: final.rank,
    condition: final.condition,
    iterations,
    converged,
  };
}

/** Least-squares problem of the last linearisation, for covariance, rank and condition. */
function linearised(
  jacobian: Float64Array,
  residuals: Float64Array,
  n: number,
  p: number,
): LeastSquaresSolution {
  if (jacobian.every(Number.isFinite)) return solveLeastSquares(jacobian, n, p, residuals);
  throw new TautlineError(
    'argument_invalid',
    {},
    'the model has no finite derivative at the solution',
    'start elsewhere, or keep the parameters away from the edge of the model',
  );
}

interface Reduced {
  /** R in the parameters' own order, p x p row-major (rows beyond the rank are zero). */
  readonly r: Float64Array;
  /** Leading part of Q' times the residuals. */
  readonly f: Float64Array;
  readonly lengths: Float64Array;
}

function reduce(jacobian: Float64Array, residuals: Float64Array, n: number, p: number): Reduced {
  const a = new Float64Array(n * p);
  for (let i = 0; i < n; i++) for (let j = 0; j < p; j++) a[j * n + i] = jacobian[i * p + j];
  const lengths = Float64Array.from({ length: p }, (_, j) =>
    Math.sqrt(sumOfSquares(a.subarray(j * n, (j + 1) * n))),
  );
  const qr = factorPivotedQr(a, n, p);
  const g = residuals.slice();
  applyTransposedQ(qr, g);
  const r = new Float64Array(p * p);
  for (let i = 0; i < qr.rank; i++) for (let k = i; k < p; k++) r[i * p + qr.order[k]] = upperEntry(qr, i, k);
  return { r, f: g.slice(0, p).fill(0, qr.rank), lengths };
}

/** Minimise |f + R·step|² + λ|D·step|²; `promised` is the decrease of the sum of squares that the linear model foresees. */
function dampedStep(
  { r, f }: Reduced,
  damping: Float64Array,
  lambda: number,
  p: number,
): { step: Float64Array; promised: number } {
  const rows = Math.min(f.length, p) + p;
  const a = new Float64Array(rows * p);
  for (let j = 0; j < p; j++) {
    for (let i = 0; i < f.length; i++) a[j * rows + i] = r[i * p + j];
    a[j * rows + f.length + j] = Math.sqrt(lambda) * (damping[j] || 1);
  }
  const right = new Float64Array(rows);
  for (let i = 0; i < f.length; i++) right[i] = -f[i];
  const qr = factorPivotedQr(a, rows, p);
  applyTransposedQ(qr, right);
  solveUpper(qr, right);
  const step = new Float64Array(p);
  for (let k = 0; k < qr.rank; k++) step[qr.order[k]] = right[k];
  // |f|² - |f + R·s|² = |R·s|² + 2λ|D·s|² at the damped minimum, free of cancellation.
  let promised = 0;
  for (let i = 0; i < f.length; i++) {
    let sum = 0;
    for (let j = 0; j < p; j++) sum += r[i * p + j] * step[j];
    promised += sum * sum;
  }
  for (let j = 0; j < p; j++) promised += 2 * lambda * (damping[j] * step[j]) ** 2;
  return { step, promised };
}

function differentiate(
  problem: NonlinearProblem,
  at: Float64Array,
  here: Float64Array,
  out: Float64Array,
): void {
  if (problem.jacobian) {
    problem.jacobian(at, out);
    return;
  }
  const { n } = problem;
  const p = at.length;
  const above = new Float64Array(n);
  const below = new Float64Array(n);
  const moved = at.slice();
  for (let j = 0; j < p; j++) {
    // The cube root of ε balances truncation against rounding of a central difference.
    const h = Math.cbrt(Number.EPSILON) * (Math.abs(at[j]) || 1e-3);
    moved[j] = at[j] + h;
    const upper = moved[j];
    problem.residuals(moved, above);
    moved[j] = at[j] - h;
    let width = upper - moved[j];
    problem.residuals(moved, below);
    // At the edge of the model one side may be undefined: the other and the middle then give the slope.
    if (!above.every(Number.isFinite)) {
      above.set(here);
      width /= 2;
    } else if (!below.every(Number.isFinite)) {
      below.set(here);
      width /= 2;
    }
    moved[j] = at[j];
    for (let i = 0; i < n; i++) out[i * p + j] = (above[i] - below[i]) / width;
  }
}

function sumOfSquares(values: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < values.length; i++) sum += values[i] * values[i];
  return sum;
}
