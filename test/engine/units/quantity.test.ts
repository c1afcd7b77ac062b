import { expect, test } from 'vitest';
import { squeeze } from '../../../src/engine/units/parse.js';
import {
  type Inertia,
  type quantities,
  quantity,
  quantityKeys,
  type Torque,
  unitsOffered,
} from '../../../src/engine/units/quantity.js';

test.each(quantityKeys)('%s: SI unit first, ids usable as a suffix, display units exist', (key) => {
  const { units, display } = quantity(key);
  expect(units[0].factor).toBe(1);
  expect(units[0].system).not.toBe('us');
  for (const unit of units) {
    expect(unit.id).toMatch(/^[A-Za-z][A-Za-z0-9_]*$/);
    expect(unit.factor).toBeGreaterThan(0);
  }
  const ids = units.map((u) => u.id);
  expect(new Set(ids).size).toBe(ids.length);
  expect(ids).toContain(display.si);
  expect(ids).toContain(display.us);
});

test.each(quantityKeys)('%s: no spelling belongs to two units', (key) => {
  const owner = new Map<string, string>();
  for (const unit of quantity(key).units) {
    const loose = unit.aliases.map((a) => squeeze(a).toLowerCase());
    const own = [unit.id, unit.label, ...(unit.exact ?? [])].map(squeeze).filter((s) => s !== '');
    // Where case counts, a spelling may share its lower case with another unit (mNm and MNm).
    const spellings = [...loose, ...(unit.exact ? own : own.map((s) => s.toLowerCase()))];
    for (const spelling of spellings) {
      expect(owner.get(spelling) ?? unit.id, `"${spelling}" in ${key}`).toBe(unit.id);
      owner.set(spelling, unit.id);
    }
  }
});

test('design.md names its JSON keys by these suffixes', () => {
  const has = (key: keyof typeof quantities, id: string) =>
    expect(quantity(key).units.map((u) => u.id)).toContain(id);
  has('inertia', 'kgm2');
  has('torque', 'Nm');
  has('viscousDrag', 'Nms');
  has('quadraticDrag', 'Nms2');
  has('angularSpeed', 'rad_per_s');
  has('angularAcceleration', 'rad_per_s2');
  has('speed', 'm_per_min');
  has('tensionPerWidth', 'N_per_m');
  has('torqueFraction', 'percent');
  has('density', 'kgm3');
});

test('a system is offered its own units, the default first', () => {
  expect(unitsOffered('torque', 'us').map((u) => u.id)).toEqual(['lbft', 'lbin', 'ozin']);
  expect(unitsOffered('speed', 'si').map((u) => u.id)).toEqual([
    'm_per_min',
    'm_per_s',
    'mm_per_s',
    'km_per_h',
  ]);
  expect(unitsOffered('angularSpeed', 'us')[0]?.id).toBe('rpm');
});

test('a torque is not an inertia, a number is either', () => {
  const torque: Torque = 5;
  const doubled: Torque = torque * 2;
  // @ts-expect-error another quantity
  const inertia: Inertia = doubled;
  expect(inertia).toBe(10);
});
