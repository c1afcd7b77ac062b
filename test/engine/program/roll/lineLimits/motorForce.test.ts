import { describe, expect, it } from 'vitest';
import type { Motor } from '../../../../../src/engine/line/motor.js';
import type { DriveModel } from '../../../../../src/engine/program/drives/driveModel.js';
import { motorForce } from '../../../../../src/engine/program/roll/lineLimits/motorForce.js';

const motor: Motor = {
  ratedTorque: 100,
  torqueLimit: 1.5,
  cooling: 'forced',
  powerFlow: 'both',
};

/** A motor without gearbox on a roll of 1.5 m width: M = T·W·R + J·a/R + 8 N·m of drag, J = 20 kg·m². */
const model = (own: Partial<Motor> = {}, share = 1): DriveModel =>
  ({
    name: 'winder',
    missing: [],
    drive: { motor: { ...motor, ...own } },
    torque: (diameter: number, speed: number, a: number, _parts: unknown, tension = 1) =>
      share * tension * 1.5 * 0.5 * diameter + (20 * a) / (0.5 * diameter) + (speed > 0 ? 8 : 0),
    motorSpeed: (diameter: number, speed: number) => speed / (0.5 * diameter),
  }) as unknown as DriveModel;

describe('the force that a motor can make at its roll', () => {
  it('is the lasting torque less drag, over W·R, while short-time torque leaves more: by hand at 0.5 and 1 m', () => {
    const rates = { speed: 5, acceleration: 0.2, stop: 0.2 };
    // (100 − 8)/(1.5·0.25) = 245.3 N/m; speeding up asks 20·0.2/0.25 = 16 N·m of the 150: (150 − 8 − 16)/0.375 = 336 N/m
    const half = motorForce(model(), 0.5, rates, 1);
    expect(half?.upper).toBeCloseTo(92 / 0.375, 2);
    // downwards drag helps: −(100 + 8)/0.375
    expect(half?.lower).toBeCloseTo(-108 / 0.375, 2);
    expect(motorForce(model(), 1, rates, 1)?.upper).toBeCloseTo(92 / 0.75, 2);
  });

  it('is what acceleration leaves of the short-time torque where that is less', () => {
    // 20·1/0.25 = 80 N·m: (150 − 8 − 80)/0.375 = 165.3 N/m upwards, −(150 + 8 − 80)/0.375 = −208 N/m in a stop of 1 m/s²
    const range = motorForce(model(), 0.5, { speed: 5, acceleration: 1, stop: 1 }, 1);
    expect(range?.upper).toBeCloseTo(62 / 0.375, 2);
    expect(range?.lower).toBeCloseTo(-78 / 0.375, 2);
  });

  it('counts the force through one of two motors, not the tension of both', () => {
    const rates = { speed: 5 };
    expect(motorForce(model({}, 0.5), 0.5, rates, 2)?.upper).toBeCloseTo(92 / 0.375, 2);
  });

  it('has no end at 0 for a brake that can only hold back, and is none where acceleration alone asks too much', () => {
    const brake = motorForce(model({ powerFlow: 'braking' }), 0.5, { speed: 5 }, 1);
    expect(brake?.upper).toBeCloseTo(-8 / 0.375, 1);
    expect(brake?.lower).toBeCloseTo(-108 / 0.375, 2);
    expect(motorForce(model(), 0.5, { speed: 5, acceleration: 4, stop: 4 }, 1)).toBeUndefined();
  });
});
