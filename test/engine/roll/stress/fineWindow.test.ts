import { describe, expect, it } from 'vitest';
import {
  alwaysWindow,
  chooseWindow,
  largestDifference,
  windowError,
} from '../../../../src/engine/roll/stress/chooseWindow.js';
import { stackModulus } from '../../../../src/engine/roll/stress/stackModulus.js';
import type { WindingInput } from '../../../../src/engine/roll/stress/windingInput.js';
import { windRoll } from '../../../../src/engine/roll/stress/windRoll.js';
import { plateauPressure } from '../../../support/rollPlateau.js';

const exponential = (k1: number, k2: number) => stackModulus({ law: 'exponential', k1, k2 });
const film: WindingInput = {
  laps: 3000,
  caliper: 25e-6,
  coreRadius: 0.0445,
  modulus: 4.5e9,
  poisson: 0.01,
  stack: exponential(3000, 120),
  coreStiffness: 1.11979e10,
  woundOn: () => 125,
};
const newsprint: WindingInput = {
  ...film,
  caliper: 70e-6,
  coreRadius: 0.045,
  modulus: 4e9,
  stack: exponential(3000, 35),
  coreStiffness: 5e9,
  woundOn: () => 300,
};
const foil: WindingInput = {
  ...film,
  caliper: 20e-6,
  coreRadius: 0.075,
  modulus: 69e9,
  stack: exponential(41000, 400),
  coreStiffness: 5e9,
  woundOn: () => 400,
};
const products = [
  ['film', film],
  ['newsprint', newsprint],
  ['foil', foil],
] as const;

