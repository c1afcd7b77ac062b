import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { parseUnit, squeeze, unitLabels, unitTrap } from '../../../src/engine/units/parse.js';
import { type QuantityKey, quantity, quantityKeys } from '../../../src/engine/units/quantity.js';

const torqueColumn: readonly QuantityKey[] = ['torque', 'torqueFraction', 'current'];
const id = (text: string, among?: readonly QuantityKey[]) => parseUnit(text, among)?.unit.id;

describe('spellings that drives, controllers and historians write', () => {
  test.each<[string, readonly QuantityKey[], string]>([
    ['rpm', ['angularSpeed', 'speed'], 'rpm'],
    ['RPM', ['angularSpeed', 'speed'], 'rpm'],
    ['1/min', ['angularSpeed'], 'rpm'],
    ['min-1', ['angularSpeed'], 'rpm'],
    ['min⁻¹', ['angularSpeed'], 'rpm'],
    ['min^-1', ['angularSpeed'], 'rpm'],
    ['U/min', ['angularSpeed'], 'rpm'],
    ['r/min', ['angularSpeed'], 'rpm'],
    ['rev/min', ['angularSpeed'], 'rpm'],
    ['tr/min', ['angularSpeed'], 'rpm'],
    ['rad/s', ['angularSpeed'], 'rad_per_s'],
    ['rad/sec', ['angularSpeed'], 'rad_per_s'],
    ['rad·s⁻¹', ['angularSpeed'], 'rad_per_s'],
    ['deg/s', ['angularSpeed'], 'deg_per_s'],
    ['°/s', ['angularSpeed'], 'deg_per_s'],
    ['Nm', torqueColumn, 'Nm'],
    ['NM', torqueColumn, 'Nm'],
    ['N.m', torqueColumn, 'Nm'],
    ['N·m', torqueColumn, 'Nm'],
    ['N⋅m', torqueColumn, 'Nm'],
    ['N*m', torqueColumn, 'Nm'],
    ['N m', torqueColumn, 'Nm'],
    ['mNm', torqueColumn, 'mNm'],
    ['kN·m', torqueColumn, 'kNm'],
    ['lb-ft', torqueColumn, 'lbft'],
    ['ft-lb', torqueColumn, 'lbft'],
    ['ft-lbs', torqueColumn, 'lbft'],
    ['ft.-lb.', torqueColumn, 'lbft'],
    ['lbf·ft', torqueColumn, 'lbft'],
    ['LB FT', torqueColumn, 'lbft'],
    ['lb.in', torqueColumn, 'lbin'],
    ['in-lb', torqueColumn, 'lbin'],
    ['in-lbf', torqueColumn, 'lbin'],
    ['%', torqueColumn, 'percent'],
    ['% of rated', torqueColumn, 'percent'],
    ['% rated', torqueColumn, 'percent'],
    ['%Rated', torqueColumn, 'percent'],
    ['0.1 %', torqueColumn, 'permille'],
    ['A', torqueColumn, 'A'],
    ['Arms', torqueColumn, 'A'],
    ['A_rms', torqueColumn, 'A'],
    ['mA', torqueColumn, 'mA'],
    ['fpm', ['speed'], 'fpm'],
    ['FT/MIN', ['speed'], 'fpm'],
    ['ft./min', ['speed'], 'fpm'],
    ['m/s', ['speed'], 'm_per_s'],
    ['m/min', ['speed'], 'm_per_min'],
    ['mpm', ['speed'], 'm_per_min'],
    ['s', ['time'], 's'],
    ['SEC', ['time'], 's'],
    ['ms', ['time'], 'ms'],
    ['us', ['time'], 'us'],
    ['µs', ['time'], 'us'], // U+00B5
    ['μs', ['time'], 'us'], // U+03BC
    ['rev', ['angle'], 'rev'],
    ['turns', ['angle'], 'rev'],
    ['U', ['angle'], 'rev'],
    ['deg', ['angle'], 'deg'],
    ['°', ['angle'], 'deg'],
    ['º', ['angle'], 'deg'], // the ordinal sign that some keyboards give
    ['N', ['tension', 'tensionPerWidth'], 'N'],
    ['daN', ['tension', 'tensionPerWidth'], 'daN'],
    ['lbf', ['tension', 'tensionPerWidth'], 'lbf'],
    ['lbs', ['tension', 'tensionPerWidth'], 'lbf'],
    ['pli', ['tension', 'tensionPerWidth'], 'pli'],
    ['lb/in', ['tension', 'tensionPerWidth'], 'pli'],
    ['N/m', ['tension', 'tensionPerWidth'], 'N_per_m'],
    ['N/cm', ['tension', 'tensionPerWidth'], 'N_per_cm'],
    ['mm', ['length'], 'mm'],
    ['in', ['length'], 'in'],
    ['in.', ['length'], 'in'],
    ['"', ['length'], 'in'],
    ['mil', ['caliper'], 'mil'],
    ['µm', ['caliper'], 'um'],
    ['kg·m²', ['inertia'], 'kgm2'],
    ['kg m^2', ['inertia'], 'kgm2'],
    ['kgm2', ['inertia'], 'kgm2'],
    ['lb·ft²', ['inertia'], 'lbft2'],
    ['WK2', ['inertia'], 'lbft2'],
    ['lb-in-s²', ['inertia'], 'lbins2'],
    ['kN/m', ['tensionPerWidth'], 'kN_per_m'],
    ['MPa', ['pressure'], 'MPa'],
    ['N/mm²', ['pressure'], 'MPa'],
    ['psi', ['pressure'], 'psi'],
    ['gsm', ['basisWeight'], 'g_per_m2'],
    ['HP', ['power'], 'hp'],
    ['Hz', ['frequency'], 'Hz'],
  ])('"%s" among %j is %s', (text, among, want) => expect(id(text, among)).toBe(want));
});

