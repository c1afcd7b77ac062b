import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { isTautlineError } from '../../../src/engine/errors.js';
import {
  type Gearbox,
  requireGearbox,
  reversalStep,
  torqueAtMotor,
  torqueAtRoller,
  totalInertiaAtMotor,
} from '../../../src/engine/line/gearbox.js';
import { inertiaAtMotor } from '../../../src/engine/line/inertia.js';
import { fromSI, toSI } from '../../../src/engine/units/convert.js';

const gearbox: Gearbox = { ratio: 4, efficiency: 0.96 };

// Sizing chain, worked by hand: 600 N at 0.6 m radius, i = 4, 96 %.
test('360 N·m at the roller are 93.75 N·m driving and 86.40 N·m braking', () => {
  expect(torqueAtMotor(gearbox, 360, 16)).toBeCloseTo(93.75, 10);
  expect(torqueAtMotor(gearbox, -360, 16)).toBeCloseTo(-86.4, 10);
  const lbft = toSI(265.52237, 'torque', 'lbft'); // 360 N·m / 1.3558179483
  expect(fromSI(torqueAtMotor(gearbox, lbft, 16), 'torque', 'lbft')).toBeCloseTo(69.146451, 5);
  expect(fromSI(torqueAtMotor(gearbox, lbft, -16), 'torque', 'lbft')).toBeCloseTo(63.725369, 5);
});

test('inertia of 244.278464 kg·m² is 15.2674 at the motor, rotor and gearbox on top', () => {
  expect(totalInertiaAtMotor(gearbox, 244.278464, 0, 0)).toBeCloseTo(15.2674, 4);
  expect(totalInertiaAtMotor(gearbox, 244.278464, 0.02, 0.3)).toBeCloseTo(15.2674 + 0.32, 4);
  expect(inertiaAtMotor(244.278464, 4)).toBe(totalInertiaAtMotor(gearbox, 244.278464, 0, 0));
});

const boxes = fc.record({
  ratio: fc.double({ min: 0.1, max: 60, noNaN: true }),
  efficiency: fc.double({ min: 0.3, max: 1, noNaN: true }),
});
const torques = fc.double({ min: -1e4, max: 1e4, noNaN: true });
const speeds = fc.double({ min: -300, max: 300, noNaN: true }).filter((w) => Math.abs(w) > 1e-6);

describe('laws', () => {
  test('the gearbox takes power and never gives any: loss = (1 − η) of the power that enters', () => {
    fc.assert(
      fc.property(boxes, torques, speeds, (box, T, omega) => {
        const motor = torqueAtMotor(box, T, omega) * box.ratio * omega;
        const roller = T * omega;
        const entering = Math.max(motor, -roller);
        expect(motor - roller).toBeCloseTo((1 - box.efficiency) * entering, 5);
        expect(entering).toBeGreaterThanOrEqual(0);
      }),
      { seed: 1 },
    );
  });

  test('torqueAtRoller undoes torqueAtMotor, at standstill too', () => {
    fc.assert(
      fc.property(boxes, torques, fc.oneof(speeds, fc.constant(0)), (box, T, omega) => {
        const back = torqueAtRoller(box, torqueAtMotor(box, T, omega), omega);
        expect(Math.abs(back - T)).toBeLessThanOrEqual(1e-12 * Math.abs(T) + 1e-300);
      }),
      { seed: 2 },
    );
  });

  test('mirrored rotation mirrors the torque', () => {
    fc.assert(
      fc.property(boxes, torques, speeds, (box, T, omega) => {
        expect(torqueAtMotor(box, -T, -omega)).toBe(-torqueAtMotor(box, T, omega));
      }),
      { seed: 3 },
    );
  });

  test('no step in the torque at T = 0, whatever the way: the slope is at most 1/(i·η)', () => {
    fc.assert(
      fc.property(boxes, torques, speeds, fc.double({ min: 1e-9, max: 50, noNaN: true }), (box, T, w, d) => {
        const change = torqueAtMotor(box, T + d, w) - torqueAtMotor(box, T, w);
        const step = T + d - T;
        expect(change).toBeLessThanOrEqual((step / (box.ratio * box.efficiency)) * (1 + 1e-9) + 1e-10);
        expect(change).toBeGreaterThanOrEqual(((step * box.efficiency) / box.ratio) * (1 - 1e-9) - 1e-10);
      }),
      { seed: 4 },
    );
  });

  test('the step where rotation reverses under a torque is |T|·(1/η − η)/i; without losses there is none', () => {
    fc.assert(
      fc.property(boxes, torques, (box, T) => {
        const seen = Math.abs(torqueAtMotor(box, T, 1e-6) - torqueAtMotor(box, T, -1e-6));
        expect(seen).toBeCloseTo(reversalStep(box, T), 7);
        expect(reversalStep({ ratio: box.ratio, efficiency: 1 }, T)).toBe(0);
      }),
      { seed: 5 },
    );
    expect(reversalStep(gearbox, -360)).toBeCloseTo(93.75 - 86.4, 10);
  });
});

test.each([0, -0.1, 1.01, Number.NaN, 96])('an efficiency of %d is refused', (efficiency) => {
  for (const act of [
    () => requireGearbox({ ratio: 4, efficiency }),
    () => torqueAtMotor({ ratio: 4, efficiency }, 1, 1),
    () => reversalStep({ ratio: 4, efficiency }, 1),
  ]) {
    let error: unknown;
    try {
      act();
    } catch (e) {
      error = e;
    }
    expect(isTautlineError(error) && error.code).toBe('argument_invalid');
    expect((error as Error).message).toContain(String(efficiency));
  }
});

test.each([0, -4, Number.NaN, Number.POSITIVE_INFINITY])('a ratio of %d is refused', (ratio) => {
  expect(() => requireGearbox({ ratio, efficiency: 1 })).toThrow(/gear ratio/);
});
