import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { cylinderInertia, cylinderMass } from '../../../src/engine/line/inertia.js';
import {
  changingMassTension,
  lapsBetween,
  lengthBetween,
  radiusAfterLaps,
  radiusAfterLength,
  radiusRate,
  rollAngularAcceleration,
  rollInertia,
  rollMass,
} from '../../../src/engine/roll/buildUp.js';
import { fromSI, toSI } from '../../../src/engine/units/convert.js';
import { basisWeight } from '../../../src/engine/web/web.js';

const relativeError = (got: number, want: number): number => Math.abs(got / want - 1);

const roll = fc.record({
  core: fc.double({ min: 0.02, max: 0.3, noNaN: true }),
  caliper: fc.double({ min: 5e-6, max: 1e-3, noNaN: true }),
  laps: fc.integer({ min: 1, max: 3000 }),
});

describe('radius, laps and length', () => {
  // R² = R₀² + h·L/π worked out with 25 decimal digits apart from this code, printed to nine.
  test.each([
    [600, 0.280881421],
    [3600, 0.678871296],
  ])('core of 0.05 m, 50 µm at 8 m/s for %d s', (time, want) => {
    expect(radiusAfterLength(0.05, 50e-6, 8 * time)).toBeCloseTo(want, 9);
  });

  test('4000 laps of 50 µm on 0.05 m: 0.25 m and 3769.9112 m of web', () => {
    expect(radiusAfterLaps(0.05, 50e-6, 4000)).toBeCloseTo(0.25, 12);
    expect(lengthBetween(0.05, 0.25, 50e-6)).toBeCloseTo(3769.9112, 4);
  });

  test('US twin: 3 in core to 40 in of 2 mil web by hand', () => {
    // by area, in inches
    const feet = ((Math.PI / 4) * (40 ** 2 - 3 ** 2)) / 0.002 / 12;
    const length = lengthBetween(
      toSI(1.5, 'length', 'in'),
      toSI(20, 'length', 'in'),
      toSI(2, 'caliper', 'mil'),
    );
    expect(relativeError(fromSI(length, 'webLength', 'ft'), feet)).toBeLessThan(1e-13);
  });

  test('laps, length and area say the same', () => {
    fc.assert(
      fc.property(roll, ({ core, caliper, laps }) => {
        const radius = radiusAfterLaps(core, caliper, laps);
        let sum = 0;
        for (let lap = 0; lap < laps; lap++) sum += 2 * Math.PI * (core + (lap + 0.5) * caliper);
        const length = lengthBetween(core, radius, caliper);
        expect(relativeError(length, sum)).toBeLessThan(1e-9);
        expect(relativeError(radiusAfterLength(core, caliper, length), radius)).toBeLessThan(1e-12);
        expect(relativeError(lapsBetween(core, radius, caliper), laps)).toBeLessThan(1e-9);
        // and taken off again
        expect(relativeError(radiusAfterLength(radius, caliper, -length), core)).toBeLessThan(1e-9);
        expect(lengthBetween(radius, core, caliper)).toBe(-length);
      }),
      { numRuns: 50 },
    );
  });

  test('more web than the roll holds is refused with the values', () => {
    expect(() => radiusAfterLength(0.1, 50e-6, -1000)).toThrowError(
      expect.objectContaining({
        code: 'argument_invalid',
        where: { radius: 0.1, caliper: 50e-6, length: -1000 },
      }),
    );
    expect(() => radiusAfterLength(Number.NaN, 50e-6, 1)).toThrowError(/NaN/);
  });
});