describe('a roll wound with a moving fine window', () => {
  it.each(products)('has the pressures and stresses of one wound with every lap followed: %s', (_, input) => {
    const full = windRoll(input);
    const window = windRoll({ ...input, window: alwaysWindow(input.laps) });
    expect(largestDifference(full.pressure, window.pressure)).toBeLessThan(3e-4);
    const scale = input.woundOn(0, 0) / input.caliper;
    const worst = Math.max(...full.hoopStress.map((s, i) => Math.abs(s - window.hoopStress[i]) / scale));
    expect(worst).toBeLessThan(1e-3);
  });

  it.each(products)(
    'comes nearer with the square of the thinning, and with a wider window: %s',
    (_, input) => {
      const full = windRoll(input).pressure;
      const off = (fine: number, thinning: number): number =>
        largestDifference(full, windRoll({ ...input, window: { fine, thinning } }).pressure);
      // Groups of 4, 8 and 16 laps behind one window; second order is a factor of 4.
      const errors = [4, 8, 16].map((n) => off(64, n));
      for (const k of [0, 1]) {
        expect(errors[k + 1] / errors[k]).toBeGreaterThan(3.4);
        expect(errors[k + 1] / errors[k]).toBeLessThan(5);
      }
      expect(off(128, 8)).toBeLessThan(0.75 * off(64, 8));
      expect(off(64, 1)).toBe(0);
    },
  );

  it.each(products)('says how far it is off, within a factor and not too low: %s', (_, input) => {
    const full = windRoll(input).pressure;
    for (const window of [
      { fine: 64, thinning: 8 },
      { fine: 64, thinning: 4 },
      { fine: 100, thinning: 10 },
    ]) {
      const wound = windRoll({ ...input, window });
      const truth = largestDifference(full, wound.pressure);
      const estimate = windowError({ ...input, window }, wound);
      // Twice the thinning errs four times as much, so half of the difference is one and a half times the error.
      expect(estimate / truth).toBeGreaterThan(1);
      expect(estimate / truth).toBeLessThan(2.5);
    }
    expect(windowError(input, windRoll(input))).toBe(0);
  });

  it('is the lap sum of the closed form where the stack modulus is constant', () => {
    // r_i·P_i = Σ_j T·φ(r_i)/φ(r_j), φ(x) = x^g + B·x^−g, B = (g − c)/(g + c)
    const g = 9;
    const input = {
      ...film,
      modulus: 4.5e9,
      poisson: 0,
      coreStiffness: 1e9,
      stack: stackModulus({ law: 'constant', modulus: 4.5e9 / g ** 2 }),
    };
    const { laps, caliper: h, coreRadius: rc } = input;
    const roll = windRoll({ ...input, window: { fine: 64, thinning: 8 } });
    const b = (g - 4.5) / (g + 4.5);
    const phi = (r: number): number => g * Math.log(r / rc) + Math.log1p(b * (r / rc) ** (-2 * g));
    for (const [i, digits] of [
      [0, 9],
      [8, 9],
      [1600, 9],
      [5, 5],
      [1603, 7],
      [2999, 9],
    ] as const) {
      const r = rc + i * h;
      let sum = 0;
      for (let j = i; j < laps; j++) sum += 125 * Math.exp(phi(r) - phi(rc + j * h));
      // Kept laps are exact, thinned ones interpolated.
      expect((r * roll.pressure[i]) / sum, `${i}`).toBeCloseTo(1, digits);
    }
  });

  it('reaches the plateau of the differential equation', () => {
    const plateau = plateauPressure({
      modulus: 4.5e9,
      radialModulus: (p) => 120 * (p + 3000),
      sigma: 125 / 25e-6,
    });
    const input = { ...film, laps: 8000 };
    const roll = windRoll({ ...input, window: chooseWindow(input) });
    expect(Math.abs(roll.pressure[4000] / plateau - 1)).toBeLessThan(5e-3);
  });

  it('winds 200,000 laps to what rolls of the same size with fewer, thicker laps tend to', () => {
    const at = (laps: number, isFull: boolean) => {
      const caliper = 0.2 / laps;
      const input = { ...film, laps, caliper, woundOn: () => 5e6 * caliper };
      return windRoll({ ...input, window: isFull ? undefined : chooseWindow(input) }).pressure;
    };
    // The size of a lap counts with its first power and a little of its second: a parabola through three rolls of which every lap was followed.
    const sizes = [1 / 1500, 1 / 3000, 1 / 6000];
    const full = sizes.map((size) => at(Math.round(1 / size), true));
    const many = at(200_000, false);
    for (const share of [0, 0.25, 0.5, 0.75]) {
      const expected = sizes.reduce((sum, size, i) => {
        const weight = sizes.reduce((w, x, j) => (j === i ? w : (w * (1 / 200_000 - x)) / (size - x)), 1);
        return sum + weight * full[i][share * full[i].length];
      }, 0);
      expect(Math.abs(many[share * many.length] / expected - 1), `${share}`).toBeLessThan(1e-3);
    }
  }, 60_000);

  it('keeps r_c·P_core = Σ σ_t·h to rounding, and a step of the tension in its place', () => {
    const step = { ...film, woundOn: (k: number) => (k < 1500 ? 125 : 90) };
    const full = windRoll(step);
    const roll = windRoll({ ...step, window: { fine: 64, thinning: 8 } });
    const sum = roll.hoopStress.reduce((a, s) => a + s * film.caliper, 0);
    expect(sum / (film.coreRadius * roll.pressure[0])).toBeCloseTo(1, 11);
    expect(largestDifference(full.pressure, roll.pressure)).toBeLessThan(3e-4);
    for (const i of [1498, 1499, 1500, 1501])
      expect(Math.abs(full.hoopStress[i] - roll.hoopStress[i])).toBeLessThan(2e-3 * 5e6);
  });

  it('is only taken where it is far cheaper, and refuses to follow nothing', () => {
    expect(chooseWindow({ ...film, laps: 3000 })).toBeUndefined();
    expect(chooseWindow({ ...film, laps: 8000 })).toEqual({ fine: 64, thinning: 8 });
    for (const window of [
      { fine: 1, thinning: 8 },
      { fine: 64, thinning: 0 },
      { fine: 64, thinning: 2.5 },
    ])
      expect(() => windRoll({ ...film, laps: 10, window })).toThrow(/fine window/);
    for (const laps of [1, 2, 17, 65, 90])
      expect(
        largestDifference(
          windRoll({ ...film, laps }).pressure,
          windRoll({ ...film, laps, window: { fine: 16, thinning: 4 } }).pressure,
        ),
      ).toBeLessThan(2e-4);
  });
});
