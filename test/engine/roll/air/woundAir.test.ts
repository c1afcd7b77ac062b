import { describe, expect, it } from 'vitest';
import {
  airThickness,
  ambientPressure,
  lapAir,
  stackWithAir,
} from '../../../../src/engine/roll/air/woundAir.js';
import { stackModulus } from '../../../../src/engine/roll/stress/stackModulus.js';

const stack = stackModulus({ law: 'exponential', k1: 3000, k2: 120 });
const h = 25e-6;

describe('air that a lap takes into the roll', () => {
  it('is the film of the foil bearing: 115 µm at 0.3 m, 10 m/s and 150 N/m', () => {
    // 0.643·0.3·(12·1.81e-5·10/150)^(2/3) = 1.15e-4 m, computed by hand; pressure p_a + T/R
    const air = lapAir(0.3, 10, 150);
    expect(air.film).toBeCloseTo(1.15e-4, 6);
    expect(air.pressure).toBeCloseTo(ambientPressure + 500, 6);
    expect(lapAir(0.3, 10, 150, 0.25).film / air.film).toBeCloseTo(0.25, 12);
    expect(lapAir(0.3, 0, 150).film).toBe(0);
    // Radius in the first power, speed and tension in the power 2/3
    expect(lapAir(0.6, 10, 150).film / air.film).toBeCloseTo(2, 12);
    expect(lapAir(0.3, 80, 1200).film / air.film).toBeCloseTo(1, 12);
  });

  it('keeps p·V: at the pressure of winding the film is whole, at twice the absolute pressure half', () => {
    const air = lapAir(0.3, 10, 150);
    expect(airThickness(air, 500)).toBeCloseTo(air.film, 15);
    expect(airThickness(air, 2 * air.pressure - ambientPressure) / air.film).toBeCloseTo(0.5, 12);
  });

  it('refuses what is no film', () => {
    for (const [radius, speed, tension, share] of [
      [0.3, 10, 0, 1],
      [0.3, 10, 150, 1.2],
      [0.3, 10, 150, Number.NaN],
      [0.3, 10, 0.5, 1],
      [Number.NaN, 10, 150, 1],
    ] as const)
      expect(() => lapAir(radius, speed, tension, share)).toThrow(
        expect.objectContaining({ code: 'argument_invalid' }),
      );
  });
});

describe('stack modulus with air', () => {
  const air = lapAir(0.3, 10, 150, 0.1);

  it('is that of web and air in series, as the form (h/(h + h₀))/E_r + h₀·p₀/[(P + p_a)²·(h + h₀)] has it', () => {
    const L = h + air.film;
    const both = stackWithAir(stack, h, L, () => air, 0.3);
    for (const p of [0, 2e4, 4e5]) {
      const byAir = (p + ambientPressure) ** 2 * (L / (air.film * air.pressure));
      expect(both.at(p) * (h / L / stack.at(p) + 1 / byAir)).toBeCloseTo(1, 12);
    }
    // Air alone: a fast press on a stiff web compresses the trapped gas; E_air·(dh/h)… is −dP, by difference quotient
    const stiff = stackWithAir(stackModulus({ law: 'constant', modulus: 1e15 }), h, L, () => air, 0.3);
    const dp = 10;
    const slope = (airThickness(air, 1e5) - airThickness(air, 1e5 + dp)) / dp;
    expect(stiff.at(1e5 + dp / 2) * (slope / L)).toBeCloseTo(1, 6);
  });

  it('without air is the stack, and with more air softer', () => {
    const none = stackWithAir(stack, h, h, () => ({ film: 0, pressure: ambientPressure }), 0.3);
    const some = stackWithAir(stack, h, h, (r) => lapAir(r, 10, 150, 0.1), 0.3);
    for (const p of [0, 1e4, 3e5]) {
      expect(none.at(p)).toBeCloseTo(stack.at(p), 3);
      expect(some.at(p)).toBeLessThan(stack.at(p));
      expect(some.at(p, 0.1)).toBeGreaterThan(some.at(p, 0.3));
      // Without a radius the worst, at the outside.
      expect(some.at(p)).toBe(some.at(p, 0.3));
    }
  });
});
