/**
 * Singular values of a column-major n x p matrix (n >= p or not), largest first, by one-sided Jacobi rotations: columns
 * are rotated in pairs until all are orthogonal; their lengths are then the singular values. The matrix is overwritten.
 * Small values come out with high relative accuracy when the columns are scaled alike.
 * Source: Hestenes 1958; Demmel and Veselic 1992 (from memory).
 */
export function singularValues(a: Float64Array, n: number, p: number): Float64Array {
  for (let sweep = 0; sweep < 60; sweep++) {
    let rotated = false;
    for (let j = 0; j < p - 1; j++)
      for (let k = j + 1; k < p; k++) if (orthogonalise(a, n, j, k)) rotated = true;
    if (!rotated) break;
  }
  const values = Float64Array.from({ length: p }, (_, j) => Math.sqrt(dot(a, n, j, j)));
  return values.sort().reverse();
}

function orthogonalise(a: Float64Array, n: number, j: number, k: number): boolean {
  const jj = dot(a, n, j, j);
  const kk = dot(a, n, k, k);
  const jk = dot(a, n, j, k);
  if (Math.abs(jk) <= 4 * Number.EPSILON * Math.sqrt(jj) * Math.sqrt(kk)) return false;
  const zeta = (kk - jj) / (2 * jk);
  const tangent = (zeta < 0 ? -1 : 1) / (Math.abs(zeta) + Math.hypot(1, zeta));
  const cosine = 1 / Math.hypot(1, tangent);
  const sine = cosine * tangent;
  for (let i = 0; i < n; i++) {
    const x = a[j * n + i];
    const y = a[k * n + i];
    a[j * n + i] = cosine * x - sine * y;
    a[k * n + i] = sine * x + cosine * y;
  }
  return true;
}

function dot(a: Float64Array, n: number, j: number, k: number): number {
  let sum = 0;
  for (let i = 0; i < n; i++) sum += a[j * n + i] * a[k * n + i];
  return sum;
}
