import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { isTautlineError } from '../../../src/engine/errors.js';
import { fromSI, toSI } from '../../../src/engine/units/convert.js';
import { type QuantityKey, quantity, quantityKeys } from '../../../src/engine/units/quantity.js';

const within = (got: number, want: number, relative: number): void =>
  expect(Math.abs(got / want - 1), `${got} against ${want}`).toBeLessThan(relative);

// The digits are those that the source prints; NIST SP 811 appendix B (from memory) for the factors, exact where it prints bold.
describe('factors against printed values', () => {
  const exact = 1e-15;
  test.each([
    ['tension', 'lbf', 4.4482216152605, exact], // exact: 0.45359237 kg x 9.80665 m/s²
    ['tension', 'kgf', 9.80665, exact],
    ['length', 'in', 0.0254, exact],
    ['length', 'ft', 0.3048, exact],
    ['caliper', 'mil', 2.54e-5, exact],
    ['mass', 'lb', 0.45359237, exact],
    ['mass', 'oz', 0.028349523125, exact],
    ['speed', 'fpm', 0.00508, exact],
    ['torque', 'lbft', 1.3558179483314, exact],
    ['torque', 'lbin', 0.1129848290276167, exact],
    ['torque', 'ozin', 7.061552e-3, 1e-7],
    ['power', 'hp', 745.6998715822702, exact], // 550 ft·lbf/s
    ['power', 'PS', 735.49875, exact],
    ['energy', 'ftlb', 1.3558179483314, exact],
    ['energy', 'kWh', 3.6e6, exact],
    ['pressure', 'psi', 6894.757293168, 1e-12],
    ['modulus', 'ksi', 6.894757e6, 1e-7],
    ['tensionPerWidth', 'pli', 175.1268, 1e-6],
    ['tensionPerWidth', 'lbf_per_ft', 14.5939, 1e-6],
    ['density', 'lb_per_ft3', 16.01846, 1e-6],
    ['density', 'lb_per_in3', 27679.9, 1e-6],
    ['inertia', 'lbft2', 0.04214011, 1e-7],
    ['inertia', 'lbin2', 2.926397e-4, 1.71e-7], // half a unit of the last printed digit
    ['inertia', 'lbfts2', 1.3558179, 1e-7], // one slug·ft²
    ['angularSpeed', 'rpm', 0.1047198, 1e-6],
    ['angle', 'deg', 0.01745329, 1e-6],
    ['temperatureDifference', 'degF_difference', 5 / 9, exact],
  ] as const)('1 %s %s = %d', (key, id, want, relative) => within(toSI(1, key, id), want, relative));
});

test('dynamics notes: 1 kg·m² = 23.730360 lb·ft² and 1 lb·ft² = 0.0421401 kg·m²', () => {
  within(fromSI(1, 'inertia', 'lbft2'), 23.73036, 5e-8);
  within(toSI(1, 'inertia', 'lbft2'), 0.0421401, 5e-7);
});

test('basis weight: 1 lb/3000 ft² is 1.6275 g/m²', () =>
  within(toSI(1, 'basisWeight', 'lb_per_3000ft2'), 1.6275e-3, 3e-5)); // from memory

test('drag coefficients: the same drag whether computed in SI or in lb·ft and rpm', () => {
  const speed = 750;
  const viscous = toSI(0.002, 'viscousDrag', 'lbft_per_rpm') * toSI(speed, 'angularSpeed', 'rpm');
  within(fromSI(viscous, 'torque', 'lbft'), 0.002 * speed, 1e-14);
  const windage = toSI(1e-6, 'quadraticDrag', 'lbft_per_rpm2') * toSI(speed, 'angularSpeed', 'rpm') ** 2;
  within(fromSI(windage, 'torque', 'lbft'), 1e-6 * speed ** 2, 1e-14);
});

test('every unit: there and back within one rounding either way, order and sign kept', () => {
  const units = quantityKeys.flatMap((key) =>
    quantity(key).units.map((u) => [key, u.id] as [QuantityKey, string]),
  );
  const magnitude = fc.double({ min: 1e-9, max: 1e9, noNaN: true });
  fc.assert(
    fc.property(fc.constantFrom(...units), magnitude, fc.boolean(), ([key, id], size, negative) => {
      const value = negative ? -size : size;
      const back = fromSI(toSI(value, key, id), key, id);
      expect(Math.abs(back - value)).toBeLessThanOrEqual(2 ** -52 * size);
      expect(Math.sign(toSI(value, key, id))).toBe(Math.sign(value));
    }),
    { numRuns: 2000, seed: 1 },
  );
});

test('a gap stays a gap', () => expect(toSI(Number.NaN, 'torque', 'lbft')).toBeNaN());

test('an unknown unit is named together with the known ones', () => {
  try {
    toSI(1, 'torque', 'kg');
    expect.unreachable();
  } catch (e) {
    if (!isTautlineError(e)) throw e;
    expect(e.code).toBe('unit_unknown');
    expect(e.message).toContain('"kg"');
    expect(e.next).toContain('lbft');
  }
});
