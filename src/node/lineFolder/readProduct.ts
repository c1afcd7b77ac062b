import type { Product } from '../../engine/program/product.js';
import { type ProductDocument, productSchema } from '../../engine/project/product/productDocument.js';
import { toProduct } from '../../engine/project/product/toProduct.js';
import { type PlacedDocument, placedError, readPlacedDocument } from '../documents/yamlDocument.js';

export interface PlacedProduct {
  readonly document: ProductDocument;
  readonly product: Product;
  /** A place inside the document with file and line, for findings. */
  readonly placed: PlacedDocument['placed'];
}

/** Reads a product with its programs. @throws TautlineError with file, line, key, value and the next step */
export async function readProduct(path: string): Promise<PlacedProduct> {
  const { data, placed } = await readPlacedDocument(path, productSchema);
  const document = data as ProductDocument;
  try {
    return { document, product: toProduct(document), placed };
  } catch (error) {
    throw placedError(error, placed);
  }
}
