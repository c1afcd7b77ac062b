import { TautlineError } from '../errors.js';

/** Ten significant digits: more than any recording supports, few enough to read. */
export const tidy = (x: number): number => Number(x.toPrecision(10));

/**
 * Hands a document on when every number in it is finite. JSON has no NaN and no infinity and would turn them into null,
 * which a reader takes for a value. @throws TautlineError internal, naming the key
 */
export function plain<T>(document: T): T {
  requireFinite(document, '');
  return document;
}

function requireFinite(value: unknown, key: string): void {
  if (typeof value === 'number' && !Number.isFinite(value))
    throw new TautlineError(
      'internal',
      { key, value: String(value) },
      `the result holds ${String(value)} at ${key}, which no document can state`,
      'please report it with the file and the command that led to it',
    );
  if (typeof value !== 'object' || value === null) return;
  for (const [name, inner] of Object.entries(value))
    requireFinite(inner, key === '' ? name : `${key}.${name}`);
}
