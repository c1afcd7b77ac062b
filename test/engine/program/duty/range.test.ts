import { expect, test } from 'vitest';
import { cornerPower, loadInertiaRatio, speedRange } from '../../../../src/engine/program/duty/range.js';
import { fromSI, toSI } from '../../../../src/engine/units/convert.js';

test('a roll from 0.1 to 1.2 m at 600 N and 10 m/s: 12:1 and 72 kW corner power for 6 kW of web power', () => {
  expect(speedRange(0.1, 1.2)).toBeCloseTo(12, 12);
  expect(cornerPower(600, 10, 0.1, 1.2)).toBeCloseTo(72000, 8);
  // The torque of the full roll times the speed of the core.
  expect(cornerPower(600, 10, 0.1, 1.2)).toBeCloseTo(600 * 0.6 * (10 / 0.05), 8);
  const us = cornerPower(toSI(134.88536, 'tension', 'lbf'), toSI(1968.5039, 'speed', 'fpm'), 3.937, 47.244);
  expect(fromSI(us, 'power', 'hp')).toBeCloseTo(12 * 8.04613, 3);
});

test('load inertia ratio', () => {
  expect(loadInertiaRatio(15.2674, 0.5)).toBeCloseTo(30.5348, 10);
  expect(() => loadInertiaRatio(1, 0)).toThrow(/motor of 0/);
  expect(() => loadInertiaRatio(Number.NaN, 1)).toThrow(/NaN/);
});

test.each([
  [0, 1],
  [0.2, 0.1],
  [Number.NaN, 1],
])('no roll from %d to %d m', (core, full) => {
  expect(() => speedRange(core, full)).toThrow(/no roll grows/);
  expect(() => cornerPower(600, 10, core, full)).toThrow(/no roll grows/);
});
