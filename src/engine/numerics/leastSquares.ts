import { TautlineError } from '../errors.js';
import { CompensatedSum } from './compensated.js';
import {
  applyQ,
  applyTransposedQ,
  factorPivotedQr,
  type PivotedQr,
  solveUpper,
  solveUpperTransposed,
  upperEntry,
} from './householder.js';
import { singularValues } from './singularValues.js';

export interface LinearSolution {
  /** Coefficients in the order of the design's columns; NaN where the data do not determine one. */
  readonly coefficients: Float64Array;
  /** (X'WX)^-1, p x p row-major; times the residual variance it is the covariance. NaN where a coefficient is NaN. */
  readonly unscaledCovariance: Float64Array;
  /** Weighted residual sum of squares, Σ w (y - Xb)². */
  readonly rss: number;
  /** Number of columns that are independent in double precision. */
  readonly rank: number;
  /** 2-norm condition number of the (weighted) design with every column scaled to unit length; Infinity when rank < p. */
  readonly condition: number;
}

export interface LeastSquaresSolution extends LinearSolution {
  /** y - Xb, unweighted, of all rows. Defined also when single coefficients are not: the fitted values are unique. */
  readonly residuals: Float64Array;
}

/**
 * Linear least squares, minimise Σ w (y - Xb)², by Householder QR with column scaling and pivoting, followed by
 * iterative refinement of coefficients and residuals together with compensated residuals (Björck), which brings the
 * coefficients to about the accuracy of the data for condition numbers up to some 1e10.
 *
 * A coefficient that the design does not determine (its column takes part in a linear dependence) is NaN, every column of
 * the dependence alike: none of them has a value on its own.
 *
 * @param design n x p, row-major: row i starts at i·p. @param y n values. @param weights n values >= 0; 1 when absent.
 * Valid: finite input, n >= 1, p >= 1; cost of order n·p².
 * @throws TautlineError argument_invalid for lengths that do not match and values that are not finite.
 * Source: Golub and Van Loan, Matrix Computations; Björck, BIT 7 (1967) 257-278 for the refinement (from memory).
 */
export function solveLeastSquares(
  design: Float64Array,
  n: number,
  p: number,
  y: Float64Array,
  weights?: Float64Array,
): LeastSquaresSolution {
  checkProblem(design, n, p, y, weights);
  const root = weights?.map(Math.sqrt);
  const scaled = scaleColumns(design, n, p, root);
  const qr = factorPivotedQr(scaled.matrix, n, p);
  const basic = refine({ design, n, p, y, root, scale: scaled.scale }, qr);
  const residuals = residualsOf(design, n, p, y, basic);
  let rss = 0;
  for (let i = 0; i < n; i++) rss += (weights ? weights[i] : 1) * residuals[i] * residuals[i];
  return { ...finish(qr, p, scaled.scale, basic), residuals, rss };
}

/**
 * What a least-squares fit leaves, weighted: `√w·(y - Xb)`, by QR alone. For a search that asks for it a thousand times: without coefficients,
 * without refinement, accurate to about ε times the condition of the design. Arguments as {@link solveLeastSquares}, finite.
 * Source: Golub and Van Loan, Matrix Computations (the part of y outside the columns; from memory).
 */
export function projectedResiduals(
  design: Float64Array,
  n: number,
  p: number,
  y: Float64Array,
  weights?: Float64Array,
): Float64Array {
  const root = weights?.map(Math.sqrt);
  const qr = factorPivotedQr(scaleColumns(design, n, p, root).matrix, n, p);
  const left = root ? y.map((v, i) => v * root[i]) : y.slice();
  applyTransposedQ(qr, left);
  left.fill(0, 0, qr.rank);
  applyQ(qr, left);
  return left;
}

/**
 * Coefficients, covariance and condition from a factorisation of the scaled design and its basic solution (dependent
 * columns at zero). `scale` is what each column was multiplied by.
 */
