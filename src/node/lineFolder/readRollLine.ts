import { stat } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { TautlineError } from '../../engine/errors.js';
import type { Line } from '../../engine/line/line.js';
import type { Product } from '../../engine/program/product.js';
import { readLine } from './readLine.js';
import { readProduct } from './readProduct.js';

/** The line and the product that a roll belongs to, with their files as a person names them. */
export interface RollLine {
  readonly line: Line;
  readonly lineFile: string;
  readonly product?: Product;
  readonly productFile?: string;
}

/** Files that a person names; found beside the roll when left out. */
export interface RollLineFiles {
  readonly line?: string;
  readonly product?: string;
}

/**
 * The line of a roll: the one that is named, else line.yaml of the folder in whose rolls/ the roll lies; and the product: the one that is named, else the file of the same name in that line's products/. Undefined where there is no line.
 * @throws TautlineError for a file that cannot be read, and usage for a product without a line
 */
export async function readRollLine(
  rollPath: string,
  named: RollLineFiles = {},
): Promise<RollLine | undefined> {
  const folder = dirname(rollPath);
  const lineFile =
    named.line ??
    (basename(folder) === 'rolls' ? await existing(join(folder, '..', 'line.yaml')) : undefined);
  if (lineFile === undefined) {
    if (named.product === undefined) return undefined;
    throw new TautlineError(
      'usage',
      { value: named.product },
      'a product was named, and the roll lies beside no line that it could be made on',
      'name the line as well (--line), or leave the product out',
    );
  }
  const { line } = await readLine(lineFile);
  const productFile =
    named.product ?? (await existing(join(dirname(lineFile), 'products', basename(rollPath))));
  if (productFile === undefined) return { line, lineFile };
  return { line, lineFile, product: (await readProduct(productFile)).product, productFile };
}

async function existing(path: string): Promise<string | undefined> {
  const found = await stat(path).catch(() => undefined);
  return found?.isFile() === true ? path : undefined;
}
