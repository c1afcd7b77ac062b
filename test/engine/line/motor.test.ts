import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  availableTorque,
  emptyMotorDemand,
  type Motor,
  motorDemand,
  peakTorqueAt,
  powerFlowAllowed,
  ratedTorqueAt,
  requireMotor,
  torqueCurrentFraction,
  torqueFraction,
} from '../../../src/engine/line/motor.js';
import { fromSI, toSI } from '../../../src/engine/units/convert.js';

const motor: Motor = {
  ratedTorque: 100,
  torqueLimit: 1.5,
  baseSpeed: 150,
  maxSpeed: 450,
  cooling: 'forced',
  powerFlow: 'both',
};

describe('torque over speed', () => {
  // By hand: constant torque to 150 rad/s, constant power to 450 rad/s.
  test.each([
    [0, 100],
    [150, 100],
    [-150, 100],
    [300, 50],
    [-300, 50],
    [450, 100 / 3],
    [450.01, 0],
  ])('at %d rad/s %d N·m for ever, half as much again for a short time', (speed, rated) => {
    expect(ratedTorqueAt(motor, speed)).toBeCloseTo(rated, 12);
    expect(peakTorqueAt(motor, speed)).toBeCloseTo(1.5 * rated, 12);
  });

  test('without a base speed the torque is constant, without a maximum speed it never ends', () => {
    const brake: Motor = { ...motor, baseSpeed: undefined, maxSpeed: undefined };
    expect(ratedTorqueAt(brake, 5000)).toBe(100);
  });

  test('rated power is constant above base speed, and nothing steps up to the maximum speed', () => {
    fc.assert(
      fc.property(fc.double({ min: 150, max: 449, noNaN: true }), (w) => {
        expect(ratedTorqueAt(motor, w) * w).toBeCloseTo(100 * 150, 8);
        expect(Math.abs(ratedTorqueAt(motor, w + 1e-6) - ratedTorqueAt(motor, w))).toBeLessThan(1e-6);
      }),
      { seed: 1 },
    );
    expect(Math.abs(ratedTorqueAt(motor, 150 - 1e-6) - ratedTorqueAt(motor, 150 + 1e-6))).toBeLessThan(1e-6);
  });
});

test('100 % of rated torque current gives the torque that is there for ever, at every speed and both ways', () => {
  fc.assert(
    fc.property(fc.double({ min: -450, max: 450, noNaN: true }), (w) => {
      expect(torqueCurrentFraction(motor, ratedTorqueAt(motor, w), w)).toBeCloseTo(1, 12);
      expect(torqueCurrentFraction(motor, -peakTorqueAt(motor, w), w)).toBeCloseTo(-1.5, 12);
    }),
    { seed: 2 },
  );
  // 40 N·m at twice base speed: 40 % of the nameplate, 80 % of the current.
  expect(torqueFraction(motor, 40)).toBe(0.4);
  expect(torqueCurrentFraction(motor, 40, 300)).toBeCloseTo(0.8, 12);
});

test.each([
  // driving, braking, holding back at rest, starting forward; then the same mirrored
  ['both', true, true, true, true],
  ['driving', true, false, false, true],
  ['braking', false, true, true, false],
] as const)('power flow %s', (powerFlow, drives, brakes, holds, starts) => {
  const m: Motor = { ...motor, powerFlow };
  expect(powerFlowAllowed(m, 10, 5)).toBe(drives);
  expect(powerFlowAllowed(m, -10, -5)).toBe(drives);
  expect(powerFlowAllowed(m, -10, 5)).toBe(brakes);
  expect(powerFlowAllowed(m, 10, -5)).toBe(brakes);
  expect(powerFlowAllowed(m, -10, 0)).toBe(holds);
  expect(powerFlowAllowed(m, 10, 0)).toBe(starts);
  expect(powerFlowAllowed(m, 0, 5)).toBe(true);
  expect(availableTorque(m, 10, 5)).toBe(drives ? 150 : 0);
  expect(availableTorque(m, -10, 5)).toBe(brakes ? 150 : 0);
});

test('one working point: power, fractions, margin; in US units 100 lb·ft at 1750 rpm are 33.32 hp', () => {
  const us: Motor = {
    ...motor,
    ratedTorque: toSI(80, 'torque', 'lbft'),
    baseSpeed: toSI(1750, 'angularSpeed', 'rpm'),
    maxSpeed: toSI(3500, 'angularSpeed', 'rpm'),
  };
  const d = motorDemand(us, toSI(100, 'torque', 'lbft'), us.baseSpeed!, emptyMotorDemand());
  expect(fromSI(d.power, 'power', 'hp')).toBeCloseTo((100 * 1750) / 5252.113, 4);
  expect(d.fraction).toBeCloseTo(1.25, 12);
  expect(d.currentFraction).toBeCloseTo(1.25, 12);
  expect(fromSI(d.margin, 'torque', 'lbft')).toBeCloseTo(20, 10);
  motorDemand({ ...us, powerFlow: 'driving' }, -d.torque, d.speed, d);
  expect(fromSI(d.margin, 'torque', 'lbft')).toBeCloseTo(-100, 10);
  expect(d.power).toBeLessThan(0);
});

test.each([
  [{ ratedTorque: 0 }, /rated torque 0/],
  [{ ratedTorque: Number.NaN }, /NaN/],
  [{ torqueLimit: 0.9 }, /torque limit 0.9/],
  [{ baseSpeed: 0 }, /baseSpeed 0/],
  [{ maxSpeed: -1 }, /maxSpeed -1/],
  [{ maxSpeed: 100 }, /100 rad\/s is below base speed 150/],
  [{ inertia: -1 }, /inertia -1/],
])('%j is refused', (change, message) => {
  expect(() => requireMotor({ ...motor, ...change })).toThrow(message);
  expect(() => requireMotor(motor)).not.toThrow();
});
