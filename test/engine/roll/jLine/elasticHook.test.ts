import { describe, expect, it } from 'vitest';
import {
  elasticHook,
  type LinedRoll,
  shearModulusFromTorqueStep,
  type WindingStage,
} from '../../../../src/engine/roll/jLine/elasticHook.js';

// Constant tension T, one G, no spiral: dM = T·W·(s − R0) at every interface, so that d(r) = T·(s − R0)/(4·π·G)·(1/r − r/R0²), by hand.
const [T, W, G, coreRadius, caliper] = [300, 1.6, 2e6, 0.05, 1e-4];
const roll: LinedRoll = { coreRadius, caliper, width: W, shearModulus: () => G };
const stage = (
  laps: number,
  torque = T * W * (coreRadius + laps * caliper),
  pressure = 1e5,
): WindingStage => ({
  laps,
  torque: new Float64Array(laps).fill(torque),
  pressure: new Float64Array(laps).fill(pressure),
});
const outer = coreRadius + 2000 * caliper;
const byHand = (r: number, s: number): number =>
  ((T * (s - outer)) / (4 * Math.PI * G)) * (1 / r - r / outer ** 2);

describe('the elastic hook of a J-line', () => {
  it('is the closed form for constant tension and one shear modulus', () => {
    const hook = elasticHook(roll, [stage(2000), stage(4500)]);
    const s = coreRadius + 4500 * caliper;
    expect(hook.length).toBe(2000);
    for (const i of [0, 100, 1000, 1900])
      expect(hook[i] / byHand(coreRadius + i * caliper, s)).toBeCloseTo(1, 9);
  });

  it('does not depend on how many stages it is followed through while G is one', () => {
    const few = elasticHook(roll, [stage(2000), stage(4500)]);
    const many = elasticHook(
      roll,
      [2000, 2500, 3100, 4000, 4500].map((n) => stage(n)),
    );
    many.forEach((d, i) => {
      expect(Math.abs(d - few[i])).toBeLessThan(1e-12);
    });
  });

  it('takes the stack as stiff as it was while the torque came on, and goes back with it', () => {
    const soft: LinedRoll = { ...roll, shearModulus: (p) => 20 * p };
    // 400 N·m at a mean of 1e5 Pa, then 600 N·m more at 3e5 Pa: as 400/1 + 600/3 = 600 N·m at 1e5 Pa.
    const stages = [stage(2000, 0, 5e4), stage(3000, 400, 1.5e5), stage(4000, 1000, 4.5e5)];
    const same = elasticHook(roll, [stage(2000, 0, 1e5), stage(3000, 600, 1e5)]);
    elasticHook(soft, stages).forEach((d, i) => {
      expect(d / same[i]).toBeCloseTo(1, 9);
    });
    const released = elasticHook(roll, [stage(2000, 300), stage(2500, 900), stage(2600, 300)]);
    expect(Math.max(...released.map(Math.abs))).toBeLessThan(1e-15);
  });

  it('is nothing while no torque changes, and turns its sense with the torque', () => {
    expect(Math.max(...elasticHook(roll, [stage(2000, 500), stage(3000, 500)]))).toBe(0);
    const forward = elasticHook(roll, [stage(2000, 0), stage(3000, 500)]);
    const back = elasticHook(roll, [stage(2000, 0), stage(3000, -500)]);
    expect(forward[0]).toBeGreaterThan(0);
    expect(back[0]).toBe(-forward[0]);
  });

  it('gives the shear modulus back from one torque step', () => {
    const hook = elasticHook(roll, [stage(2000, 0), stage(2001, 250)]);
    const r = coreRadius + 300 * caliper;
    expect(shearModulusFromTorqueStep(250, W, r, outer, hook[300]) / G).toBeCloseTo(1, 9);
  });
});
