import type { LineDocument } from '../../../engine/project/line/lineDocument.js';
import type { Path } from '../../yaml/patch.js';

/** A line document with the centre at a place changed [m]: what a drag shows before it is written. */
export function withCentre(
  document: LineDocument,
  path: Path,
  centre: readonly [number, number],
): LineDocument {
  return put(document, [...path, 'centre_m'], centre) as LineDocument;
}

function put(value: unknown, [key, ...rest]: Path, inner: unknown): unknown {
  if (key === undefined) return inner;
  if (Array.isArray(value)) return value.map((v, k) => (k === key ? put(v, rest, inner) : v));
  const map = value as Record<string | number, unknown>;
  return { ...map, [key]: put(map[key], rest, inner) };
}