test('every id and every label is understood within its own quantity', () => {
  for (const key of quantityKeys)
    for (const unit of quantity(key).units)
      for (const text of [unit.id, unit.label].filter((t) => t !== ''))
        expect(id(text, [key]), `${key} ${text}`).toBe(unit.id);
});

test('what fits several quantities is settled by `among` and never guessed', () => {
  expect(parseUnit('lb')).toBeUndefined();
  expect(parseUnit('lb', ['mass'])?.quantity).toBe('mass');
  expect(parseUnit('lb', ['tension'])?.quantity).toBe('tension');
  expect(parseUnit('lb', ['mass', 'tension'])).toBeUndefined();
  expect(parseUnit('%')).toBeUndefined();
  expect(parseUnit('%', ['ratio'])?.quantity).toBe('ratio');
  expect(parseUnit('%', torqueColumn)?.quantity).toBe('torqueFraction');
  expect(parseUnit('Nm', ['torque', 'torque'])?.unit.id).toBe('Nm'); // the same quantity twice is no ambiguity
});

test('case counts where another case is another unit', () => {
  expect(id('MNm', torqueColumn)).toBeUndefined();
  expect(id('MA', torqueColumn)).toBeUndefined();
  expect(id('mPa', ['pressure'])).toBeUndefined();
  expect(id('mW', ['power'])).toBeUndefined();
  expect(id('MW', ['power'])).toBe('MW');
  expect(id('Ms', ['time'])).toBeUndefined();
});

test('torque per length and torque rate are not taken for torque', () => {
  for (const text of ['N/m', 'N·m/s', 'lb/ft', 'lb/in', 'Nm/A'])
    expect(id(text, torqueColumn)).toBeUndefined();
});

test('what cannot be converted is refused with the reason', () => {
  for (const [text, among, word] of [
    ['counts', ['angle', 'angularSpeed'], 'scale'],
    ['Inc', ['angle'], 'scale'],
    ['counts/s', ['angularSpeed'], 'scale'],
    ['GD²', ['inertia'], 'four times'],
    ['kgf·m²', ['inertia'], 'four times'],
    ['1/s', ['angularSpeed'], 'turns'],
    ['Hz', ['angularSpeed'], 'pole pairs'],
    ['V', torqueColumn, 'scale'],
    ['kg', ['tension'], 'mass'],
    ['lb/ream', ['basisWeight'], 'ream'],
  ] as const) {
    expect(parseUnit(text, among), text).toBeUndefined();
    expect(unitTrap(text), text).toContain(word);
  }
  expect(unitTrap('Nm')).toBeUndefined();
  expect(parseUnit('furlong')).toBeUndefined();
  expect(parseUnit('')).toBeUndefined();
  expect(parseUnit('  ')).toBeUndefined();
});

test('no text crashes it, spaces and separators around letters change nothing', () => {
  fc.assert(
    fc.property(fc.string({ unit: 'grapheme' }), (text) => {
      expect(squeeze(squeeze(text))).toBe(squeeze(text));
      expect(parseUnit(` ${text} `)).toEqual(parseUnit(text));
    }),
    { numRuns: 1000, seed: 2 },
  );
});

test('labels for messages, each once', () => {
  expect(unitLabels(['tension'])).toEqual(['N', 'daN', 'kN', 'kgf', 'lbf', 'ozf']);
  const labels = unitLabels(['length', 'caliper']);
  expect(new Set(labels).size).toBe(labels.length);
});
