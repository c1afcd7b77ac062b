import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { stackModulus } from '../../../../src/engine/roll/stress/stackModulus.js';
import { windRoll } from '../../../../src/engine/roll/stress/windRoll.js';
import type { StackLaw } from '../../../../src/engine/web/web.js';

const saturating: StackLaw = { law: 'saturating', atRest: 2e5, highest: 5e7, scale: 2e5 };
const laws: [string, StackLaw][] = [
  ['exponential', { law: 'exponential', k1: 3000, k2: 120 }],
  ['constant', { law: 'constant', modulus: 2e7 }],
  ['polynomial', { law: 'polynomial', coefficients: [3.6e5, 120, 1e-5], testedTo: 1e6 }],
  ['a polynomial that starts flat', { law: 'polynomial', coefficients: [3.6e5, 0, 4e-4], testedTo: 1e6 }],
  ['saturating', saturating],
];

describe('stack laws', () => {
  it.each(laws)('%s: the strain is the integral of 1/E', (_name, law) => {
    const { at, strain } = stackModulus(law);
    for (const end of [500, 3e4, 8e5]) {
      // Midpoint rule of 1e5 panels: error below 1e-8 here, E'' being what it is.
      const n = 100_000;
      let sum = 0;
      for (let k = 0; k < n; k++) sum += end / n / at(((k + 0.5) * end) / n);
      expect(strain(end) / sum).toBeCloseTo(1, 4);
    }
    expect(strain(0)).toBeCloseTo(0, 14);
  });

  it('a saturating law far below its limit is the exponential one', () => {
    const [k1, k2, scale] = [3000, 120, 1e11];
    const far = stackModulus({ law: 'saturating', atRest: k1 * k2, highest: k1 * k2 + k2 * scale, scale });
    const near = stackModulus({ law: 'exponential', k1, k2 });
    for (const p of [0, 1e3, 1e5]) {
      expect(far.at(p) / near.at(p)).toBeCloseTo(1, 5);
      if (p > 0) expect(far.strain(p) / near.strain(p)).toBeCloseTo(1, 5);
    }
  });

  it('winds between the constant laws of its two ends', () => {
    const core = (stack: StackLaw): number =>
      windRoll({
        laps: 500,
        caliper: 25e-6,
        coreRadius: 0.045,
        modulus: 4.5e9,
        poisson: 0,
        stack: stackModulus(stack),
        coreStiffness: 1e10,
        woundOn: () => 125,
      }).pressure[250];
    const [soft, law, hard] = [
      { law: 'constant', modulus: 2e5 } as const,
      saturating,
      { law: 'constant', modulus: 5e7 } as const,
    ].map(core);
    expect(law).toBeGreaterThan(soft);
    expect(law).toBeLessThan(hard);
  });

  it('refuses every law without stiffness at rest, with a value that is no number, or that falls with pressure', () => {
    const bad: StackLaw[] = [
      { law: 'exponential', k1: 0, k2: 100 },
      { law: 'exponential', k1: 3000, k2: Number.NaN },
      { law: 'exponential', k1: 3000, k2: -1 },
      { law: 'constant', modulus: 0 },
      { law: 'constant', modulus: Number.POSITIVE_INFINITY },
      { law: 'polynomial', coefficients: [] },
      { law: 'polynomial', coefficients: [0, 100] },
      { law: 'polynomial', coefficients: [1e5, Number.NaN] },
      { law: 'polynomial', coefficients: [1e5, 100, -1e-3], testedTo: 1e6 },
      { law: 'saturating', atRest: 0, highest: 5e7, scale: 2e5 },
      { law: 'saturating', atRest: 6e7, highest: 5e7, scale: 2e5 },
      { law: 'saturating', atRest: 2e5, highest: 5e7, scale: Number.NaN },
      { law: 'constant', modulus: 1e7, testedTo: 0 },
    ];
    for (const law of bad)
      expect(() => stackModulus(law), JSON.stringify(law)).toThrow(
        expect.objectContaining({ code: 'argument_invalid' }),
      );
    // Not refused up to where it still rises, at 50 kPa.
    stackModulus({ law: 'polynomial', coefficients: [1e5, 100, -1e-3], testedTo: 4.9e4 });
  });

  it('of any accepted saturating law E rises and the strain with it', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1e3, max: 1e7, noNaN: true }),
        fc.double({ min: 1, max: 1e4, noNaN: true }),
        fc.double({ min: 1e2, max: 1e7, noNaN: true }),
        (atRest, times, scale) => {
          const m = stackModulus({ law: 'saturating', atRest, highest: atRest * times, scale });
          let [e, s] = [0, -1];
          for (let p = 0; p < 3e6; p += 1e5) {
            expect(m.at(p)).toBeGreaterThanOrEqual(e);
            expect(m.strain(p)).toBeGreaterThan(s);
            [e, s] = [m.at(p), m.strain(p)];
          }
        },
      ),
      { numRuns: 50 },
    );
  });
});
