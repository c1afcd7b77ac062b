import { TautlineError } from '../errors.js';

/**
 * Solve a tridiagonal system by the Thomas algorithm, of order n. `lower[i]` multiplies x[i-1] in row i (lower[0] unused),
 * `upper[i]` multiplies x[i+1] (the last one unused). Meant for diagonally dominant rows, where it needs no pivoting.
 * @throws TautlineError argument_invalid when a pivot vanishes against its row (singular, or in need of pivoting) and for
 * lengths that differ. Source: any numerical analysis text.
 */
export function solveTridiagonal(
  lower: Float64Array,
  diagonal: Float64Array,
  upper: Float64Array,
  right: Float64Array,
): Float64Array {
  const n = diagonal.length;
  if (lower.length !== n || upper.length !== n || right.length !== n)
    throw new TautlineError(
      'argument_invalid',
      { lower: lower.length, diagonal: n, upper: upper.length, right: right.length },
      'the bands and the right-hand side differ in length',
      'pad the bands to the length of the diagonal',
    );
  const x = right.slice();
  const ratio = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const below = i > 0 ? lower[i] : 0;
    const above = i < n - 1 ? upper[i] : 0;
    const pivot = diagonal[i] - (i > 0 ? below * ratio[i - 1] : 0);
    const size = Math.abs(below) + Math.abs(diagonal[i]) + Math.abs(above);
    if (!(Math.abs(pivot) > 1e-14 * size))
      throw new TautlineError(
        'argument_invalid',
        { row: i, pivot },
        `pivot ${pivot} in row ${i} vanishes: the system is singular or not diagonally dominant`,
        'check the equations of that row',
      );
    ratio[i] = above / pivot;
    x[i] = (x[i] - (i > 0 ? below * x[i - 1] : 0)) / pivot;
  }
  for (let i = n - 2; i >= 0; i--) x[i] -= ratio[i] * x[i + 1];
  return x;
}
