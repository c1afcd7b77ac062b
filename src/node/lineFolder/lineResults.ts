import { readdir } from 'node:fs/promises';
import { join } from 'node:path';
import type { TautlineError } from '../../engine/errors.js';
import { isTautlineError } from '../../engine/errors.js';
import type { Finding } from '../../engine/findings.js';
import { checkLine, type LineCheck } from '../../engine/line/check/lineCheck.js';
import type { Line } from '../../engine/line/line.js';
import { tugBudget } from '../../engine/line/tug/tugBudget.js';
import type { TugBudget } from '../../engine/line/tug/types.js';
import type { Product } from '../../engine/program/product.js';
import { type ProgrammedLine, programmeLine } from '../../engine/program/programmeLine.js';
import { tugOptions } from '../../engine/program/tugOptions.js';
import type { UnitSystem } from '../../engine/units/quantity.js';
import type { PlacedDocument } from '../documents/yamlDocument.js';
import { confinePath } from '../files/confinePath.js';
import { fileError } from '../files/fileError.js';
import { readProduct } from './readProduct.js';

/** A product with its programs on the line, findings placed in their files. */
export interface ProductResult {
  /** Path from the line folder. */
  readonly file: string;
  readonly product: Product;
  readonly programmed: ProgrammedLine;
}

/** What follows from the line as described and measured: its check, and the programs of its products. */
export interface LineResults {
  readonly line: Line;
  readonly check: LineCheck;
  /** For the web of the first product, when there is one; undefined while the line states no speed. */
  readonly tug?: TugBudget;
  readonly products: readonly ProductResult[];
  readonly unreadable: readonly { readonly file: string; readonly error: TautlineError }[];
}

/** Rows of a program in the report. */
const rowsInReport = 50;

/** Checks the line and runs the programs of every product in products/. A product that cannot be read is listed and left out. */
export async function lineResults(
  folder: string,
  line: Line,
  placed: PlacedDocument['placed'],
  units: UnitSystem,
): Promise<LineResults> {
  const check = checkLine(line, units);
  const products: ProductResult[] = [];
  const unreadable: { file: string; error: TautlineError }[] = [];
  for (const file of await yamlFilesIn(folder, 'products')) {
    try {
      const stated = await readProduct(await confinePath(folder, file));
      const programmed = programmeLine(line, stated.product, rowsInReport, units);
      products.push({
        file,
        product: stated.product,
        programmed: {
          ...programmed,
          productFindings: programmed.productFindings.map((f) => ({ ...f, where: stated.placed(f.where) })),
          lineFindings: programmed.lineFindings.map((f) => ({ ...f, where: placed(f.where) })),
        },
      });
    } catch (error) {
      if (!isTautlineError(error)) throw error;
      unreadable.push({ file, error });
    }
  }
  const [first] = products;
  const tug = tugBudget(line, { ...(first && tugOptions(first.product)), units });
  const inPlace = (findings: readonly Finding[]): Finding[] =>
    findings.map((f) => ({ ...f, where: placed(f.where) }));
  return {
    line,
    check: { ...check, findings: inPlace(check.findings) },
    ...(tug && { tug: { ...tug, findings: inPlace(tug.findings) } }),
    products,
    unreadable,
  };
}

/** The documents of a place, as paths from the line folder; none where the place is not there. */
export async function yamlFilesIn(folder: string, place: string): Promise<string[]> {
  const inside = await confinePath(folder, place);
  try {
    return (await readdir(inside))
      .filter((name) => /\.ya?ml$/i.test(name))
      .sort()
      .map((name) => join(place, name));
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
    throw fileError(error, inside);
  }
}
