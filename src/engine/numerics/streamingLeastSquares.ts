import { TautlineError } from '../errors.js';
import { applyTransposedQ, factorPivotedQr, solveUpper } from './householder.js';
import { finish, type LinearSolution, scaleColumns } from './leastSquares.js';

/**
 * Linear least squares over rows that come one at a time, in memory of order p²: each row is rotated into a triangular
 * factor (Givens QR), so the squared condition number of the normal equations never arises. Accumulators over parts of a
 * record, made anywhere, merge into one. Against `solveLeastSquares` it lacks the refinement step and the residuals.
 * Cost p²/2 rotations' worth a row. Source: Golub and Van Loan, Matrix Computations (from memory).
 */
export class StreamingLeastSquares {
  /** Upper triangle of [X y], row-major (p + 1) x (p + 1). */
  private readonly factor: Float64Array;
  private readonly work: Float64Array;
  private count = 0;

  constructor(readonly p: number) {
    if (!(Number.isInteger(p) && p >= 1))
      throw new TautlineError('argument_invalid', { p }, `${p} is not a number of columns`, 'pass 1 or more');
    this.factor = new Float64Array((p + 1) * (p + 1));
    this.work = new Float64Array(p + 1);
  }

  /** Rows taken so far; rows of weight 0 are not counted. */
  get n(): number {
    return this.count;
  }

  /** Take one row: p regressors (read, not kept), the observation and its weight >= 0. */
  add(row: ArrayLike<number>, y: number, weight = 1): void {
    const { p, work } = this;
    const root = Math.sqrt(weight);
    let check = (work[p] = y * root);
    for (let j = 0; j < p; j++) check += work[j] = row[j] * root;
    if (row.length !== p || !Number.isFinite(check))
      throw new TautlineError(
        'argument_invalid',
        { row: this.count, length: row.length, y, weight },
        `row ${this.count} is not ${p} finite regressors with a finite observation (${y}) and a weight >= 0 (${weight})`,
        'leave out rows with gaps',
      );
    if (root === 0) return;
    this.count++;
    this.rotateIn(0);
  }

  /** Take all rows of another accumulator of the same p, which stays as it is. */
  merge(other: StreamingLeastSquares): void {
    const { p, work } = this;
    if (other.p !== p)
      throw new TautlineError(
        'argument_invalid',
        { p, other: other.p },
        `cannot merge fits of ${p} and ${other.p} columns`,
        'use the same regressors in every part',
      );
    const rows = other.factor.slice();
    for (let k = 0; k <= p; k++) {
      work.set(rows.subarray(k * (p + 1), (k + 1) * (p + 1)));
      this.rotateIn(k);
    }
    this.count += other.count;
  }

  /** Solution over the rows so far; coefficients that they do not determine are NaN. */
  solve(): LinearSolution {
    const { p, factor } = this;
    const square = new Float64Array(p * p);
    const y = new Float64Array(p);
    for (let i = 0; i < p; i++) {
      for (let j = i; j < p; j++) square[i * p + j] = factor[i * (p + 1) + j];
      y[i] = factor[i * (p + 1) + p];
    }
    const { matrix, scale } = scaleColumns(square, p, p);
    const qr = factorPivotedQr(matrix, p, p, Math.max(p, this.count));
    applyTransposedQ(qr, y);
    // What the independent columns leave of y, together with what all p columns left of it.
    let rss = factor[factor.length - 1] ** 2;
    for (let k = qr.rank; k < p; k++) rss += y[k] * y[k];
    const solved = y.slice(0, qr.rank);
    solveUpper(qr, solved);
    const basic = new Float64Array(p);
    for (let k = 0; k < qr.rank; k++) basic[qr.order[k]] = solved[k] * scale[qr.order[k]];
    return { ...finish(qr, p, scale, basic), rss };
  }

  /** Rotate the work row, zero before column `from`, into the factor. */
  private rotateIn(from: number): void {
    const { factor, work } = this;
    const width = this.p + 1;
    for (let k = from; k < width; k++) {
      const below = work[k];
      if (below === 0) continue;
      const at = k * width;
      const diagonal = factor[at + k];
      const length = Math.sqrt(diagonal * diagonal + below * below);
      const cosine = diagonal / length;
      const sine = below / length;
      factor[at + k] = length;
      for (let j = k + 1; j < width; j++) {
        const upper = factor[at + j];
        factor[at + j] = cosine * upper + sine * work[j];
        work[j] = cosine * work[j] - sine * upper;
      }
    }
  }
}
