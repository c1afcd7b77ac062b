import { studentTQuantile } from '../numerics/distributions.js';
import { solveLeastSquares } from '../numerics/leastSquares.js';
import { designMatrix, type Model, type Term } from './equation.js';
import type { Estimate } from './identification.js';
import type { DriveSignals } from './signals.js';
import type { WindowRow } from './windows.js';

/** A fit of the equation of motion to windows. Coefficients and covariance in the order of `model.terms`, SI. */
export interface Fit {
  readonly model: Model;
  readonly rows: readonly WindowRow[];
  readonly coefficients: Float64Array;
  /** p x p, row-major; allows for residuals that are correlated within and along stretches. */
  readonly covariance: Float64Array;
  /** Torque residual of each window [N·m]. */
  readonly residuals: Float64Array;
  /** Weighted residual sum of squares [N²·m²·s]. */
  readonly rss: number;
  /** Degrees of freedom for t quantiles. */
  readonly degreesOfFreedom: number;
  /** Condition of the column-scaled design: above about 1e3 the terms cannot be told apart. */
  readonly condition: number;
  readonly rank: number;
}

/**
 * Least squares over windows, weighted by their length. Undefined when there are fewer windows than terms or the terms
 * cannot be told apart at all.
 *
 * The covariance is the larger, term by term, of (a) the cluster sandwich with stretches as clusters, since ripple,
 * drift and misfit are shared by the windows of a stretch, and (b) the textbook one inflated by the correlation of
 * neighbouring residuals, since few clusters understate. Source: Liang & Zeger 1986 for (a), AR(1) effective sample size
 * for (b), both from memory; taking the larger is ours.
 */
export function fitRows(rows: readonly WindowRow[], model: Model, signals: DriveSignals): Fit | undefined {
  const n = rows.length;
  const p = model.terms.length;
  if (n <= p) return undefined;
  const design = designMatrix(rows, model, signals);
  const y = Float64Array.from(rows, (r) => r.torque);
  const weights = Float64Array.from(rows, (r) => r.duration);
  const solved = solveLeastSquares(design, n, p, y, weights);
  if (solved.rank < p) return undefined;
  const { unscaledCovariance: bread, residuals } = solved;
  let rss = 0;
  for (let i = 0; i < n; i++) rss += weights[i] * residuals[i] ** 2;

  const byStretch = new Map<number, Float64Array>();
  for (let i = 0; i < n; i++) {
    let score = byStretch.get(rows[i].stretch);
    if (score === undefined) byStretch.set(rows[i].stretch, (score = new Float64Array(p)));
    for (let j = 0; j < p; j++) score[j] += weights[i] * design[i * p + j] * residuals[i];
  }
  const clusters = byStretch.size;
  const meat = new Float64Array(p * p);
  for (const score of byStretch.values())
    for (let j = 0; j < p; j++) for (let k = 0; k < p; k++) meat[j * p + k] += score[j] * score[k];
  const sandwich = multiply(multiply(bread, meat, p), bread, p);
  const small = clusters > 1 ? (clusters / (clusters - 1)) * ((n - 1) / (n - p)) : Number.POSITIVE_INFINITY;
  const variance = (rss / (n - p)) * correlationInflation(rows, residuals);
  const covariance = new Float64Array(p * p);
  const scale = new Float64Array(p);
  const useSandwich = clusters > p + 1;
  for (let j = 0; j < p; j++) {
    const textbook = variance * bread[j * p + j];
    const robust = useSandwich ? small * sandwich[j * p + j] : textbook;
    scale[j] = Math.sqrt(Math.max(textbook, robust) / robust);
  }
  for (let j = 0; j < p; j++)
    for (let k = 0; k < p; k++) {
      const base = useSandwich ? small * sandwich[j * p + k] : variance * bread[j * p + k];
      covariance[j * p + k] = base * scale[j] * scale[k];
    }
  return {
    model,
    rows,
    coefficients: solved.coefficients,
    covariance,
    residuals,
    rss,
    degreesOfFreedom: Math.max(3, useSandwich ? clusters - p : Math.min(n - p, 2 * clusters)),
    condition: solved.condition,
    rank: solved.rank,
  };
}

/** (1+ρ)/(1-ρ) with ρ the lag-one correlation of residuals within stretches, at least 1, at most 20. */
function correlationInflation(rows: readonly WindowRow[], residuals: Float64Array): number {
  let product = 0;
  let square = 0;
  for (let i = 0; i + 1 < rows.length; i++) {
    if (rows[i].stretch !== rows[i + 1].stretch) continue;
    product += residuals[i] * residuals[i + 1];
    square += 0.5 * (residuals[i] ** 2 + residuals[i + 1] ** 2);
  }
  const rho = square > 0 ? Math.min(0.905, Math.max(0, product / square)) : 0;
  return (1 + rho) / (1 - rho);
}

function multiply(a: Float64Array, b: Float64Array, p: number): Float64Array {
  const c = new Float64Array(p * p);
  for (let i = 0; i < p; i++)
    for (let k = 0; k < p; k++) {
      const aik = a[i * p + k];
      for (let j = 0; j < p; j++) c[i * p + j] += aik * b[k * p + j];
    }
  return c;
}

/** Position of a term in the fit; -1 when the model lacks it. */
export function termIndex(fit: Fit, name: Term['name'], direction: 1 | -1): number {
  return fit.model.terms.findIndex(
    (t) => t.name === name && (t.direction === 0 || t.direction === direction),
  );
}

/** A value with its standard error and 95 % interval from Student's t. */
export function estimate(value: number, variance: number, degreesOfFreedom: number): Estimate {
  const standardError = Math.sqrt(Math.max(0, variance));
  const half = studentTQuantile(0.975, degreesOfFreedom) * standardError;
  return { value, standardError, interval95: [value - half, value + half] };
}

/** The estimate of one term for a direction; undefined when the model lacks it. */
export function termEstimate(fit: Fit, name: Term['name'], direction: 1 | -1): Estimate | undefined {
  const j = termIndex(fit, name, direction);
  if (j < 0) return undefined;
  const p = fit.model.terms.length;
  return estimate(fit.coefficients[j], fit.covariance[j * p + j], fit.degreesOfFreedom);
}
