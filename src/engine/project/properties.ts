import type { QuantityKey } from '../units/quantity.js';
import type { JsonSchema } from './jsonSchema.js';

/** A number above 0 in a document; with its quantity, any other unit may be written in the key (unitKeys.ts). */
export const positive = (quantity: QuantityKey | undefined, description: string): JsonSchema => ({
  ...number(quantity, description),
  exclusiveMinimum: 0,
});

/** A number of at least 0. */
export const notNegative = (quantity: QuantityKey | undefined, description: string): JsonSchema => ({
  ...number(quantity, description),
  minimum: 0,
});

/** Any finite number. */
export const number = (quantity: QuantityKey | undefined, description: string): JsonSchema => ({
  type: 'number',
  description,
  ...(quantity === undefined ? {} : { 'x-quantity': quantity }),
});

/** A list of numbers of one quantity. */
export const numbers = (
  quantity: QuantityKey | undefined,
  description: string,
  items: JsonSchema = { type: 'number' },
): JsonSchema => ({
  type: 'array',
  items,
  description,
  ...(quantity === undefined ? {} : { 'x-quantity': quantity }),
});

/** A text that is not empty. */
export const words = (description: string): JsonSchema => ({ type: 'string', minLength: 1, description });

/** An object that has these keys and no others. */
export const object = (
  description: string,
  properties: Readonly<Record<string, JsonSchema>>,
  required: readonly string[] = [],
): JsonSchema => ({
  type: 'object',
  additionalProperties: false,
  required,
  properties,
  description,
});
