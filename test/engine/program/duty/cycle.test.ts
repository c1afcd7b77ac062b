import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Motor } from '../../../../src/engine/line/motor.js';
import {
  type DutySegment,
  dutyPeaks,
  rmsCurrentFraction,
  rmsTorque,
} from '../../../../src/engine/program/duty/cycle.js';
import { fromSI, toSI } from '../../../../src/engine/units/convert.js';

const cycle: DutySegment[] = [
  { duration: 30, torque: 120, speed: 0, endSpeed: 100 },
  { duration: 600, torque: 60, speed: 100 },
  { duration: 15, torque: -80, speed: 100, endSpeed: 0 },
  { duration: 60, torque: 0, speed: 0 },
];

test('RMS of 30 s 120, 600 s 60, 15 s -80, 60 s 0 N·m: 61.7476, self-ventilated 63.5776', () => {
  // Computed independently of this code.
  expect(rmsTorque(cycle, 'forced')).toBeCloseTo(61.7476, 4);
  expect(rmsTorque(cycle, 'self-ventilated')).toBeCloseTo(63.5776, 4);
  const us = cycle.map((s) => ({ ...s, torque: toSI(s.torque, 'torque', 'lbft') }));
  expect(fromSI(rmsTorque(us, 'forced'), 'torque', 'lbft')).toBeCloseTo(61.7476, 4);
});

test('holding a torque at rest counts with the cooling of standstill', () => {
  // √(50²·30/10) by hand.
  expect(rmsTorque([{ duration: 30, torque: 50, speed: 0 }], 'self-ventilated')).toBeCloseTo(
    50 * Math.sqrt(3),
    10,
  );
});

const motor: Motor = {
  ratedTorque: 80,
  torqueLimit: 1.5,
  baseSpeed: 50,
  cooling: 'forced',
  powerFlow: 'both',
};

test('above base speed the current counts: 40 N·m of 80 at twice base speed is all of it', () => {
  const winding = [{ duration: 100, torque: 40, speed: 100 }];
  expect(rmsCurrentFraction(winding, motor)).toBeCloseTo(1, 12);
  expect(rmsCurrentFraction(winding, { ...motor, baseSpeed: 100 })).toBeCloseTo(0.5, 12);
  expect(80 * rmsCurrentFraction(cycle, { ...motor, baseSpeed: undefined })).toBeCloseTo(61.7476, 4);
  expect(
    80 * rmsCurrentFraction(cycle, { ...motor, baseSpeed: undefined, cooling: 'self-ventilated' }),
  ).toBeCloseTo(63.5776, 4);
  // A ramp counts at its faster end, whichever that is.
  expect(rmsCurrentFraction([{ duration: 1, torque: 40, speed: -100, endSpeed: 0 }], motor)).toBeCloseTo(
    1,
    12,
  );
});

test('peaks and work of the cycle, by hand', () => {
  const d = dutyPeaks(cycle);
  expect([d.peakTorque, d.peakSegment]).toEqual([120, 0]);
  expect([d.drivingPower, d.brakingPower]).toEqual([12000, 8000]);
  expect(d.drivingEnergy).toBeCloseTo(0.5 * 12000 * 30 + 6000 * 600, 6);
  expect(d.brakingEnergy).toBeCloseTo(0.5 * 8000 * 15, 6);
});

const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const segments = fc.array(
  fc.record({
    duration: number(0.01, 1000),
    // On a grid, since the square of the smallest doubles is 0.
    torque: number(-200, 200).map((x) => Math.round(x * 1e6) / 1e6),
    speed: number(-100, 100),
    endSpeed: number(-100, 100),
  }),
  { minLength: 1, maxLength: 12 },
);

describe('laws', () => {
  test('RMS lies between mean and peak, knows neither order nor sign nor length of time', () => {
    fc.assert(
      fc.property(segments, (s) => {
        const rms = rmsTorque(s, 'forced');
        const time = s.reduce((sum, x) => sum + x.duration, 0);
        const mean = s.reduce((sum, x) => sum + x.duration * Math.abs(x.torque), 0) / time;
        expect(rms).toBeGreaterThanOrEqual(mean * (1 - 1e-12));
        expect(rms).toBeLessThanOrEqual(dutyPeaks(s).peakTorque * (1 + 1e-12));
        const other = [...s]
          .reverse()
          .map((x) => ({ ...x, torque: -x.torque, speed: -x.speed, duration: 2 * x.duration }));
        expect(Math.abs(rmsTorque(other, 'forced') - rms)).toBeLessThanOrEqual(1e-12 * rms);
        expect(rmsTorque(s, 'self-ventilated')).toBeGreaterThanOrEqual(rms);
      }),
      { seed: 1 },
    );
  });

  test('work is that of ramps cut into many pieces; driving less braking is the work in all', () => {
    fc.assert(
      fc.property(segments, (s) => {
        const n = 200;
        const cut = s.flatMap((x) =>
          Array.from({ length: n }, (_, k) => ({
            duration: x.duration / n,
            torque: x.torque,
            speed: x.speed + ((k + 0.5) / n) * (x.endSpeed - x.speed),
          })),
        );
        const [whole, pieces] = [dutyPeaks(s), dutyPeaks(cut)];
        const net = s.reduce((sum, x) => sum + 0.5 * x.duration * x.torque * (x.speed + x.endSpeed), 0);
        const scale = s.reduce((sum, x) => sum + x.duration * Math.abs(x.torque) * 100, 0);
        expect(Math.abs(whole.drivingEnergy - whole.brakingEnergy - net)).toBeLessThanOrEqual(1e-12 * scale);
        // Where power turns round within a piece the pieces miss at most (1/n)²/8 of the ramp.
        expect(Math.abs(whole.drivingEnergy - pieces.drivingEnergy)).toBeLessThanOrEqual(
          scale * (1e-9 + 1 / (4 * n * n)),
        );
        const back = dutyPeaks(s.map((x) => ({ ...x, torque: -x.torque })));
        expect(back.brakingPower).toBe(whole.drivingPower);
        expect(back.brakingEnergy).toBe(whole.drivingEnergy);
      }),
      { seed: 2 },
    );
  });
});

test.each([
  [[], /0 segments lasts no time/],
  [[{ duration: 0, torque: 1, speed: 1 }], /lasts no time/],
  [[{ duration: -1, torque: 1, speed: 1 }], /segment 0 of the cycle lasts -1 s/],
  [[{ duration: 1, torque: Number.NaN, speed: 1 }], /NaN N·m/],
])('%j is refused', (bad, message) => {
  expect(() => rmsTorque(bad, 'forced')).toThrow(message);
  expect(() => rmsCurrentFraction(bad, motor)).toThrow(message);
  expect(() => dutyPeaks(bad)).toThrow(message);
});
