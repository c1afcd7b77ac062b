import { describe, expect, it } from 'vitest';
import type { SetpointProgram } from '../../../src/engine/program/product.js';
import {
  eventShare,
  runningShares,
  setpointRows,
  speedShare,
  stateShare,
} from '../../../src/engine/program/setpoint.js';

const setpoint: SetpointProgram = {
  stall: 0.4,
  fullFrom: 2,
  accelerating: 1.1,
  decelerating: 0.9,
  splice: { share: 1.3, ramp: 2 },
};

describe('the tension setpoint', () => {
  it('rises from stall to the whole schedule with the speed, straight and without a step', () => {
    // s + (1 − s)·v/v1
    expect([0, 0.5, 1, 2, 9].map((v) => speedShare(setpoint, v))).toEqual([
      0.4,
      expect.closeTo(0.55, 12),
      expect.closeTo(0.7, 12),
      1,
      1,
    ]);
    expect(speedShare(setpoint, -1)).toBe(speedShare(setpoint, 1));
    expect(speedShare({ ...setpoint, stall: 1, fullFrom: 0 }, 0)).toBe(1);
  });

  it('takes what speed changes and events ask for on top, and no event that the program does not have', () => {
    expect(stateShare(setpoint, 'standstill', 5)).toBe(0.4);
    expect(stateShare(setpoint, 'accelerating', 1)).toBeCloseTo(0.7 * 1.1, 12);
    expect(stateShare(setpoint, 'decelerating', 5)).toBeCloseTo(0.9, 12);
    expect(stateShare(setpoint, 'splice', 5)).toBeCloseTo(1.3, 12);
    expect(stateShare(setpoint, 'transfer', 5)).toBeUndefined();
    expect(runningShares(setpoint)).toEqual({ smallest: 0.9, largest: 1.3 });
  });

  it('brings a splice in and takes it out over its ramp, at a slope of (share − 1)/ramp and no step', () => {
    const at = (t: number): number => eventShare({ share: 1.3, ramp: 2 }, t, 10);
    expect([-1, 0, 1, 2, 6, 10, 11, 12, 20].map(at)).toEqual(
      [1, 1, 1.15, 1.3, 1.3, 1.3, 1.15, 1, 1].map((x) => expect.closeTo(x, 12)),
    );
    for (let t = -1; t < 13; t += 0.01)
      expect(Math.abs(at(t + 0.01) - at(t))).toBeLessThanOrEqual(0.0015 + 1e-12);
    // An event shorter than its ramp never reaches its share.
    expect(eventShare({ share: 1.3, ramp: 2 }, 1.5, 1)).toBeCloseTo(1.225, 12);
  });

  it('is listed for every state of the program with the forces at core and full roll', () => {
    const rows = setpointRows(setpoint, 300, 200);
    expect(rows.map((r) => r.state)).toEqual([
      'standstill',
      'running',
      'accelerating',
      'decelerating',
      'splice',
    ]);
    expect(rows[0]).toMatchObject({ atCore: 120, atFull: 80 });
    expect(rows[4]).toMatchObject({ share: 1.3, atCore: 390, atFull: 260, ramp: 2 });
  });
});
