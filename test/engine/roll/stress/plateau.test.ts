import { describe, expect, it, test } from 'vitest';
import { stackModulus } from '../../../../src/engine/roll/stress/stackModulus.js';
import { windRoll } from '../../../../src/engine/roll/stress/windRoll.js';
import type { StackLaw } from '../../../../src/engine/web/web.js';
import { plateauPressure } from '../../../support/rollPlateau.js';

// Far from core and outside the pressure of a roll of constant wound-on stress is a number that one differential equation gives, without laps. The radial moduli are written
// here anew, and so is their integral (test/support/rollPlateau.ts).
const modulus = 4.5e9;
const film = { law: 'exponential', k1: 3000, k2: 120 } as const;
const saturating = { law: 'saturating', atRest: 3.6e5, highest: 4e7, scale: 2e5 } as const;
const polynomial = { law: 'polynomial', coefficients: [3.6e5, 100, 2e-5] } as const;
const laws: [StackLaw, (p: number) => number][] = [
  [film, (p) => 120 * (p + 3000)],
  [saturating, (p) => 3.6e5 + (4e7 - 3.6e5) * (1 - Math.exp(-p / 2e5))],
  [polynomial, (p) => 3.6e5 + p * (100 + 2e-5 * p)],
  [{ law: 'constant', modulus: modulus / 15 ** 2 }, () => modulus / 15 ** 2],
];

describe('the differential equation of the plateau', () => {
  test('has P = σ/(g − 1) for a constant modulus, exactly', () => {
    for (const g of [3, 15, 40])
      expect(
        plateauPressure({ modulus, radialModulus: () => modulus / g ** 2, sigma: 5e6 }) / (5e6 / (g - 1)),
      ).toBeCloseTo(1, 6);
  });

  test('has P ≈ K2·σ²/(2·E_t) for K1 << P << E_t/K2, the thin-layer limit', () => {
    const at = plateauPressure({ modulus, radialModulus: (p) => 120 * (p + 1), sigma: 1e6 });
    // what is left out is of order P·K2/E_t, √ of it: 1/g = 0.02
    expect(at / ((120 * 1e12) / (2 * modulus))).toBeCloseTo(1, 1);
  });
});

describe('a roll wound lap by lap', () => {
  it.each(laws)('has the plateau of that equation: %o', (law, radialModulus) => {
    const sigma = 5e6;
    const plateau = plateauPressure({ modulus, radialModulus, sigma });
    const wind = (laps: number) =>
      windRoll({
        laps,
        caliper: 0.2 / laps,
        coreRadius: 0.0445,
        modulus,
        poisson: 0.01,
        stack: stackModulus(law),
        coreStiffness: 1.11979e10,
        woundOn: () => (sigma * 0.2) / laps,
      }).pressure;
    const [few, many] = [wind(4000), wind(8000)];
    // 25 µm, as is: half a percent, or a tenth of the size of a lap g·h/r at the surface
    const lap = Math.sqrt(modulus / radialModulus(0)) * (25e-6 / 0.2445);
    expect(Math.abs((many[4000] as number) / plateau - 1)).toBeLessThan(Math.max(5e-3, lap / 10));
    // Laps have a size, which raises the pressure by its first power, and in the middle of this build the outside is still felt: exp(−(g − 1)·ln(R/r)) is a percent. At a quarter of it
    // that is 1e-4, and so is what the core does; so of laps without thickness (twice the thin ones less the thick ones) the pressure is the plateau, but for second powers of 1 to 2 %.
    for (const share of [0.2, 0.25, 0.3]) {
      const [thick, thin] = [few[4000 * share] as number, many[8000 * share] as number];
      expect(Math.abs((2 * thin - thick) / plateau - 1), `${share}`).toBeLessThan(1.5e-3);
      expect(thick / plateau - 1).toBeGreaterThan(2e-3);
    }
  });
});
