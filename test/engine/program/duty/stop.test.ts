import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  commonStop,
  longestStop,
  type StopSection,
  shortestStop,
  stopEnergy,
  stopTorque,
} from '../../../../src/engine/program/duty/stop.js';
import { fromSI, toSI } from '../../../../src/engine/units/convert.js';

const roll: StopSection = {
  name: 'unwind',
  inertia: 244.278464,
  radius: 0.6,
  retardingTorque: 1500,
  drivingTorque: 1500,
  tensionTorque: 0,
  drag: 0,
};

describe('full roll from 10 m/s in 4 s', () => {
  // Computed independently of this code: 1017.83 N·m, 33.9276 kJ, 16.964 kW.
  test('with the web broken', () => {
    expect(stopTorque(roll, 2.5, 'broken')).toBeCloseTo(1017.83, 2);
    const e = stopEnergy(roll, 10, 4, 'broken');
    expect(e.kinetic / 1000).toBeCloseTo(33.9276, 4);
    expect(e.absorbed).toBeCloseTo(e.kinetic, 6);
    expect(e.peakPower / 1000).toBeCloseTo(16.964, 3);
  });

  test('in US units: 5796.816 lb·ft², 1968.504 fpm, 1.968504 ft', () => {
    const us = {
      ...roll,
      inertia: toSI(5796.816, 'inertia', 'lbft2'),
      radius: toSI(1.968504, 'length', 'ft'),
    };
    const e = stopEnergy(us, toSI(1968.504, 'speed', 'fpm'), 4, 'broken');
    expect(e.kinetic / 1000).toBeCloseTo(33.9276, 3);
    // 1017.83 N·m / 1.35582
    expect(fromSI(stopTorque(us, 2.5, 'broken'), 'torque', 'lbft')).toBeCloseTo(750.71, 2);
  });

  test('tension of 600 N pulls the unwind on and holds the winder back; drag helps both', () => {
    const [pull, hold] = [
      { ...roll, tensionTorque: 360, drag: 10 },
      { ...roll, tensionTorque: -360, drag: 10 },
    ];
    expect(stopTorque(pull, 2.5, 'intact')).toBeCloseTo(1017.83 + 350, 2);
    expect(stopTorque(hold, 2.5, 'intact')).toBeCloseTo(1017.83 - 370, 2);
    for (const s of [pull, hold]) expect(stopTorque(s, 2.5, 'broken')).toBeCloseTo(1017.83 - 10, 2);
  });
});

// A line of three: which of them is weakest is worked by hand.
const sections: StopSection[] = [
  { ...roll, name: 'unwind', retardingTorque: 1000, tensionTorque: 360 }, // 10·244.278/(0.6·640) = 6.3614 s
  { ...roll, name: 'pull roll', inertia: 2, radius: 0.1, retardingTorque: 40 }, // 10·2/(0.1·40) = 5 s
  { ...roll, name: 'winder', retardingTorque: 600, tensionTorque: -360 }, // 10·244.278/(0.6·960) = 4.2410 s
];

describe('common stop', () => {
  test('the web intact: the unwind sets it and the others have torque to spare', () => {
    const stop = commonStop(sections, 10, 'intact');
    expect(stop.setBy).toBe('unwind');
    expect(stop.time).toBeCloseTo(6.3614, 4);
    const [unwind, pullRoll, winder] = stop.sections;
    expect(unwind.margin).toBeCloseTo(0, 8);
    expect(pullRoll.shortest).toBeCloseTo(5, 10);
    expect(pullRoll.torque).toBeCloseTo((2 * 10) / 6.3614 / 0.1, 3);
    expect(pullRoll.margin).toBeCloseTo(40 - (2 * 10) / 6.3614 / 0.1, 3);
    expect(winder.shortest).toBeCloseTo(4.241, 3);
    expect(winder.torque).toBeCloseTo(640 - 360, 6);
    expect(winder.margin).toBeCloseTo(320, 6);
  });

  test('the web broken: now the winder is weakest', () => {
    const stop = commonStop(sections, 10, 'broken');
    expect(stop.setBy).toBe('winder');
    expect(stop.time).toBeCloseTo((10 * 244.278464) / (0.6 * 600), 6); // 6.7855 s
  });

  test('in a given time: who cannot has a negative margin, and the weakest is still named', () => {
    const stop = commonStop(sections, 10, 'intact', 4.5);
    expect(stop.time).toBe(4.5);
    expect(stop.setBy).toBe('unwind');
    expect(stop.sections.map((s) => s.margin < 0)).toEqual([true, true, false]);
    expect(stop.sections[0].torque).toBeCloseTo((244.278464 * 10) / 4.5 / 0.6 + 360, 6);
  });

  test('a slow stop: the winder must be driven on, which a brake cannot', () => {
    const [, , winder] = sections;
    const brake = { ...winder, drivingTorque: 0 };
    // J·a/R = 360 N·m at a = 0.88424 m/s², so 11.309 s.
    expect(longestStop(brake, 10, 'intact')).toBeCloseTo(11.3092, 4);
    expect(longestStop(winder, 10, 'intact')).toBe(Number.POSITIVE_INFINITY);
    const at = (s: StopSection) => commonStop([s], 10, 'intact', 20).sections[0];
    expect(at(brake).torque).toBeCloseTo((244.278464 * 0.5) / 0.6 - 360, 6);
    expect(at(brake).margin).toBeCloseTo((244.278464 * 0.5) / 0.6 - 360, 6);
    expect(at(winder).margin).toBeCloseTo(1500 + (244.278464 * 0.5) / 0.6 - 360, 6);
  });

  test('a brake that does not hold the pull of the web never stops it', () => {
    const weak = { ...roll, retardingTorque: 300, tensionTorque: 360 };
    expect(shortestStop(weak, 10, 'intact')).toBe(Number.POSITIVE_INFINITY);
    const stop = commonStop([sections[1], weak], 10, 'intact');
    expect([stop.time, stop.setBy]).toEqual([Number.POSITIVE_INFINITY, 'unwind']);
    expect(stop.sections[0].torque).toBeNaN();
    expect(shortestStop(weak, 10, 'broken')).toBeLessThan(Number.POSITIVE_INFINITY);
  });
});

