import type { QuantityKey } from '../units/quantity.js';

/** The part of JSON Schema (2020-12) that the documents use; plain data, so that editors and other tools can read it. */
export interface JsonSchema {
  readonly $schema?: string;
  readonly title?: string;
  readonly description?: string;
  readonly type?: 'object' | 'array' | 'string' | 'number' | 'integer' | 'boolean';
  readonly properties?: Readonly<Record<string, JsonSchema>>;
  readonly required?: readonly string[];
  readonly additionalProperties?: boolean | JsonSchema;
  readonly items?: JsonSchema;
  readonly enum?: readonly (string | number)[];
  readonly const?: string | number;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly exclusiveMinimum?: number;
  readonly minLength?: number;
  readonly minItems?: number;
  readonly maxItems?: number;
  readonly anyOf?: readonly JsonSchema[];
  /** Annotation of ours: the quantity of a number whose key ends in its SI unit (unitKeys.ts). */
  readonly 'x-quantity'?: QuantityKey;
}
