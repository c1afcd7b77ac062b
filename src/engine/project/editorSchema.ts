import type { JsonSchema } from './jsonSchema.js';
import { keysInOtherUnits } from './unitKeys.js';

/**
 * A schema as an editor needs it: every key also in its other units, which the program restates before it checks. A required quantity is
 * then not required under one name, so the program alone says that it is missing. Our own annotations are left out.
 */
export function editorSchema(schema: JsonSchema): JsonSchema {
  const { 'x-quantity': _quantity, properties, required, items, anyOf, ...rest } = schema;
  const needed = required?.filter((key) => properties?.[key]?.['x-quantity'] === undefined);
  return {
    ...rest,
    ...(needed !== undefined && needed.length > 0 && { required: needed }),
    ...(properties && { properties: withOtherUnits(properties) }),
    ...(items && { items: editorSchema(items) }),
    ...(anyOf && { anyOf: anyOf.map(editorSchema) }),
  };
}

function withOtherUnits(properties: Readonly<Record<string, JsonSchema>>): Record<string, JsonSchema> {
  const out: Record<string, JsonSchema> = {};
  for (const [key, property] of Object.entries(properties)) {
    out[key] = editorSchema(property);
    // The same limits hold in every unit, since they are all at zero; a percentage keeps its own.
    for (const other of keysInOtherUnits(key, property)) out[other] = editorSchema(property);
  }
  return out;
}
