import { isTautlineError } from '../../engine/errors.js';
import type { JsonSchema } from '../../engine/project/jsonSchema.js';
import { type LineDocument, lineSchema } from '../../engine/project/line/lineDocument.js';
import { type ProductDocument, productSchema } from '../../engine/project/product/productDocument.js';
import { type RollDocument, rollSchema } from '../../engine/project/roll/rollDocument.js';
import { restateUnits } from '../../engine/project/unitKeys.js';
import type { Problem } from '../api/types.js';
import { dataOf } from '../yaml/patch.js';

export type Read<T> = { readonly document: T } | { readonly problem: Problem };

/**
 * A document of a text that the server found valid, or that was made from such a text by edits of this page. It is not checked against its schema
 * here: the server does that when it is saved.
 */
function read<T>(text: string, schema: JsonSchema, looksRight: (data: object) => boolean): Read<T> {
  try {
    const { data } = restateUnits(dataOf(text), schema);
    if (typeof data === 'object' && data !== null && looksRight(data)) return { document: data as T };
    return { problem: unreadable('it is not the document that it should be') };
  } catch (error) {
    return { problem: asProblem(error) };
  }
}

export const asProblem = (error: unknown): Problem =>
  isTautlineError(error)
    ? { code: error.code, message: error.message, where: error.where, next: error.next }
    : unreadable(error instanceof Error ? error.message : String(error));

const unreadable = (message: string): Problem => ({
  code: 'document_syntax',
  message,
  where: {},
  next: 'undo, or correct the file in a text editor; it shows here as soon as it is saved',
});

export const readLineText = (text: string): Read<LineDocument> =>
  read(text, lineSchema, (data) => Array.isArray((data as Partial<LineDocument>).sections));

export const readRollText = (text: string): Read<RollDocument> =>
  read(text, rollSchema, (data) => typeof (data as Partial<RollDocument>).wind === 'object');

export const readProductText = (text: string): Read<ProductDocument> =>
  read(text, productSchema, (data) => typeof (data as Partial<ProductDocument>).web === 'object');
