import fc from 'fast-check';
import { expect, test } from 'vitest';
import { toSI } from '../../../src/engine/units/convert.js';
import { axisLabel, formatEstimate, formatNumber, formatQuantity } from '../../../src/engine/units/format.js';

test('an estimate has the digits that its uncertainty allows', () => {
  expect(formatEstimate(0.04312, 0.00031, 'inertia', 'si')).toBe('0.0431 ± 0.0003 kg·m²');
  expect(formatEstimate(0.04312, 0.00012, 'inertia', 'si')).toBe('0.04312 ± 0.00012 kg·m²');
  expect(formatEstimate(12.3456, 0.5, 'torque', 'si')).toBe('12.3 ± 0.5 N·m');
  expect(formatEstimate(-3.21, 0.04, 'torque', 'si')).toBe('−3.21 ± 0.04 N·m');
  expect(formatEstimate(0.1, 4, 'torque', 'si')).toBe('0 ± 4 N·m');
  expect(formatEstimate(-0.0004, 0.05, 'torque', 'si')).toBe('0.00 ± 0.05 N·m');
  expect(formatEstimate(12345, 312, 'tension', 'si')).toBe('12300 ± 300 N');
  expect(formatEstimate(12345, 123, 'tension', 'si')).toBe('12350 ± 120 N');
  expect(formatEstimate(4.321e-5, 3.1e-7, 'viscousDrag', 'si')).toBe('(4.32 ± 0.03)·10^-5 N·m·s');
});

test('the same estimate in US units', () => {
  const J = toSI(1.0234, 'inertia', 'lbft2');
  expect(formatEstimate(J, toSI(0.0073, 'inertia', 'lbft2'), 'inertia', 'us')).toBe('1.023 ± 0.007 lb·ft²');
});

test('without a usable uncertainty four digits, without a value a dash', () => {
  expect(formatEstimate(0.0431234, 0, 'inertia', 'si')).toBe('0.04312 kg·m²');
  expect(formatEstimate(0.0431234, Number.NaN, 'inertia', 'si')).toBe('0.04312 kg·m²');
  expect(formatEstimate(Number.NaN, 0.1, 'inertia', 'si')).toBe('– kg·m²');
});

test('numbers: significant digits also where rounding carries', () => {
  expect(formatNumber(999.96, 4)).toBe('1000');
  expect(formatNumber(0.99996, 3)).toBe('1.00');
  expect(formatNumber(0.00012345, 3)).toBe('0.000123');
  expect(formatNumber(-2.5e-7, 2)).toBe('−2.5e−7');
  expect(formatNumber(12345678, 3)).toBe('1.23e7');
  expect(formatNumber(0, 3)).toBe('0');
  expect(formatNumber(Number.POSITIVE_INFINITY, 3)).toBe('–');
});

test('a printed number, read back, is within half a unit of its last digit', () => {
  fc.assert(
    fc.property(
      fc.double({ min: -1e8, max: 1e8, noNaN: true }),
      fc.integer({ min: 1, max: 9 }),
      (value, digits) => {
        const read = Number(formatNumber(value, digits).replaceAll('−', '-'));
        if (value !== 0)
          expect(Math.abs(read / value - 1)).toBeLessThanOrEqual(0.5000001 * 10 ** (1 - digits));
      },
    ),
    { numRuns: 1000, seed: 3 },
  );
});

test('values and axes in both systems', () => {
  expect(formatQuantity(5, 'speed', 'si')).toBe('300 m/min');
  expect(formatQuantity(5.08, 'speed', 'us', 4)).toBe('1000 fpm');
  expect(formatQuantity(0.3, 'torqueFraction', 'si', 2)).toBe('30 %');
  expect(formatQuantity(0.3, 'ratio', 'si', 2)).toBe('0.30');
  expect(axisLabel('torque', 'si')).toBe('torque T [N·m]');
  expect(axisLabel('inertia', 'us')).toBe('inertia J [lb·ft²]');
  expect(axisLabel('ratio', 'si')).toBe('ratio');
});
