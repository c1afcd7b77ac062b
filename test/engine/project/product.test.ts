import { describe, expect, it } from 'vitest';
import { isTautlineError, type TautlineError } from '../../../src/engine/errors.js';
import type { ScheduleDocument } from '../../../src/engine/project/product/productDocument.js';
import { productSchema } from '../../../src/engine/project/product/productDocument.js';
import { toProduct } from '../../../src/engine/project/product/toProduct.js';
import { parsePlacedDocument, placedError } from '../../../src/node/documents/yamlDocument.js';

const head = `schema: tautline/product@1
web: { width_in: 60, caliper_mil: 2, density_lb_per_ft3: 50 }
winder:
  core_diameter_in: 4
  full_diameter_in: 40
`;
function read(text: string) {
  const { data, placed } = parsePlacedDocument(head + text, 'product.yaml', productSchema);
  try {
    return toProduct(data as Parameters<typeof toProduct>[0]);
  } catch (error) {
    throw placedError(error, placed);
  }
}
function refusal(text: string): TautlineError {
  try {
    read(text);
  } catch (error) {
    if (isTautlineError(error)) return error;
    throw error;
  }
  throw new Error('accepted');
}

describe('product document', () => {
  it('becomes SI and radii from US units', () => {
    const product = read('  tension: { law: linear, start_pli: 2, end_pli: 1 }\n');
    expect(product.web).toMatchObject({
      width: expect.closeTo(1.524, 12),
      caliper: expect.closeTo(50.8e-6, 15),
    });
    expect(product.winder).toMatchObject({
      coreRadius: expect.closeTo(0.0508, 12),
      fullRadius: expect.closeTo(0.508, 12),
    });
    const pli = 4.4482216152605 / 0.0254;
    expect(product.winder?.tension.law).toMatchObject({
      law: 'linear',
      start: expect.closeTo(2 * pli, 9),
      end: expect.closeTo(pli, 9),
    });
  });

  it.each([
    ['a taper below zero', 'tension: { law: linear, start_pli: 2, taper: 1.2 }', 'document_value', 6],
    ['a negative start', 'tension: { law: constant, start_pli: -2 }', 'document_value', 6],
    [
      'taper and end together',
      'tension: { law: linear, start_pli: 2, taper: 0.2, end_pli: 1 }',
      'document_value',
      6,
    ],
    ['neither taper nor end', 'tension: { law: hyperbolic, start_pli: 2 }', 'document_value', 6],
    [
      'a taper at a constant law',
      'tension: { law: constant, start_pli: 2, taper: 0.1 }',
      'document_value',
      6,
    ],
    [
      'a table whose lists differ',
      'tension: { law: table, diameters_in: [4, 40], values_pli: [1] }',
      'document_value',
      6,
    ],
    [
      'a table that runs backwards',
      'tension: { law: table, diameters_in: [40, 4], values_pli: [1, 2] }',
      'document_value',
      6,
    ],
    ['a law of another name', 'tension: { law: parabolic, start_pli: 2 }', 'document_schema', 6],
    [
      'a key of another name',
      'tension: { law: linear, start_pli: 2, tapper: 0.2 }',
      'document_unknown_key',
      6,
    ],
    [
      'a hard start deeper than the roll',
      'tension: { law: constant, start_pli: 2, hard_start: { boost: 0.1, depth_in: 60 } }',
      'document_value',
      6,
    ],
    [
      'a stall share without a speed',
      'tension: { law: constant, start_pli: 2 }\n  setpoint: { stall: 0.5 }',
      'document_value',
      7,
    ],
  ])('refuses %s at its line', (_name, text, code, line) => {
    const error = refusal(`  ${text}\n`);
    expect(error.code).toBe(code);
    expect(error.where).toMatchObject({ file: 'product.yaml', line });
    expect(error.next.length).toBeGreaterThan(5);
  });

  it('refuses a core that is larger than the roll', () => {
    const text = head.replace('core_diameter_in: 4', 'core_diameter_in: 44');
    const { data, placed } = parsePlacedDocument(
      `${text}  tension: { law: constant, start_pli: 2 }\n`,
      'product.yaml',
      productSchema,
    );
    const error = (() => {
      try {
        toProduct(data as Parameters<typeof toProduct>[0]);
      } catch (e) {
        return placedError(e, placed) as TautlineError;
      }
      throw new Error('accepted');
    })();
    expect(error).toMatchObject({
      code: 'document_value',
      where: { line: 4, key: 'winder.core_diameter_in' },
    });
  });

  it('keeps every law that a schedule knows', () => {
    const laws: ScheduleDocument['law'][] = ['constant', 'linear', 'hyperbolic', 'blend', 'table'];
    for (const law of laws)
      expect(productSchema.properties?.winder.properties?.tension.properties?.law.enum).toContain(law);
  });
});
