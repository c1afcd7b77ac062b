import { TautlineError } from '../errors.js';
import { type QuantityKey, quantity } from '../units/quantity.js';
import type { JsonSchema } from './jsonSchema.js';

/**
 * A key of a document ends in the unit of its value: `diameter_m`. A person may state the same value in any other unit of that
 * quantity, with the suffix that says so: `diameter_mm`, `diameter_in`. Here such keys are restated in SI before a document is
 * checked, so that schema and engine know one spelling only.
 */
export interface Restated {
  /** The document with every quantity in SI. */
  readonly data: unknown;
  /** The pointer as the person wrote it, for a pointer into `data`. */
  readonly original: (pointer: readonly string[]) => string[];
}

/**
 * Restates keys with another unit in the SI unit of the schema. Keys that no property explains stay as they are; the schema
 * check refuses them. @throws TautlineError document_schema when one quantity is stated twice
 */
export function restateUnits(data: unknown, schema: JsonSchema): Restated {
  const renamed = new Map<string, string>();
  const restated = restateValue(data, schema, [], renamed);
  return {
    data: restated,
    original: (pointer) =>
      pointer.map((key, k) => renamed.get(pointerText([...pointer.slice(0, k), key])) ?? key),
  };
}

const pointerText = (pointer: readonly string[]): string => pointer.join('\u0000');

function restateValue(
  value: unknown,
  schema: JsonSchema | undefined,
  pointer: readonly string[],
  renamed: Map<string, string>,
): unknown {
  const shape = branchFor(schema, value);
  if (Array.isArray(value))
    return value.map((v, k) => restateValue(v, shape?.items, [...pointer, String(k)], renamed));
  if (typeof value !== 'object' || value === null) return value;
  const properties = shape?.properties ?? {};
  const out: Record<string, unknown> = {};
  for (const [key, inner] of Object.entries(value)) {
    const found = Object.hasOwn(properties, key) ? undefined : otherUnit(key, properties);
    const name = found?.key ?? key;
    if (Object.hasOwn(out, name) || (found !== undefined && Object.hasOwn(value, name)))
      throw new TautlineError(
        'document_schema',
        { pointer: [...pointer, key].join('.'), key },
        `${[...pointer, key].join('.')} states the same quantity as another key of the same place`,
        `keep one of the two: ${name} or ${key}`,
      );
    const here = [...pointer, name];
    if (found !== undefined) renamed.set(pointerText(here), key);
    Object.defineProperty(out, name, {
      value: restateValue(
        found === undefined ? inner : scaled(inner, found.factor),
        properties[name],
        here,
        renamed,
      ),
      enumerable: true,
      configurable: true,
      writable: true,
    });
  }
  return out;
}

/** The part of `anyOf` that this value could be: the object one for an object, the array one for an array. */
export function branchFor(schema: JsonSchema | undefined, value: unknown): JsonSchema | undefined {
  if (schema?.anyOf === undefined) return schema;
  const type = Array.isArray(value) ? 'array' : typeof value;
  return schema.anyOf.find((s) => s.type === type) ?? schema;
}

function otherUnit(
  key: string,
  properties: Readonly<Record<string, JsonSchema>>,
): { key: string; factor: number } | undefined {
  for (const [known, property] of Object.entries(properties)) {
    const of = property['x-quantity'];
    if (of === undefined) continue;
    const stem = stemOf(known, of);
    if (!key.startsWith(stem)) continue;
    const own = quantity(of).units.find((u) => known === stem + u.id) as { factor: number };
    const unit = quantity(of).units.find((u) => key === stem + u.id);
    if (unit !== undefined) return { key: known, factor: unit.factor / own.factor };
  }
  return undefined;
}

/** The part of a key before its unit: `diameter_` of `diameter_m`. */
function stemOf(key: string, of: QuantityKey): string {
  const ids = quantity(of)
    .units.map((u) => u.id)
    .sort((a, b) => b.length - a.length);
  const id = ids.find((i) => key.endsWith(`_${i}`));
  return id === undefined ? key : key.slice(0, -id.length);
}

/** Keys that state the same value in other units, for messages: `diameter_mm, diameter_in`. */
export function keysInOtherUnits(key: string, property: JsonSchema | undefined): string[] {
  const of = property?.['x-quantity'];
  if (of === undefined) return [];
  const stem = stemOf(key, of);
  return quantity(of)
    .units.map((u) => stem + u.id)
    .filter((k) => k !== key);
}

/** Numbers and lists of numbers are scaled; anything else is left for the schema to refuse. */
function scaled(value: unknown, factor: number): unknown {
  if (typeof value === 'number') return value * factor;
  return Array.isArray(value) ? value.map((v) => scaled(v, factor)) : value;
}
