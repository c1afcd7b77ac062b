import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { isTautlineError } from '../../../src/engine/errors.js';
import { fromSI, toSI } from '../../../src/engine/units/convert.js';
import { type QuantityKey, quantity, quantityKeys } from '../../../src/engine/units/quantity.js';

const within = (got: number, want: number, relative: number): void =>
  expect(Math.abs(got / want - 1), `${got} against ${want}`).toBeLessThan(relative);

// [quantity, unit, value in SI, relative tolerance]: a multiple of a defined unit is exact, a printed value is good to half its last digit.
const exact = 1e-15;
const printed: readonly (readonly [QuantityKey, string, number, number])[] = [
  ['time', 'ms', 0.001, exact],
  ['time', 'us', 0.000001, exact],
  ['time', 'ns', 0.000000001, exact],
  ['time', 'min', 60, exact],
  ['time', 'h', 3600, exact],
  ['angle', 'deg', 0.01745329, 2e-7],
  ['angle', 'rev', 6.283185307, 1e-9],
  ['angularSpeed', 'rpm', 0.1047198, 5e-7],
  ['angularSpeed', 'rev_per_s', 6.283185307, 1e-9],
  ['angularSpeed', 'deg_per_s', 0.01745329, 2e-7],
  ['angularAcceleration', 'rpm_per_s', 0.1047198, 5e-7],
  ['angularAcceleration', 'rev_per_s2', 6.283185307, 1e-9],
  ['length', 'mm', 0.001, exact],
  ['length', 'cm', 0.01, exact],
  ['length', 'in', 0.0254, exact],
  ['length', 'ft', 0.3048, exact],
  ['webLength', 'km', 1000, exact],
  ['webLength', 'ft', 0.3048, exact],
  ['webLength', 'yd', 0.9144, exact],
  ['caliper', 'um', 0.000001, exact],
  ['caliper', 'mm', 0.001, exact],
  ['caliper', 'mil', 2.54e-5, exact],
  ['caliper', 'in', 0.0254, exact],
  ['speed', 'm_per_min', 1 / 60, exact],
  ['speed', 'mm_per_s', 0.001, exact],
  ['speed', 'km_per_h', 0.2777778, 1e-7],
  ['speed', 'fpm', 0.00508, exact],
  ['speed', 'ft_per_s', 0.3048, exact],
  ['speed', 'in_per_s', 0.0254, exact],
  ['speed', 'in_per_min', 4.233333e-4, 1e-7],
  ['speed', 'yd_per_min', 0.01524, exact],
  ['acceleration', 'm_per_min_per_s', 1 / 60, exact],
  ['acceleration', 'fpm_per_s', 0.00508, exact],
  ['acceleration', 'ft_per_s2', 0.3048, exact],
  ['torque', 'kNm', 1000, exact],
  ['torque', 'mNm', 0.001, exact],
  ['torque', 'daNm', 10, exact],
  ['torque', 'Ncm', 0.01, exact],
  ['torque', 'kgfm', 9.80665, exact],
  ['torque', 'lbft', 1.3558179483314, exact],
  ['torque', 'lbin', 0.1129848290276167, exact],
  ['torque', 'ozin', 7.061552e-3, 1e-7],
  ['torqueFraction', 'percent', 0.01, exact],
  ['torqueFraction', 'permille', 0.001, exact],
  ['torqueRate', 'lbft_per_s', 1.3558179483314, exact],
  ['torqueConstant', 'lbft_per_A', 1.3558179483314, exact],
  ['torqueConstant', 'lbin_per_A', 0.1129848290276167, exact],
  ['current', 'mA', 0.001, exact],
  ['current', 'kA', 1000, exact],
  ['inertia', 'kgcm2', 0.0001, exact],
  ['inertia', 'gcm2', 0.0000001, exact],
  ['inertia', 'lbft2', 0.04214011, 1.2e-7],
  ['inertia', 'lbin2', 2.926397e-4, 1.71e-7],
  ['inertia', 'lbfts2', 1.355818, 4e-7], // one slug·ft²
  ['inertia', 'lbins2', 0.1129848, 4.5e-7],
  ['inertia', 'ozins2', 7.061552e-3, 1e-7],
  ['viscousDrag', 'Nm_per_rpm', 9.549297, 5e-8], // 60/2π
  ['viscousDrag', 'lbft_per_rpm', 12.94711, 4e-7], // 1.3558179·60/2π, worked out by hand
  ['quadraticDrag', 'lbft_per_rpm2', 123.6358, 4e-7], // 1.3558179·(60/2π)², worked out by hand
  ['tension', 'daN', 10, exact],
  ['tension', 'kN', 1000, exact],
  ['tension', 'kgf', 9.80665, exact],
  ['tension', 'lbf', 4.4482216152605, exact], // 0.45359237 kg x 9.80665 m/s²
  ['tension', 'ozf', 0.2780139, 2e-7],
  ['tensionPerWidth', 'kN_per_m', 1000, exact],
  ['tensionPerWidth', 'N_per_cm', 100, exact],
  ['tensionPerWidth', 'N_per_mm', 1000, exact],
  ['tensionPerWidth', 'kgf_per_m', 9.80665, exact],
  ['tensionPerWidth', 'pli', 175.1268, 3e-7],
  ['tensionPerWidth', 'lbf_per_ft', 14.5939, 3.5e-6],
  ['mass', 'g', 0.001, exact],
  ['mass', 'lb', 0.45359237, exact],
  ['mass', 'oz', 0.028349523125, exact],
  ['density', 'gcm3', 1000, exact],
  ['density', 'lb_per_ft3', 16.01846, 3.2e-7],
  ['density', 'lb_per_in3', 27679.9, 2e-7],
  ['basisWeight', 'g_per_m2', 0.001, exact],
  ['basisWeight', 'lb_per_3000ft2', 1.6275e-3, 3e-5], // paper trade, from memory
  ['basisWeight', 'lb_per_1000ft2', 4.882428e-3, 1e-7], // a thousandth of 1 lb/ft²
  ['pressure', 'kPa', 1e3, exact],
  ['pressure', 'MPa', 1e6, exact],
  ['pressure', 'bar', 1e5, exact],
  ['pressure', 'psi', 6894.757293168, 1e-13],
  ['modulus', 'kPa', 1e3, exact],
  ['modulus', 'MPa', 1e6, exact],
  ['modulus', 'GPa', 1e9, exact],
  ['modulus', 'psi', 6894.757293168, 1e-13],
  ['modulus', 'ksi', 6894757.293168, 1e-13],
  ['viscosity', 'cP', 0.001, exact],
  ['power', 'kW', 1e3, exact],
  ['power', 'MW', 1e6, exact],
  ['power', 'hp', 745.69987158227, exact], // 550 ft·lbf/s
  ['power', 'PS', 735.49875, exact],
  ['energy', 'kJ', 1e3, exact],
  ['energy', 'kWh', 3.6e6, exact],
  ['energy', 'ftlb', 1.3558179483314, exact],
  ['temperatureDifference', 'degF_difference', 0.5555555555555556, exact],
  ['frequency', 'kHz', 1e3, exact],
  ['ratio', 'percent', 0.01, exact],
  ['ratio', 'permille', 0.001, exact],
];

// NIST SP 811 appendix B for the printed ones (from memory); written out here, not taken from the table.
describe('factors against printed values', () => {
  test.each(printed)('1 %s %s = %d', (key, id, want, relative) => within(toSI(1, key, id), want, relative));

  test('every unit is among them, the SI units aside', () => {
    const checked = new Set(printed.map(([key, id]) => `${key} ${id}`));
    for (const key of quantityKeys)
      for (const { id } of quantity(key).units.slice(1)) expect(checked).toContain(`${key} ${id}`);
  });
});

test('dynamics notes: 1 kg·m² = 23.730360 lb·ft² and 1 lb·ft² = 0.0421401 kg·m²', () => {
  within(fromSI(1, 'inertia', 'lbft2'), 23.73036, 5e-8);
  within(toSI(1, 'inertia', 'lbft2'), 0.0421401, 5e-7);
});

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
