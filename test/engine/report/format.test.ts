import { describe, expect, test } from 'vitest';
import { makeFormat, roundedAlike, shortNumber } from '../../../src/engine/report/format.js';
import { placeInWords } from '../../../src/engine/report/where.js';
import { formatEstimate } from '../../../src/engine/units/format.js';

describe('roundedAlike', () => {
  test.each([
    [[0.617, 0.006, 0.6052, 0.6288], 0.006, ['0.617', '0.006', '0.605', '0.629'], 0],
    [[1.0434], 0.0184, ['1.043'], 0],
    [[-0.0041], 0.0013, ['−0.0041'], 0],
    [[1234.5], 40, ['1235'], 0],
    [[2.43e-4, 4e-6], 4e-6, ['243', '4'], -6],
  ] as const)('%j known to %d', (values, uncertainty, texts, exponent) => {
    expect(roundedAlike(values, uncertainty)).toEqual({ texts, exponent });
  });

  test('rounds to the same place as formatEstimate', () => {
    for (let k = 0; k < 60; k++) {
      const value = 0.731 * 1.37 ** (k % 20);
      const uncertainty = value * 10 ** (-0.5 - k / 20);
      const expected = formatEstimate(value, uncertainty, 'torque', 'si').split(' ')[0];
      expect(roundedAlike([value], uncertainty).texts[0]).toBe(expected);
    }
  });

  test('without an uncertainty four significant digits', () => {
    expect(roundedAlike([0.123456], Number.NaN).texts).toEqual(['0.1235']);
  });
});

test('shortNumber drops zeros that mean nothing, and only those', () => {
  expect([15.5, 2200, 0.0043, 100, 0, -2.5].map(shortNumber)).toEqual([
    '15.5',
    '2200',
    '0.0043',
    '100',
    '0',
    '−2.5',
  ]);
});

describe('makeFormat', () => {
  const si = makeFormat('si');
  const us = makeFormat('us');

  test('US customary: 1 lb·ft is 1.3558179483 N·m and 1 lb·ft² is 0.0421401101 kg·m² (both from the exact inch and pound)', () => {
    expect(us.value('torque', 1.3558179483)).toBeCloseTo(1, 9);
    expect(us.value('inertia', 0.0421401101)).toBeCloseTo(1, 8);
    expect(us.value('angularSpeed', 2 * Math.PI)).toBeCloseTo(60, 9);
  });

  test('pair has no unit, row gives it, powers of ten are raised', () => {
    expect(si.pair('torque', 1.0434, 0.035)).toBe('1.04 ± 0.04');
    expect(us.row('viscousDrag', [0.00314], 0.00005).unit).toBe('10⁻⁶ lb·ft/rpm');
    expect(si.pair('inertia', 4.213e-5, 3e-7)).toBe('(4.21 ± 0.03)·10⁻⁵');
  });

  test('a column has equal decimals and a dash for what is missing', () => {
    expect(si.column('torque', [0.7778, 0.93, Number.NaN, 1.07], 4)).toEqual([
      '0.778',
      '0.930',
      '–',
      '1.070',
    ]);
  });
});

test('placeInWords reads keys with their units', () => {
  expect(placeInWords({ from_s: 50.2, to_s: 51.6 })).toBe('from 50.2 s, to 51.6 s');
  expect(placeInWords({ channel: 'n', speed_rad_per_s: 1 / 3, atMotor: true })).toBe(
    'channel n, speed 0.333333 rad/s, at motor true',
  );
  expect(placeInWords({ span_s: [1, 2] })).toBe('span 1 to 2 s');
  expect(placeInWords({})).toBe('');
});