export function finish(
  qr: PivotedQr,
  p: number,
  scale: Float64Array,
  basic: Float64Array,
): Pick<LinearSolution, 'coefficients' | 'unscaledCovariance' | 'rank' | 'condition'> {
  const { rank, order } = qr;
  const condition = rank < p ? Number.POSITIVE_INFINITY : conditionOf(qr, p);
  const undetermined = undeterminedColumns(qr, p);
  const coefficients = basic.map((b, j) => (undetermined[j] ? Number.NaN : b));
  // Rows of R^-1, by solving for unit vectors; the covariance is R^-1·R^-T in the columns' own order and scale.
  const inverse = Array.from({ length: rank }, (_, k) => {
    const unit = new Float64Array(rank);
    unit[k] = 1;
    solveUpper(qr, unit);
    return unit;
  });
  const unscaledCovariance = new Float64Array(p * p).fill(Number.NaN);
  for (let a = 0; a < rank; a++)
    for (let b = 0; b < rank; b++) {
      const j = order[a];
      const k = order[b];
      if (undetermined[j] || undetermined[k]) continue;
      let sum = 0;
      for (let c = Math.max(a, b); c < rank; c++) sum += inverse[c][a] * inverse[c][b];
      unscaledCovariance[j * p + k] = sum * scale[j] * scale[k];
    }
  return { coefficients, unscaledCovariance, rank, condition };
}

/** Which columns take part in a dependence: those with an entry in the null space [-R11^-1·R12; I]. */
function undeterminedColumns(qr: PivotedQr, p: number): Uint8Array {
  const { rank, order } = qr;
  const mark = new Uint8Array(p);
  for (let k = rank; k < p; k++) {
    mark[order[k]] = 1;
    const f = Float64Array.from({ length: rank }, (_, i) => upperEntry(qr, i, k));
    solveUpper(qr, f);
    // Columns are of similar length, so an entry of the null vector is significant on the scale of 1.
    for (let i = 0; i < rank; i++) if (Math.abs(f[i]) > 1e-9) mark[order[i]] = 1;
  }
  return mark;
}

function conditionOf(qr: PivotedQr, p: number): number {
  const r = new Float64Array(p * p);
  for (let j = 0; j < p; j++) {
    let square = 0;
    for (let i = 0; i <= j; i++) square += upperEntry(qr, i, j) ** 2;
    for (let i = 0; i <= j; i++) r[j * p + i] = upperEntry(qr, i, j) / Math.sqrt(square);
  }
  const values = singularValues(r, p, p);
  return values[0] / values[p - 1];
}

interface Problem {
  readonly design: Float64Array;
  readonly n: number;
  readonly p: number;
  readonly y: Float64Array;
  readonly root: Float64Array | undefined;
  readonly scale: Float64Array;
}

/** Weighted design, column-major, each column brought near unit length by a power of two (which rounds nothing). */
export function scaleColumns(
  design: Float64Array,
  n: number,
  p: number,
  root?: Float64Array,
): { matrix: Float64Array; scale: Float64Array } {
  const matrix = new Float64Array(n * p);
  const scale = new Float64Array(p);
  for (let j = 0; j < p; j++) {
    let largest = 0;
    for (let i = 0; i < n; i++) {
      const value = design[i * p + j] * (root ? root[i] : 1);
      matrix[j * n + i] = value;
      largest = Math.max(largest, Math.abs(value));
    }
    let square = 0;
    for (let i = j * n; i < (j + 1) * n; i++) square += (matrix[i] / largest) ** 2;
    scale[j] = largest > 0 ? 2 ** -Math.round(Math.log2(largest) + Math.log2(square) / 2) : 1;
    for (let i = j * n; i < (j + 1) * n; i++) matrix[i] *= scale[j];
  }
  return { matrix, scale };
}