describe('mass and inertia', () => {
  test('roll of 1.2 m on a 0.1 m core, 1.5 m wide, 800 kg/m³ in both systems', () => {
    // Worked by hand, printed to eight digits.
    const mass = rollMass(800, 1.5, 0.6, 0.05);
    const inertia = rollInertia(800, 1.5, 0.6, 0.05, 0);
    expect(mass).toBeCloseTo(1347.7432, 4);
    expect(fromSI(mass, 'mass', 'lb')).toBeCloseTo(2971.265, 3);
    expect(inertia).toBeCloseTo(244.278464, 6);
    expect(fromSI(inertia, 'inertia', 'lbft2')).toBeCloseTo(5796.816, 3);
  });

  test('equals the hollow cylinder plus what was given for the core', () => {
    expect(relativeError(rollMass(640, 2.1, 0.55, 0.06), cylinderMass(640, 2.1, 0.55, 0.06))).toBeLessThan(
      1e-14,
    );
    const web = cylinderInertia(640, 2.1, 0.55, 0.06);
    expect(relativeError(rollInertia(640, 2.1, 0.55, 0.06, 0.7), web + 0.7)).toBeLessThan(1e-14);
    expect(rollInertia(640, 2.1, 0.06, 0.06, 0.7)).toBe(0.7);
  });

  test('mass is basis weight times area, whatever the laps', () => {
    const length = lengthBetween(0.05, 0.6, 80e-6);
    expect(relativeError(rollMass(800, 1.5, 0.6, 0.05), basisWeight(800, 80e-6) * 1.5 * length)).toBeLessThan(
      1e-13,
    );
  });
});

describe('rates', () => {
  test.each([1, -1] as const)('sense %d: dR/dt is the derivative of the radius over time', (sense) => {
    const [radius, caliper, speed] = [0.3, 120e-6, 9];
    const radiusAt = (t: number): number => radiusAfterLength(radius, caliper, sense * speed * t);
    const step = 1;
    const slope = (radiusAt(step) - radiusAt(-step)) / (2 * step);
    expect(relativeError(radiusRate(caliper, speed, radius, sense), slope)).toBeLessThan(1e-5);
    // one caliper a turn
    expect(radiusRate(caliper, speed, radius, sense)).toBeCloseTo(
      (sense * caliper * (speed / radius)) / (2 * Math.PI),
      15,
    );
  });

  test.each([1, -1] as const)('sense %d: angular acceleration is the derivative of v/R', (sense) => {
    const [radius, caliper, speed, a] = [0.1, 250e-6, 20, 0.6];
    const omega = (t: number): number =>
      (speed + a * t) / radiusAfterLength(radius, caliper, sense * (speed * t + 0.5 * a * t * t));
    // Two steps and Richardson: the error left is of fourth order.
    const difference = (h: number): number => (omega(h) - omega(-h)) / (2 * h);
    const slope = (4 * difference(0.01) - difference(0.02)) / 3;
    expect(relativeError(rollAngularAcceleration(a, speed, radius, caliper, sense), slope)).toBeLessThan(
      1e-7,
    );
  });

  test('at constant speed the winder slows down, the unwind speeds up', () => {
    expect(rollAngularAcceleration(0, 10, 0.2, 1e-4, 1)).toBeLessThan(0);
    expect(rollAngularAcceleration(0, 10, 0.2, 1e-4, -1)).toBeGreaterThan(0);
  });

  test('tension of a changing mass: 50 µm film 6.95 N, 80 g/m² at 20 m/s 32 N', () => {
    expect(changingMassTension(basisWeight(1390, 50e-6), 1, 10)).toBeCloseTo(6.95, 12);
    expect(changingMassTension(0.08, 1, 20)).toBeCloseTo(32, 12);
  });

  test('tension of a changing mass is what J̇·ω would add at the surface of the roll', () => {
    const [density, width, caliper, speed, radius] = [900, 1.4, 200e-6, 15, 0.3];
    const inertia = (t: number): number =>
      rollInertia(density, width, radiusAfterLength(radius, caliper, speed * t), 0.05, 0.4);
    const rate = (inertia(0.1) - inertia(-0.1)) / 0.2;
    expect(
      relativeError(
        changingMassTension(basisWeight(density, caliper), width, speed),
        (rate * (speed / radius)) / radius,
      ),
    ).toBeLessThan(1e-6);
  });
});
