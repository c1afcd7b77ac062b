import type { Product } from '../../engine/program/product.js';
import { type ProductDocument, productSchema } from '../../engine/project/product/productDocument.js';
import { toProduct } from '../../engine/project/product/toProduct.js';
import {
  type PlacedDocument,
  parsePlacedDocument,
  placedError,
  readPlacedDocument,
} from '../documents/yamlDocument.js';

export interface PlacedProduct {
  readonly document: ProductDocument;
  readonly product: Product;
  /** A place inside the document with file and line, for findings. */
  readonly placed: PlacedDocument['placed'];
}

/** Reads a product with its programs. @throws TautlineError with file, line, key, value and the next step */
export const readProduct = async (path: string): Promise<PlacedProduct> =>
  asProduct(await readPlacedDocument(path, productSchema));

/** As {@link readProduct}, for a text that is already in memory. `file` is its name in messages. */
export const parseProduct = (text: string, file: string): PlacedProduct =>
  asProduct(parsePlacedDocument(text, file, productSchema));

function asProduct({ data, placed }: PlacedDocument): PlacedProduct {
  const document = data as ProductDocument;
  try {
    return { document, product: toProduct(document), placed };
  } catch (error) {
    throw placedError(error, placed);
  }
}
