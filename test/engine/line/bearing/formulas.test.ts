import { describe, expect, test } from 'vitest';
import { frictionDrag } from '../../../../src/engine/line/bearing/frictionCoefficient.js';
import {
  greasedBallBearing,
  loadFactor,
  palmgrenDrag,
} from '../../../../src/engine/line/bearing/palmgren.js';
import { rollingSlidingDrag } from '../../../../src/engine/line/bearing/rollingSliding.js';
import { fromSI, toSI } from '../../../../src/engine/units/convert.js';

const rpm = (n: number): number => toSI(n, 'angularSpeed', 'rpm');
const newtonMillimetre = 1e-3;

// 6205 under 300 N at 1000 rpm with 100 mm²/s: bore 25, outside 52, so mean diameter 38.5 mm; static rating 7800 N (from memory). The torques
// were computed independently of this code from the same formulas, and are printed here to the digits given there. They prove that the
// formulas are computed right, not that they hold: f₀, f₁, μ and the exponents are from memory, R₁ and S₁ at second hand.
const [mean, bore, load, viscosity, staticRating] = [0.0385, 0.025, 300, 100e-6, 7800];
const factors = { f0: greasedBallBearing, f1: loadFactor(load, staticRating) };

describe('a 6205 [N·mm]', () => {
  test('Palmgren: 24.589 without load, 1.732 with it, 26.32 together', () => {
    const unloaded = palmgrenDrag(mean, 0, rpm(1000), viscosity, factors) / newtonMillimetre;
    const together = palmgrenDrag(mean, load, rpm(1000), viscosity, factors) / newtonMillimetre;
    expect(unloaded).toBeCloseTo(24.589, 3);
    expect(together - unloaded).toBeCloseTo(1.732, 3);
    expect(together).toBeCloseTo(26.32, 2);
  });

  test('rolling 10.87 and sliding 0.84', () => {
    // nothing rolls at rest, so what is left there is the sliding part
    const sliding = rollingSlidingDrag(mean, load, 0, viscosity) / newtonMillimetre;
    const both = rollingSlidingDrag(mean, load, rpm(1000), viscosity) / newtonMillimetre;
    expect(sliding).toBeCloseTo(0.84, 2);
    expect(both - sliding).toBeCloseTo(10.87, 2);
  });

  test('friction at the bore 5.625', () => {
    expect(frictionDrag(bore, load) / newtonMillimetre).toBeCloseTo(5.625, 10);
  });

  test('in US units: 67.4427 lbf at a bore of 0.984252 in have 0.049785 lb·in', () => {
    // 0.5 · 0.0015 · 67.4427 · 0.984252, by hand
    const torque = frictionDrag(toSI(0.984252, 'length', 'in'), toSI(67.4427, 'tension', 'lbf'));
    expect(fromSI(torque, 'torque', 'lbin')).toBeCloseTo(0.0497855, 7);
  });
});

describe('Palmgren over speed', () => {
  const at = (n: number): number => palmgrenDrag(mean, 0, rpm(n), viscosity, { f0: 2, f1: 0 });

  test('the branches meet at ν·n = 2000 but for the rounding of the printed 160: 2000^(2/3) is 158.74', () => {
    const [below, above] = [at(20 * (1 - 1e-9)), at(20 * (1 + 1e-9))];
    expect(below / above).toBeCloseTo(160 / 158.7401, 6);
    expect(Math.abs(below / above - 1)).toBeLessThan(0.01);
  });

  test('constant below, ν·n to the power 2/3 above, whichever of the two rises', () => {
    expect(at(0)).toBe(at(19));
    expect(at(8000) / at(1000)).toBeCloseTo(4, 12);
    expect(palmgrenDrag(mean, 0, rpm(1000), 8 * viscosity, { f0: 2, f1: 0 })).toBeCloseTo(at(8000), 12);
  });
});

test('part with load: f₁ grows with the load over the rating, a tenth where no rating is stated', () => {
  expect(loadFactor(7800, 7800)).toBe(0.0009);
  expect(loadFactor(300, undefined)).toBe(loadFactor(780, 7800));
});

test.each([
  ['Palmgren', (w: number) => palmgrenDrag(mean, load, w, viscosity, factors)],
  ['rolling and sliding', (w: number) => rollingSlidingDrag(mean, load, w, viscosity)],
])('%s: the same in both directions', (_name, drag) => {
  expect(drag(-150)).toBe(drag(150));
});

test('rolling and sliding: exponents by scaling one argument at a time', () => {
  const sliding = rollingSlidingDrag(mean, load, 0, viscosity);
  const rolling = (d: number, F: number, w: number): number =>
    rollingSlidingDrag(d, F, w, viscosity) - rollingSlidingDrag(d, F, 0, viscosity);
  expect(rollingSlidingDrag(mean, 8 * load, 0, viscosity) / sliding).toBeCloseTo(32, 9);
  expect(Math.log2(rolling(mean, load, 200) / rolling(mean, load, 100))).toBeCloseTo(0.6, 9);
  expect(Math.log2(rolling(2 * mean, load, 100) / rolling(mean, load, 100))).toBeCloseTo(1.96, 9);
  expect(Math.log2(rolling(mean, 2 * load, 100) / rolling(mean, load, 100))).toBeCloseTo(0.54, 9);
});
