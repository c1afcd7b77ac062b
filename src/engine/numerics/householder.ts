/**
 * Householder QR of a matrix with column pivoting, A·P = Q·R.
 * `reflectors` holds the Householder vectors on and below the diagonal and R above it, column by column in the order of
 * `order` (position k holds column order[k] of A); `diagonal` is the diagonal of R.
 */
export interface PivotedQr {
  readonly n: number;
  readonly rank: number;
  readonly order: Int32Array;
  readonly reflectors: Float64Array;
  readonly diagonal: Float64Array;
}

/**
 * Factor a column-major n x p matrix in place. A column whose part outside the columns already taken is below
 * 8·ε·√rows·p of its own length counts as dependent: rounding alone leaves about ε·√rows. `rows` is n, or the number of
 * rows behind A when A is itself a factor of a longer matrix.
 * Source: Golub and Van Loan, Matrix Computations, QR with column pivoting (from memory).
 */
export function factorPivotedQr(a: Float64Array, n: number, p: number, rows = n): PivotedQr {
  const order = Int32Array.from({ length: p }, (_, j) => j);
  const diagonal = new Float64Array(p);
  const lengths = Float64Array.from({ length: p }, (_, j) => columnNorm(a, n, j, 0));
  const tolerance = 8 * Number.EPSILON * Math.sqrt(rows) * p;
  let rank = 0;
  for (; rank < Math.min(n, p); rank++) {
    const k = rank;
    // Norms are taken afresh rather than updated: p is small, and updated norms lose their digits to cancellation.
    let pivot = -1;
    let largest = 0;
    for (let j = k; j < p; j++) {
      const norm = columnNorm(a, n, j, k);
      if (norm > largest && norm > tolerance * lengths[j]) {
        largest = norm;
        pivot = j;
      }
    }
    if (pivot < 0) break;
    if (pivot !== k) {
      swapColumns(a, n, k, pivot);
      [order[k], order[pivot]] = [order[pivot], order[k]];
      [lengths[k], lengths[pivot]] = [lengths[pivot], lengths[k]];
    }
    const column = k * n;
    const signed = a[column + k] < 0 ? -largest : largest;
    for (let i = k; i < n; i++) a[column + i] /= signed;
    a[column + k] += 1;
    diagonal[k] = -signed;
    for (let j = k + 1; j < p; j++) reflect(a, column, k, n, a, j * n);
  }
  return { n, rank, order, reflectors: a, diagonal };
}

/** f := Q'·f in place. */
export function applyTransposedQ(qr: PivotedQr, f: Float64Array): void {
  for (let k = 0; k < qr.rank; k++) reflect(qr.reflectors, k * qr.n, k, qr.n, f, 0);
}

/** f := Q·f in place. */
export function applyQ(qr: PivotedQr, f: Float64Array): void {
  for (let k = qr.rank - 1; k >= 0; k--) reflect(qr.reflectors, k * qr.n, k, qr.n, f, 0);
}

/** Entry (row, column) of R, row <= column, columns in pivoted order. */
export const upperEntry = (qr: PivotedQr, row: number, column: number): number =>
  row === column && row < qr.rank ? qr.diagonal[row] : qr.reflectors[column * qr.n + row];

/** Solve R11·x = f for the leading rank x rank block; f is overwritten. */
export function solveUpper(qr: PivotedQr, f: Float64Array): void {
  for (let k = qr.rank - 1; k >= 0; k--) {
    let sum = f[k];
    for (let j = k + 1; j < qr.rank; j++) sum -= upperEntry(qr, k, j) * f[j];
    f[k] = sum / qr.diagonal[k];
  }
}

/** Solve R11'·x = f for the leading rank x rank block; f is overwritten. */
export function solveUpperTransposed(qr: PivotedQr, f: Float64Array): void {
  for (let k = 0; k < qr.rank; k++) {
    let sum = f[k];
    for (let j = 0; j < k; j++) sum -= upperEntry(qr, j, k) * f[j];
    f[k] = sum / qr.diagonal[k];
  }
}

function reflect(v: Float64Array, vAt: number, k: number, n: number, f: Float64Array, fAt: number): void {
  let sum = 0;
  for (let i = k; i < n; i++) sum += v[vAt + i] * f[fAt + i];
  sum /= -v[vAt + k];
  for (let i = k; i < n; i++) f[fAt + i] += sum * v[vAt + i];
}

function columnNorm(a: Float64Array, n: number, j: number, from: number): number {
  let sum = 0;
  for (let i = j * n + from; i < (j + 1) * n; i++) sum += a[i] * a[i];
  return Math.sqrt(sum);
}

function swapColumns(a: Float64Array, n: number, j: number, k: number): void {
  for (let i = 0; i < n; i++) {
    const kept = a[j * n + i];
    a[j * n + i] = a[k * n + i];
    a[k * n + i] = kept;
  }
}
