import { describe, expect, test } from 'vitest';
import { uniqueHeaders, unitOfHeader } from '../../../src/node/text/header.js';

describe('unit in a header, as written or not at all', () => {
  test.each([
    ['Torque act [% of rated]', '% of rated'],
    ['Speed act [ rpm ]', 'rpm'],
    ['Axis[2].Torque [N·m]', 'N·m'],
    ['Speed (rpm)', 'rpm'],
    ['Torque (filtered) (lb-ft)', 'lb-ft'],
    ['Inertia (kg·m²)', 'kg·m²'],
    ['Torque (% of rated)', '% of rated'],
    ['Zeit / s', 's'],
    ['Drehzahl / 1/min', '1/min'],
    ['Drehzahl in 1/min', '1/min'],
    ['Speed, m/min', 'm/min'],
    ['Speed [furlong/fortnight]', 'furlong/fortnight'],
    ['speed_rpm', 'rpm'],
    ['speed_rad_per_s', 'rad/s'],
    ['time_s', 's'],
    ['Time ms', 'ms'],
    ['Motor speed rpm', 'rpm'],
    ['Drehzahl Ist U/min', 'U/min'],
    ['Couple N·m', 'N·m'],
    ['Torque act lb-ft', 'lb-ft'],
    ['Vitesse réelle (tr/min)', 'tr/min'],
  ])('%s: %s', (header, unit) => expect(unitOfHeader(header)).toBe(unit));

  test.each([
    'Speed',
    'Torque (filtered)',
    'Speed (actual)',
    'Trend[3]',
    'Axis[2].Speed',
    'M_N',
    'n_m',
    'v_in',
    'drive_on',
    'Speed, actual',
    'Torque/Speed',
    'time_constant',
    'speed_min',
    'Torque limit in use',
    'Speed rev',
    'Enable bit',
    'Torque M N',
    'Current min',
  ])('%s: none', (header) => expect(unitOfHeader(header)).toBeUndefined());
});

test('headers become unique; none is lost or renamed onto another', () => {
  expect(uniqueHeaders(['a', 'a', 'a (2)', '', 'a'])).toEqual({
    headers: ['a', 'a (3)', 'a (2)', 'column 4', 'a (4)'],
    repeated: ['a'],
  });
});
