import { describe, expect, test } from 'vitest';
import { isTautlineError } from '../../../src/engine/errors.js';
import { type Shell, type ShellMaterial, shellDensities, shellOf } from '../../../src/engine/line/shell.js';
import { fromSI, toSI } from '../../../src/engine/units/convert.js';

const tube: Shell = { outerRadius: 0.1, innerRadius: 0.09, length: 1.5, material: 'aluminium' };

describe('tubes, computed independently of this code and printed to seven digits', () => {
  test('aluminium 100/90 mm x 1.5 m: 0.0136737 kg·m²', () => {
    const { inertia } = shellOf({
      outerRadius: 0.05,
      innerRadius: 0.045,
      length: 1.5,
      material: 'aluminium',
    });
    expect(inertia).toBeCloseTo(0.0136737, 7);
  });

  test('steel 150/130 mm x 2 m: 0.3400821 kg·m²', () => {
    const { inertia } = shellOf({ outerRadius: 0.075, innerRadius: 0.065, length: 2, material: 'steel' });
    expect(inertia).toBeCloseTo(0.3400821, 7);
  });

  test('in US units, by the table of solid cylinders: 8 in less 6 in of bore, 40 in long', () => {
    // WK² per inch 0.791123 and 0.250316 lb·ft²/in, computed independently of this code with 0.2833 lb/in³
    const { inertia } = shellOf({
      outerRadius: toSI(4, 'length', 'in'),
      innerRadius: toSI(3, 'length', 'in'),
      length: toSI(40, 'length', 'in'),
      density: toSI(0.2833, 'density', 'lb_per_in3'),
    });
    expect(fromSI(inertia, 'inertia', 'lbft2')).toBeCloseTo(40 * (0.791123 - 0.250316), 4);
  });
});

describe('ends', () => {
  test('4 kg of end plates add ½·4·0.09² = 0.0162 kg·m² inside a tube', () => {
    const bare = shellOf(tube);
    const closed = shellOf({ ...tube, endsMass: 4 });
    expect(closed.mass - bare.mass).toBeCloseTo(4, 12);
    expect(closed.inertia - bare.inertia).toBeCloseTo(0.0162, 12);
    expect(shellOf({ ...tube, endsMass: 0 })).toEqual(bare);
  });

  test('on a solid roller they have its outer radius: as if the roller were that much longer', () => {
    const solid: Shell = { outerRadius: 0.1, innerRadius: 0, length: 1.5, material: 'steel' };
    const longer = shellOf({ ...solid, length: 1.6 });
    const extra = longer.mass - shellOf(solid).mass;
    expect(shellOf({ ...solid, endsMass: extra }).inertia).toBeCloseTo(longer.inertia, 12);
  });

  test('plates cut from the same material that fill a tube make it a solid roller', () => {
    const filling = shellOf({ ...tube, outerRadius: 0.09, innerRadius: 0 });
    const solid = shellOf({ ...tube, innerRadius: 0 });
    const filled = shellOf({ ...tube, endsMass: filling.mass });
    expect(filled.mass).toBeCloseTo(solid.mass, 10);
    expect(filled.inertia).toBeCloseTo(solid.inertia, 12);
  });
});

test('limits: a solid roller has ½·m·R², a thin tube m·R²', () => {
  const ratio = (innerRadius: number): number => {
    const { mass, inertia } = shellOf({ ...tube, innerRadius });
    return inertia / (mass * 0.1 ** 2);
  };
  expect(ratio(0)).toBeCloseTo(0.5, 12);
  expect(ratio(0.09)).toBeCloseTo(0.5 * (1 + 0.9 ** 2), 12);
  // the wall of 1e-5·R takes 1e-5 off
  expect(ratio(0.1 * (1 - 1e-5))).toBeCloseTo(1 - 1e-5, 8);
});

test.each(Object.keys(shellDensities) as ShellMaterial[])(
  '%s weighs as its stated density does',
  (material) => {
    const { material: _, ...bare } = tube;
    expect(shellOf({ ...bare, material })).toEqual(shellOf({ ...bare, density: shellDensities[material] }));
  },
);

test('steel is 0.2836 lb/in³ as US handbooks print it, and aluminium 34 % of it', () => {
  expect(fromSI(shellDensities.steel, 'density', 'lb_per_in3')).toBeCloseTo(0.2836, 4);
  expect(shellDensities.aluminium / shellDensities.steel).toBeCloseTo(0.34, 2); // handbooks, from memory
});

test('a stated density counts before the material', () => {
  expect(shellOf({ ...tube, density: 2810 }).mass / shellOf(tube).mass).toBeCloseTo(2810 / 2700, 12);
});

test.each<[string, Partial<Shell>, RegExp]>([
  ['no density and no material', { material: undefined }, /density of the shell is not stated/],
  ['a density of 0', { density: 0 }, /density 0/],
  ['a density that is no number', { density: Number.NaN }, /density NaN/],
  ['a bore beyond the outside', { innerRadius: 0.11 }, /inner radius 0.11/],
  ['a bore below 0', { innerRadius: -0.01 }, /inner radius -0.01/],
  ['a length below 0', { length: -1 }, /length -1/],
  ['ends below 0', { endsMass: -1 }, /mass of -1 kg/],
  ['ends that are no number', { endsMass: Number.NaN }, /mass of NaN kg/],
])('%s is refused', (_name, change, message) => {
  let error: unknown;
  try {
    shellOf({ ...tube, ...change });
  } catch (e) {
    error = e;
  }
  expect(isTautlineError(error) && error.code).toBe('argument_invalid');
  expect((error as Error).message).toMatch(message);
});

test('the message for an unknown density names the known materials', () => {
  const { material: _, ...bare } = tube;
  expect(() => shellOf(bare)).toThrow(
    expect.objectContaining({ next: expect.stringContaining('carbon-composite') }),
  );
});