const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const any = fc.record({
  name: fc.constant('any'),
  inertia: number(0.01, 300),
  radius: number(0.05, 0.8),
  retardingTorque: number(1, 2000),
  drivingTorque: number(0, 2000),
  tensionTorque: number(-500, 500),
  drag: number(0, 30),
});

describe('laws', () => {
  test('at its shortest time a section uses all that it has, at its longest all that it can drive', () => {
    fc.assert(
      fc.property(any, number(0.5, 20), (s, v) => {
        const [short, long] = [shortestStop(s, v, 'intact'), longestStop(s, v, 'intact')];
        if (short < Number.POSITIVE_INFINITY)
          expect(stopTorque(s, v / short, 'intact')).toBeCloseTo(s.retardingTorque, 6);
        if (long < Number.POSITIVE_INFINITY)
          expect(stopTorque(s, v / long, 'intact')).toBeCloseTo(-s.drivingTorque, 6);
        expect(long).toBeGreaterThan(short === Number.POSITIVE_INFINITY ? 0 : short);
      }),
      { seed: 1 },
    );
  });

  test('at the common time nobody lacks retarding torque and the weakest has none left', () => {
    fc.assert(
      fc.property(fc.array(any, { minLength: 1, maxLength: 8 }), number(0.5, 20), (list, v) => {
        const stop = commonStop(list, v, 'broken');
        const least = Math.min(...stop.sections.map((s, i) => list[i].retardingTorque - s.torque));
        expect(least).toBeGreaterThan(-1e-6);
        expect(least).toBeLessThan(1e-6);
      }),
      { seed: 2 },
    );
  });

  test('absorbed energy is the integral of torque times speed over the stop', () => {
    fc.assert(
      fc.property(any, number(0.5, 20), number(0.5, 60), (s, v, t) => {
        const e = stopEnergy(s, v, t, 'intact');
        const n = 400;
        let work = 0;
        for (let k = 0; k < n; k++)
          work += (stopTorque(s, v / t, 'intact') * (v / s.radius) * (1 - (k + 0.5) / n) * t) / n;
        const scale = e.kinetic + ((Math.abs(s.tensionTorque) + s.drag) * v * t) / s.radius;
        expect(Math.abs(e.absorbed - work)).toBeLessThan(1e-9 * scale);
        // Energy balance: kinetic, and what the web's pull and the drag do over the length v·t/2.
        const length = (v * t) / 2;
        const balance = e.kinetic + ((s.tensionTorque - s.drag) / s.radius) * length;
        expect(Math.abs(e.absorbed - balance)).toBeLessThan(1e-9 * scale);
      }),
      { seed: 3 },
    );
  });
});

test.each([
  [{ inertia: 0 }],
  [{ radius: 0 }],
  [{ retardingTorque: -1 }],
  [{ drivingTorque: Number.NaN }],
  [{ tensionTorque: Number.POSITIVE_INFINITY }],
  [{ drag: -1 }],
])('a section with %j is refused by name', (change) => {
  const bad = { ...roll, ...change };
  expect(() => shortestStop(bad, 10, 'intact')).toThrow(/unwind cannot be stopped/);
  expect(() => commonStop([bad], 10, 'intact')).toThrow(/unwind cannot be stopped/);
  expect(() => stopEnergy(bad, 10, 4, 'intact')).toThrow(/unwind cannot be stopped/);
});

test('no sections, no speed and no time are refused', () => {
  expect(() => commonStop([], 10, 'intact')).toThrow(/no stop of 0 sections/);
  expect(() => commonStop([roll], 10, 'intact', 0)).toThrow(/in 0 s/);
  expect(() => commonStop([roll], 0, 'intact')).toThrow(/from 0 m\/s/);
  expect(() => stopEnergy(roll, 10, Number.NaN, 'intact')).toThrow(/NaN s/);
});
