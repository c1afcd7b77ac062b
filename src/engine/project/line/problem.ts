import { type ErrorCode, TautlineError } from '../../errors.js';

/**
 * An error of a line document at its place; whoever read the file turns the pointer into a line number. `value` is what stands there.
 */
export const lineProblem = (
  code: ErrorCode,
  pointer: string,
  value: string | number,
  message: string,
  next: string,
): TautlineError => new TautlineError(code, { pointer, value }, message, next);
