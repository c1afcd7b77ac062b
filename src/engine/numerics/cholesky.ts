/**
 * Lower factor L of a symmetric positive definite matrix, A = L·Lᵀ, both n × n row-major; only the lower half of A is read. undefined where A is not
 * positive definite. Source: Cholesky's method, from memory.
 */
export function choleskyFactor(matrix: ArrayLike<number>, n: number): Float64Array | undefined {
  const factor = new Float64Array(n * n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j <= i; j++) {
      let rest = matrix[i * n + j] as number;
      for (let k = 0; k < j; k++) rest -= (factor[i * n + k] as number) * (factor[j * n + k] as number);
      if (i > j) factor[i * n + j] = rest / (factor[j * n + j] as number);
      else if (rest > 0) factor[i * n + i] = Math.sqrt(rest);
      else return undefined;
    }
  return factor;
}
