import { TautlineError } from '../errors.js';
import type { Random } from './random.js';

/**
 * Row indices of one moving-block bootstrap sample: blocks of `blockLength` neighbouring rows, starts drawn evenly, laid
 * end to end and cut at n. Keeps correlation shorter than a block; choose blocks longer than the residuals' correlation.
 * Source: Künsch, Annals of Statistics 17(3), 1989 (from memory). @throws TautlineError argument_invalid
 */
export function movingBlockIndices(n: number, blockLength: number, random: Random): Int32Array {
  if (!(Number.isInteger(blockLength) && blockLength >= 1 && blockLength <= n))
    throw new TautlineError(
      'argument_invalid',
      { n, blockLength },
      `blocks of ${blockLength} rows cannot be drawn from ${n}`,
      'use a whole block length between 1 and the number of rows',
    );
  const indices = new Int32Array(n);
  for (let filled = 0; filled < n; filled += blockLength) {
    const start = random.integer(n - blockLength + 1);
    for (let i = 0; i < blockLength && filled + i < n; i++) indices[filled + i] = start + i;
  }
  return indices;
}
