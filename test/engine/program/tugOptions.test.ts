import { describe, expect, it } from 'vitest';
import { programmedTension, tugOptions } from '../../../src/engine/program/tugOptions.js';
import { toProduct } from '../../../src/engine/project/product/toProduct.js';

const product = (setpoint: object) =>
  toProduct({
    schema: 'tautline/product@1',
    web: { width_m: 1, caliper_m: 1e-4 },
    limits: { lowest_tension_N_per_m: 80 },
    winder: {
      core_diameter_m: 0.1,
      full_diameter_m: 1,
      tension: { law: 'linear', start_N_per_m: 200, end_N_per_m: 140 },
      setpoint,
    },
  } as Parameters<typeof toProduct>[0]);

describe('what a product says about the tug on its web', () => {
  it('is its window, and the tensions its winder runs through, events among them', () => {
    const steady = product({});
    expect(tugOptions(steady)).toMatchObject({ lowestTension: 80, winderTension: { low: 140, high: 200 } });
    const { winder } = product({ accelerating: 1.1, splice: { share: 0.9, ramp_s: 1 } });
    const range = winder && programmedTension(winder);
    expect(range?.low).toBeCloseTo(126, 9);
    expect(range?.high).toBeCloseTo(220, 9);
  });

  it('leaves out what the product does not state', () => {
    const { winder: _, ...unwound } = product({});
    expect(tugOptions(unwound).winderTension).toBeUndefined();
    expect(tugOptions(unwound).highestTension).toBeUndefined();
  });
});
