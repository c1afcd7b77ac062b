import { describe, expect, test } from 'vitest';
import { permissibleEccentricity, permissibleUnbalance } from '../../../src/engine/line/balance.js';
import { toSI } from '../../../src/engine/units/convert.js';

const rpm = (n: number): number => toSI(n, 'angularSpeed', 'rpm');
const gramMillimetre = 1e-6;
const ounceInch = 0.0283495231 * 0.0254;

describe('20 kg, G 6.3, 1909.86 rpm = 200 rad/s', () => {
  test('630 g·mm, an eccentricity of 31.5 µm', () => {
    // 20 · 6.3e-3 / 200, by hand
    expect(permissibleUnbalance(20, 6.3e-3, 200) / gramMillimetre).toBeCloseTo(630, 9);
    expect(permissibleEccentricity(6.3e-3, 200)).toBeCloseTo(31.5e-6, 12);
  });

  test("handbook's U[g·mm] = 9549·G·m/n gives 629.98: its 9549 is 30 000/π = 9549.297 cut off", () => {
    const handbook = (9549 * 6.3 * 20) / 1909.86;
    expect(handbook).toBeCloseTo(629.98, 2);
    const ours = permissibleUnbalance(20, 6.3e-3, rpm(1909.86)) / gramMillimetre;
    expect(handbook / ours).toBeCloseTo(9549 / 9549.2966, 8);
  });

  test('in US units: U[oz·in] = 6.015·G·W[lb]/N[rpm] (constant from memory, four digits)', () => {
    const ours = permissibleUnbalance(toSI(44.0925, 'mass', 'lb'), 6.3e-3, rpm(1909.86)) / ounceInch;
    expect(((ours * 1909.86) / (6.3 * 44.0925)).toFixed(3)).toBe('6.015');
  });
});

test('what is no rotor, grade or speed is refused', () => {
  expect(() => permissibleUnbalance(0, 6.3e-3, 200)).toThrow(/mass of 0 kg/);
  expect(() => permissibleUnbalance(Number.NaN, 6.3e-3, 200)).toThrow(/NaN kg/);
  expect(() => permissibleUnbalance(20, 6.3e-3, 0)).toThrow(/0 rad\/s/);
  expect(() => permissibleEccentricity(-1, 200)).toThrow(/grade -1/);
  expect(() => permissibleEccentricity(6.3e-3, Number.NaN)).toThrow(/NaN rad/);
});
