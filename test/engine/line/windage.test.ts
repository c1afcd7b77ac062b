import { describe, expect, test } from 'vitest';
import { windage } from '../../../src/engine/line/windage.js';
import { fromSI, toSI } from '../../../src/engine/units/convert.js';

// Air of 1.2 kg/m³ and 1.81e-5 Pa·s, as in the worked values.
const [density, viscosity] = [1.2, 1.81e-5];
const reynoldsOf = (radius: number, omega: number): number => (density * omega * radius ** 2) / viscosity;
const coefficientOf = (radius: number, omega: number): number =>
  windage(radius, 1, omega, density) / (Math.PI * density * radius ** 2 * (omega * radius) ** 2);

describe('worked values, computed independently of this code from the formula, which is from memory', () => {
  test('R 0.1 m, L 2 m, 10 m/s: Re 66298, C 0.0048773, M 0.036774 N·m', () => {
    expect(reynoldsOf(0.1, 100)).toBeCloseTo(66298, -1);
    expect(coefficientOf(0.1, 100)).toBeCloseTo(0.0048773, 7);
    expect(windage(0.1, 2, 100, density)).toBeCloseTo(0.036774, 6);
  });

  test('R 0.05 m, L 1.5 m, 20 m/s: M 0.027580 N·m', () => {
    expect(windage(0.05, 1.5, 400, density)).toBeCloseTo(0.02758, 6);
  });

  test('the first in US units: 7.874016 in, 78.74016 in, 1968.504 fpm, 0.0749136 lb/ft³ give 0.325477 lb·in', () => {
    // 0.036774 N·m / 0.1129848 N·m per lb·in, by hand
    const radius = toSI(7.874016, 'length', 'in') / 2;
    const torque = windage(
      radius,
      toSI(78.74016, 'length', 'in'),
      toSI(1968.504, 'speed', 'fpm') / radius,
      toSI(0.0749136, 'density', 'lb_per_ft3'),
    );
    expect(fromSI(torque, 'torque', 'lbin')).toBeCloseTo(0.325477, 5);
  });
});

describe('laws', () => {
  test('in turbulent flow it solves its implicit law', () => {
    for (const reynolds of [200, 1e3, 1e4, 1e6]) {
      const C = coefficientOf(0.1, (reynolds * viscosity) / (density * 0.01));
      expect(1 / Math.sqrt(C)).toBeCloseTo(-0.6 + 4.07 * Math.log10(reynolds * Math.sqrt(C)), 10);
    }
  });

  test('at a creep it is the exact laminar torque, 4π·η·ω·R²·L, whatever the density', () => {
    const exact = 4 * Math.PI * viscosity * 0.01 * 0.1 ** 2 * 2;
    expect(windage(0.1, 2, 0.01, density) / exact).toBeCloseTo(1, 12);
    expect(windage(0.1, 2, 0.01, 2 * density) / exact).toBeCloseTo(1, 12);
  });

  test('no step where the laws change over, and always rising', () => {
    let before = windage(0.1, 1, 0.05, density);
    for (let omega = 0.0505; omega < 5; omega *= 1.01) {
      const now = windage(0.1, 1, omega, density);
      expect(now).toBeGreaterThan(before);
      expect(now / before).toBeLessThan(1.03);
      before = now;
    }
  });

  test('same Reynolds number, same coefficient; even in speed, linear in length, nothing at rest', () => {
    expect(coefficientOf(0.2, 25)).toBeCloseTo(coefficientOf(0.1, 100), 14);
    expect(windage(0.1, 2, -100)).toBe(windage(0.1, 2, 100));
    expect(windage(0.1, 2, 100)).toBeCloseTo(2 * windage(0.1, 1, 100), 14);
    expect(windage(0.1, 2, 0)).toBe(0);
    expect(windage(0.1, 0, 100)).toBe(0);
  });

  test('it grows with the speed to the power 2 − 2k/(1/√C + k), k = 4.07/ln 10: about 1.8 at the speeds of rollers', () => {
    // by differentiating the implicit law, so it does not pass through the solver
    const k = 4.07 / Math.LN10;
    for (const omega of [20, 100, 400]) {
      const step = 1e-4;
      const [below, above] = [1 - step, 1 + step].map((f) => windage(0.1, 2, f * omega, density));
      const exponent = Math.log((above as number) / (below as number)) / Math.log((1 + step) / (1 - step));
      expect(exponent).toBeCloseTo(2 - (2 * k) / (1 / Math.sqrt(coefficientOf(0.1, omega)) + k), 7);
      expect(exponent).toBeCloseTo(1.78, 1);
    }
  });
});

test('what is no cylinder, speed or air is refused', () => {
  expect(() => windage(0, 1, 1)).toThrow(/radius 0 m/);
  expect(() => windage(0.1, -1, 1)).toThrow(/length -1 m/);
  expect(() => windage(0.1, 1, Number.NaN)).toThrow(/NaN rad/);
  expect(() => windage(0.1, 1, 1, 0)).toThrow(/air of 0/);
});
