import { describe, expect, it } from 'vitest';
import { alwaysWindow, largestDifference } from '../../../../src/engine/roll/stress/chooseWindow.js';
import { stackModulus } from '../../../../src/engine/roll/stress/stackModulus.js';
import type { WindingInput } from '../../../../src/engine/roll/stress/windingInput.js';
import { windRoll } from '../../../../src/engine/roll/stress/windRoll.js';

const film: WindingInput = {
  laps: 1500,
  caliper: 25e-6,
  coreRadius: 0.0445,
  modulus: 4.5e9,
  poisson: 0.01,
  stack: stackModulus({ law: 'exponential', k1: 3000, k2: 120 }),
  coreStiffness: 1.11979e10,
  woundOn: () => 125,
};

describe('a roll that is looked at while it is wound', () => {
  it('holds what a roll of as many laps holds, in every lap', () => {
    const { during } = windRoll({ ...film, lookAt: [900, 1, 30, 1500] });
    expect(during.map((d) => d.laps)).toEqual([1, 30, 900, 1500]);
    for (const { laps, pressure } of during) {
      const own = windRoll({ ...film, laps });
      expect(pressure.length).toBe(laps);
      expect(largestDifference(own.pressure, pressure)).toBeLessThan(1e-14);
    }
  });

  it('does so with a window as well, and is not changed by being looked at', () => {
    const window = alwaysWindow(1500);
    const looked = windRoll({ ...film, window, lookAt: [200, 777, 1000] });
    expect(Array.from(looked.pressure)).toEqual(Array.from(windRoll({ ...film, window }).pressure));
    for (const { laps, pressure } of looked.during) {
      const own = windRoll({ ...film, laps });
      // The window's own error, as it is stated for film: below 3e-4 of the largest pressure.
      expect(largestDifference(own.pressure, pressure)).toBeLessThan(3e-4);
    }
  });

  it('is refused where there is no such lap', () => {
    for (const lap of [0, 1501, 2.5, Number.NaN])
      expect(() => windRoll({ ...film, lookAt: [lap] })).toThrowError(/no roll/);
  });
});

describe('a roll whose increments die away on a short way', () => {
  it('stays right where they fall by hundreds of powers of ten to the core: constant modulus, g = 400, radii 1 to 4', () => {
    const [g, laps, rc, h] = [400, 3000, 0.1, 1e-4];
    const c = 4.5e9 / film.coreStiffness + film.poisson;
    const roll = windRoll({
      ...film,
      laps,
      coreRadius: rc,
      caliper: h,
      stack: stackModulus({ law: 'constant', modulus: 4.5e9 / g ** 2 }),
    });
    // Closed form, lap by lap: r·P = Σ T·φ(r)/φ(s), φ = x^g + B·x^−g, in logarithms since φ reaches 10^240.
    const b = (g - c) / (g + c);
    const logPhi = (r: number): number => g * Math.log(r / rc) + Math.log1p(b * (r / rc) ** (-2 * g));
    for (const i of [0, 5, 1000, 2999]) {
      const r = rc + i * h;
      let sum = 0;
      for (let j = i; j < laps; j++) sum += 125 * Math.exp(logPhi(r) - logPhi(rc + j * h));
      expect(roll.pressure[i] / (sum / r)).toBeCloseTo(1, 10);
    }
  });

  it('gives numbers for a stack that is next to nothing at rest, whichever way its modulus is taken', () => {
    for (const update of ['explicit', 'mid-increment', 'corrected'] as const) {
      const roll = windRoll({
        ...film,
        laps: 400,
        update,
        stack: stackModulus({ law: 'exponential', k1: 1e-9, k2: 120 }),
      });
      expect(roll.pressure.every((p) => Number.isFinite(p) && p > 0)).toBe(true);
      const taken = roll.hoopStress.reduce((a, s) => a + s * film.caliper, 0);
      expect(taken / (roll.radius[0] * roll.pressure[0])).toBeCloseTo(1, 12);
    }
  });

  it('winds laps without tension in between as if they were not pulled, and goes on', () => {
    const roll = windRoll({ ...film, laps: 300, woundOn: (k) => (k >= 100 && k < 120 ? 0 : 125) });
    expect(roll.pressure.every((p) => Number.isFinite(p) && p > 0)).toBe(true);
    const tight = windRoll({ ...film, laps: 300 });
    expect(roll.pressure[110]).toBeLessThan(tight.pressure[110]);
  });
});

describe('the order of convergence in the lap', () => {
  /** Newsprint wound to one diameter with laps of a size: the same stress in the web, so the tension goes with the caliper. */
  const wound = (laps: number, update: WindingInput['update']) => {
    const caliper = 0.14 / laps;
    return windRoll({
      ...film,
      laps,
      caliper,
      coreRadius: 0.045,
      modulus: 4e9,
      stack: stackModulus({ law: 'exponential', k1: 3000, k2: 35 }),
      coreStiffness: 5e9,
      woundOn: () => 4.3e6 * caliper,
      update,
    }).pressure;
  };
  const sizes = [2000, 4000, 8000];
  const reference = sizes.map((laps) => wound(laps, 'corrected'));
  const middle = (pressure: Float64Array): number => pressure[pressure.length / 2] as number;
  /** How much smaller what a way of taking the modulus errs by gets when laps are halved, in the middle of the build. */
  const gains = (update: WindingInput['update']): [number, number] => {
    const [a, b, c] = sizes.map(
      (laps, k) => middle(wound(laps, update)) / middle(reference[k] as Float64Array) - 1,
    ) as [number, number, number];
    return [a / b, b / c];
  };

  it('is first for the explicit form: halving the laps halves what it is low by', () => {
    const [first, second] = gains('explicit');
    expect(first).toBeGreaterThan(1.8);
    expect(second).toBeGreaterThan(first);
    expect(second).toBeLessThan(2.05);
  });

  it('goes to second for the foreseen increment: halving the laps makes it four times better in the end', () => {
    const [first, second] = gains('mid-increment');
    expect(first).toBeGreaterThan(2.8);
    expect(second).toBeGreaterThan(first);
    expect(second).toBeLessThan(4.2);
  });

  it('is first in the lap itself, which is a physical size: pressures at one radius go to a limit', () => {
    // Under the lap at a quarter, a half and three quarters of the build.
    for (const share of [0.25, 0.5, 0.75]) {
      const [a, b, c] = reference.map((p) => p[share * p.length]) as [number, number, number];
      expect((b - a) / (c - b)).toBeGreaterThan(1.7);
      expect((b - a) / (c - b)).toBeLessThan(2.3);
    }
  });
});
