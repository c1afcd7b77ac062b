import { describe, expect, it } from 'vitest';
import {
  changeVerdict,
  differenceInterval95,
  ratioInterval95,
} from '../../../../src/engine/identify/compare/ratioInterval.js';
import { createRandom } from '../../../../src/engine/numerics/random.js';
import { estimate } from '../../../support/statedIdentification.js';

describe('interval of a ratio', () => {
  it('ends where (b - ρ·a)² = hb² + ρ²·ha²', () => {
    const [a, b] = [estimate(2, 0.1), estimate(3, 0.3)];
    const [ha, hb] = [a, b].map((e) => e.interval95[1] - e.value) as [number, number];
    const interval = ratioInterval95(a, b)!;
    expect(interval[0]).toBeLessThan(1.5);
    expect(interval[1]).toBeGreaterThan(1.5);
    for (const rho of interval) expect((3 - rho * 2) ** 2).toBeCloseTo(hb ** 2 + (rho * ha) ** 2, 12);
  });

  it('turns into its inverse when the two change places', () => {
    const [a, b] = [estimate(2, 0.1), estimate(3, 0.3)];
    const forth = ratioInterval95(a, b)!;
    const back = ratioInterval95(b, a)!;
    expect(back[0]).toBeCloseTo(1 / forth[1], 12);
    expect(back[1]).toBeCloseTo(1 / forth[0], 12);
  });

  it('is b·(1 ± relative errors in quadrature)/a when both are small', () => {
    const [lo, hi] = ratioInterval95(estimate(10, 0.003), estimate(20, 0.008))!;
    const half = 1.95996 * 2 * Math.hypot(0.003 / 10, 0.008 / 20);
    expect((hi - lo) / (2 * half)).toBeCloseTo(1, 5);
  });

  it('excludes 1 exactly when the interval of the difference excludes 0', () => {
    const random = createRandom('ratio and difference');
    let excluded = 0;
    for (let k = 0; k < 2000; k++) {
      const a = estimate(4 * random.normal(), 0.2 + random.uniform());
      const b = estimate(a.value + 2 * random.normal(), 0.2 + random.uniform());
      const ratio = ratioInterval95(a, b);
      const [lo, hi] = differenceInterval95(a, b);
      if (ratio === undefined) continue;
      const differs = lo > 0 || hi < 0;
      expect(ratio[0] > 1 || ratio[1] < 1).toBe(differs);
      if (differs) excluded++;
    }
    expect(excluded).toBeGreaterThan(200);
  });

  it('is absent when the earlier value is not told from zero', () => {
    expect(ratioInterval95(estimate(1, 0.52), estimate(1, 0.1))).toBeUndefined();
    expect(ratioInterval95(estimate(1, 0.5), estimate(1, 0.1))).toBeDefined();
    expect(ratioInterval95(estimate(0, 0), estimate(1, 0.1))).toBeUndefined();
  });

  it('covers the true ratio in 95 % of draws, also with a 20 % error in the denominator', () => {
    const random = createRandom('coverage of the ratio');
    const n = 4000;
    let inside = 0;
    for (let k = 0; k < n; k++) {
      const interval = ratioInterval95(
        estimate(1 + 0.2 * random.normal(), 0.2),
        estimate(1.7 + 0.2 * random.normal(), 0.2),
      );
      // Without an interval every ratio is possible, so the truth is covered too.
      if (interval === undefined || (interval[0] <= 1.7 && 1.7 <= interval[1])) inside++;
    }
    expect(Math.abs(inside / n - 0.95)).toBeLessThan(0.0104);
  });
});

describe('verdict', () => {
  it.each([
    [0.96, 1.04, 'unchanged'],
    [0.95, 1.05, 'unchanged'],
    [1.001, 1.04, 'unchanged'],
    [0.96, 1.06, 'undecided'],
    [1, 1.2, 'undecided'],
    [0.5, 2, 'undecided'],
    [1.001, 1.06, 'undecided'],
    [1.001, 1.12, 'changed'],
    [0.9, 0.999, 'changed'],
    [1.3, 1.4, 'changed'],
    [-2, -1, 'changed'],
  ] as const)('from %d to %d within 5 %% is %s', (lo, hi, verdict) => {
    expect(changeVerdict([lo, hi], (lo + hi) / 2, 1, 0.05)).toBe(verdict);
  });
});
