import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { isTautlineError } from '../../../src/engine/errors.js';
import { numbers, object, positive } from '../../../src/engine/project/properties.js';
import { keysInOtherUnits, restateUnits } from '../../../src/engine/project/unitKeys.js';
import { quantities } from '../../../src/engine/units/quantity.js';

const schema = object('a roller', {
  diameter_m: positive('length', 'diameter'),
  centre_m: numbers('length', 'centre'),
  limit_percent: positive('ratio', 'limit'),
  name: { type: 'string' },
  drum: {
    anyOf: [{ type: 'string' }, object('drum', { tension_N_per_m: positive('tensionPerWidth', 'tension') })],
  },
  list: { type: 'array', items: object('one', { inertia_kgm2: positive('inertia', 'inertia') }) },
});

describe('units in the keys', () => {
  it('restates inches, pounds per inch and the rest in SI, in lists and alternatives too', () => {
    const { data, original } = restateUnits(
      {
        diameter_in: 12,
        centre_ft: [0, 4],
        name: 'a',
        drum: { tension_pli: 2 },
        list: [{ inertia_lbft2: 1 }, { inertia_kgm2: 3 }],
      },
      schema,
    );
    // 12 in, 4 ft exact by definition (international inch and foot); 1 pli = 175.126835 N/m (4.4482216152605 N / 0.0254 m)
    expect(data).toEqual({
      diameter_m: expect.closeTo(0.3048, 15),
      centre_m: [0, expect.closeTo(1.2192, 15)],
      name: 'a',
      drum: { tension_N_per_m: expect.closeTo((2 * 4.4482216152605) / 0.0254, 9) },
      // 1 lb·ft² = 0.45359237 kg · 0.3048² m²
      list: [{ inertia_kgm2: expect.closeTo(0.45359237 * 0.3048 ** 2, 15) }, { inertia_kgm2: 3 }],
    });
    expect(original(['list', '0', 'inertia_kgm2'])).toEqual(['list', '0', 'inertia_lbft2']);
    expect(original(['list', '1', 'inertia_kgm2'])).toEqual(['list', '1', 'inertia_kgm2']);
    expect(original(['drum', 'tension_N_per_m'])).toEqual(['drum', 'tension_pli']);
  });

  it('keeps what it does not know, and SI bit for bit', () => {
    const document = { diameter_m: 0.1 + 0.2, diametre_m: 1, limit_percent: 150, drum: 'front', other: null };
    expect(restateUnits(document, schema).data).toEqual(document);
  });

  it('leaves values that are no numbers for the schema to refuse', () => {
    expect(restateUnits({ diameter_in: 'twelve' }, schema).data).toEqual({ diameter_m: 'twelve' });
  });

  it('refuses one quantity stated twice', () => {
    for (const document of [
      { diameter_m: 1, diameter_in: 40 },
      { diameter_in: 40, diameter_m: 1 },
      { diameter_mm: 1000, diameter_in: 40 },
    ])
      expect(() => restateUnits(document, schema)).toThrow(
        expect.toSatisfy(
          (e) => isTautlineError(e) && e.code === 'document_schema' && /diameter/.test(e.next),
        ),
      );
  });

  it('converts every unit of a quantity as the table says', () => {
    for (const unit of quantities.length.units)
      expect(restateUnits({ [`diameter_${unit.id}`]: 3 }, schema).data).toEqual({
        diameter_m: expect.closeTo(3 * unit.factor, 14),
      });
    expect(keysInOtherUnits('diameter_m', schema.properties?.diameter_m)).toEqual([
      'diameter_mm',
      'diameter_cm',
      'diameter_in',
      'diameter_ft',
    ]);
  });

  it('survives any document, keys of the language’s own objects among them', () => {
    fc.assert(
      fc.property(fc.jsonValue(), (value) => {
        restateUnits(value, schema);
      }),
    );
    const hostile = JSON.parse(
      '{"__proto__": {"diameter_in": 1}, "constructor": 1, "diameter_in": 2}',
    ) as unknown;
    expect(restateUnits(hostile, schema).data).toHaveProperty('diameter_m', expect.closeTo(0.0508, 12));
    expect(({} as Record<string, unknown>).diameter_in).toBeUndefined();
  });
});