/** Basic solution (dependent columns at zero) in the columns' own scale, refined while refinement gains. */
function refine(problem: Problem, qr: PivotedQr): Float64Array {
  const { design, n, p, y, root, scale } = problem;
  const x = new Float64Array(p);
  const r = new Float64Array(n);
  const toY = Float64Array.from(y, (v, i) => v * (root ? root[i] : 1));
  const toX = new Float64Array(p);
  const row = new CompensatedSum();
  const columns = Array.from({ length: p }, () => new CompensatedSum());
  let lastStep = Number.POSITIVE_INFINITY;
  // The first pass is the plain solution; rates of ε·condition need no more than three passes after it.
  for (let pass = 0; pass < 4; pass++) {
    // Augmented system: r + A·x = b, A'·r = 0. Its correction from the residuals of both equations.
    const h = Float64Array.from({ length: qr.rank }, (_, k) => toX[qr.order[k]]);
    solveUpperTransposed(qr, h);
    applyTransposedQ(qr, toY);
    const dx = Float64Array.from({ length: qr.rank }, (_, k) => toY[k] - h[k]);
    solveUpper(qr, dx);
    const step = Math.hypot(...dx);
    if (!(step < lastStep / 2)) break;
    lastStep = step;
    for (let k = 0; k < qr.rank; k++) {
      x[qr.order[k]] += dx[k];
      toY[k] = h[k];
    }
    applyQ(qr, toY);
    for (let i = 0; i < n; i++) r[i] += toY[i];
    for (const column of columns) column.reset();
    for (let i = 0; i < n; i++) {
      const w = root ? root[i] : 1;
      row.reset();
      row.add(y[i] * w);
      row.add(-r[i]);
      for (let j = 0; j < p; j++) {
        const entry = design[i * p + j] * w * scale[j];
        row.addProduct(-entry, x[j]);
        columns[j].addProduct(-entry, r[i]);
      }
      toY[i] = row.value();
    }
    for (let j = 0; j < p; j++) toX[j] = columns[j].value();
  }
  return x.map((v, j) => v * scale[j]);
}

function residualsOf(
  design: Float64Array,
  n: number,
  p: number,
  y: Float64Array,
  b: Float64Array,
): Float64Array {
  const sum = new CompensatedSum();
  return Float64Array.from({ length: n }, (_, i) => {
    sum.reset();
    sum.add(y[i]);
    for (let j = 0; j < p; j++) sum.addProduct(-design[i * p + j], b[j]);
    return sum.value();
  });
}

function checkProblem(
  design: Float64Array,
  n: number,
  p: number,
  y: Float64Array,
  weights: Float64Array | undefined,
): void {
  const refuse = (where: Record<string, number>, message: string): never => {
    throw new TautlineError('argument_invalid', where, message, 'pass finite values with lengths that match');
  };
  if (!(n >= 1 && p >= 1))
    refuse({ n, p }, `least squares needs at least one row and one column, not ${n} x ${p}`);
  if (design.length !== n * p)
    refuse({ n, p, length: design.length }, `design holds ${design.length} values, not ${n} x ${p}`);
  if (y.length !== n) refuse({ n, length: y.length }, `y holds ${y.length} values, not ${n}`);
  if (weights && weights.length !== n)
    refuse({ n, length: weights.length }, `weights hold ${weights.length} values, not ${n}`);
  for (let i = 0; i < n; i++) {
    if (!Number.isFinite(y[i])) refuse({ row: i }, `y is ${y[i]} in row ${i}`);
    if (weights && !(weights[i] >= 0 && weights[i] < Number.POSITIVE_INFINITY))
      refuse({ row: i }, `weight is ${weights[i]} in row ${i}`);
    for (let j = 0; j < p; j++)
      if (!Number.isFinite(design[i * p + j]))
        refuse({ row: i, column: j }, `design is ${design[i * p + j]} in row ${i}, column ${j}`);
  }
}
