import fc from 'fast-check';
import { expect, test } from 'vitest';
import { isTautlineError } from '../../../../src/engine/errors.js';
import { bearingBand } from '../../../../src/engine/line/bearing/bearingBand.js';
import type { Bearings } from '../../../../src/engine/line/line.js';
import { toSI } from '../../../../src/engine/units/convert.js';

/** Two 6205, from memory: 25 mm bore, 52 mm outside, static rating 7.8 kN. */
const pair: Bearings = {
  count: 2,
  bore: 0.025,
  outerDiameter: 0.052,
  kinematicViscosity: 100e-6,
  staticRating: 7800,
  sealed: false,
};
const speed = toSI(1000, 'angularSpeed', 'rpm');

test('two 6205 that share 600 N: from 2 · 5.625 to 2 · 26.32 N·mm, a factor of 4.7 between accepted methods', () => {
  const band = bearingBand(pair, 600, speed);
  expect(band.low).toBeCloseTo(2 * 5.625e-3, 9);
  expect(band.high).toBeCloseTo(2 * 26.32e-3, 5);
  expect(band.high / band.low).toBeCloseTo(4.7, 1);
  expect(band.methods.map((m) => (1e3 * m.torque) / 2).map((t) => t.toFixed(1))).toEqual([
    '26.3',
    '11.7',
    '5.6',
  ]);
  for (const method of band.methods) expect(method.fromMemory).not.toBe('');
  expect(band.isLowerBound).toBe(false);
});

test('rubbing seals change no number but make it a lower bound', () => {
  const sealed = bearingBand({ ...pair, sealed: true }, 600, speed);
  expect(sealed).toEqual({ ...bearingBand(pair, 600, speed), isLowerBound: true });
});

const loads = fc.double({ min: 0, max: 5000, noNaN: true });
const speeds = fc.double({ min: 0, max: 400, noNaN: true });

test('laws: ends are those of the methods; more load is never less drag; twice the bearings under twice the load have twice', () => {
  fc.assert(
    fc.property(loads, loads, speeds, (one, other, w) => {
      const [light, heavy] = [Math.min(one, other), Math.max(one, other)].map((F) => bearingBand(pair, F, w));
      if (light === undefined || heavy === undefined) throw new Error('two loads, two bands');
      for (const [k, method] of light.methods.entries()) {
        expect(method.torque).toBeGreaterThanOrEqual(light.low);
        expect(method.torque).toBeLessThanOrEqual(light.high);
        expect(method.torque).toBeLessThanOrEqual(heavy.methods[k]?.torque ?? Number.NaN);
      }
      const double = bearingBand({ ...pair, count: 4 }, 2 * one, w);
      const single = bearingBand(pair, one, w);
      expect(Math.abs(double.low - 2 * single.low)).toBeLessThanOrEqual(1e-14 * double.low);
      expect(Math.abs(double.high - 2 * single.high)).toBeLessThanOrEqual(1e-14 * double.high);
    }),
    { seed: 6 },
  );
});

test.each<[string, Partial<Bearings>, number, number]>([
  ['no bearing', { count: 0 }, 600, speed],
  ['half a bearing', { count: 2.5 }, 600, speed],
  ['a bore of 0', { bore: 0 }, 600, speed],
  ['an outer diameter below the bore', { outerDiameter: 0.02 }, 600, speed],
  ['an endless outer diameter', { outerDiameter: Number.POSITIVE_INFINITY }, 600, speed],
  ['no viscosity', { kinematicViscosity: 0 }, 600, speed],
  ['a rating of 0', { staticRating: 0 }, 600, speed],
  ['a rating below 0', { staticRating: -7800 }, 600, speed],
  ['a load below 0', {}, -1, speed],
  ['a load that is no number', {}, Number.NaN, speed],
  ['a load without end', {}, Number.POSITIVE_INFINITY, speed],
  ['a speed that is no number', {}, 600, Number.NaN],
])('%s is refused', (_name, change, load, omega) => {
  let error: unknown;
  try {
    bearingBand({ ...pair, ...change }, load, omega);
  } catch (e) {
    error = e;
  }
  expect(isTautlineError(error) && error.code).toBe('argument_invalid');
  for (const value of [...Object.values(change), load, omega])
    expect((error as Error).message).toContain(String(value));
});
