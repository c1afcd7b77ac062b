import { TautlineError } from '../errors.js';
import type { Finding } from '../findings.js';
import type { Line, Section, Unwind, Winder } from '../line/line.js';
import type { UnitSystem } from '../units/quantity.js';
import { drumWrap } from './drumWrap.js';
import type { Product } from './product.js';
import { type RollProgramResult, rollProgram } from './rollProgram.js';

/** The programs of a line for one product. */
export interface LineProgram {
  readonly winder?: { readonly section: Winder; readonly result: RollProgramResult };
  readonly unwind?: { readonly section: Unwind; readonly result: RollProgramResult };
  /** Their `where.pointer` points into the product. */
  readonly findings: readonly Finding[];
}

/**
 * The programs that a product states for the winder and the unwind of a line, `count` rows each [1]; those that the line has no section for are
 * refused. With several winders or unwinds the last winder and the first unwind are meant.
 * @throws TautlineError document_value when the product states no program at all. Source: docs/models/schedules.md.
 */
export function lineProgram(
  line: Line,
  product: Product,
  count: number,
  units: UnitSystem = 'si',
): LineProgram {
  if (product.winder === undefined && product.unwind === undefined)
    throw new TautlineError(
      'document_value',
      { pointer: '' },
      `the product "${product.name}" states neither winder nor unwind, so there is no program`,
      'state winder: or unwind: with diameters and a tension schedule',
    );
  const findings: Finding[] = [];
  const winder = line.sections.findLast((s): s is Winder => s.kind === 'winder');
  const unwind = line.sections.find((s): s is Unwind => s.kind === 'unwind');
  if (product.winder !== undefined && winder === undefined) findings.push(sectionMissing('winder'));
  if (product.unwind !== undefined && unwind === undefined) findings.push(sectionMissing('unwind'));
  const input = { web: product.web, limits: product.limits, count, units };
  const wound =
    product.winder && winder
      ? {
          section: winder,
          result: rollProgram({
            ...input,
            role: 'winder',
            program: product.winder,
            winder,
            drumWrap: drumWrap(line, winder),
          }),
        }
      : undefined;
  const unwound =
    product.unwind && unwind
      ? { section: unwind, result: rollProgram({ ...input, role: 'unwind', program: product.unwind }) }
      : undefined;
  return {
    ...(wound && { winder: wound }),
    ...(unwound && { unwind: unwound }),
    findings: [...findings, ...(wound?.result.findings ?? []), ...(unwound?.result.findings ?? [])],
  };
}

const sectionMissing = (kind: Section['kind']): Finding => ({
  code: 'section_missing',
  severity: 'refuse',
  message: `the product states a program for ${kind === 'unwind' ? 'an unwind' : 'a winder'}, and the line has none`,
  where: { pointer: kind },
  next: `add a section of kind ${kind} to the line, or take ${kind}: out of the product`,
});
