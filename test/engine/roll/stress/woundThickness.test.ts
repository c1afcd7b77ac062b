import { describe, expect, it } from 'vitest';
import { stackModulus } from '../../../../src/engine/roll/stress/stackModulus.js';
import { compressedRoll } from '../../../../src/engine/roll/stress/woundThickness.js';

describe('a roll with its layers compressed', () => {
  const stack = stackModulus({ law: 'exponential', k1: 3000, k2: 120 });
  const n = 5000;
  const pressure = new Float64Array(n).fill(4e5);

  it('has thinner laps by the strain of the stack, and the density ρ/(1 − ε)', () => {
    // ε = ln(1 + P/K1)/K2 = 0.04083 at 400 kPa; the outermost lap has half the pressure, 1 part in 5000.
    const strain = Math.log(1 + 4e5 / 3000) / 120;
    const roll = compressedRoll(pressure, 20e-6, 0.05, 1e9, stack, 1390);
    expect(roll.outerRadius / (0.05 * (1 - 4e-4) + n * 20e-6 * (1 - strain))).toBeCloseTo(1, 5);
    expect((roll.density as number) / (1390 / (1 - strain))).toBeCloseTo(1, 5);
  });

  it('is as wound without pressure, and keeps its mass whatever its pressures', () => {
    const loose = compressedRoll(new Float64Array(n), 20e-6, 0.05, 1e9, stack, 1390);
    expect(loose.outerRadius).toBeCloseTo(0.15, 12);
    expect(loose.density).toBeCloseTo(1390, 9);
    expect(compressedRoll(pressure, 20e-6, 0.05, 1e9, stack).density).toBeUndefined();
    const uneven = pressure.map((p, i) => p * (1 + Math.sin(i / 300)));
    const roll = compressedRoll(uneven, 20e-6, 0.05, Number.POSITIVE_INFINITY, stack, 1390);
    // Mass per width = ρ·h·length with laps at their mean radius
    let length = 0;
    let radius = 0.05;
    for (let i = 0; i < n; i++) {
      const mean = 0.5 * (uneven[i] + (uneven[i + 1] ?? 0));
      const thickness = 20e-6 * (1 - Math.log1p(mean / 3000) / 120);
      length += 2 * Math.PI * (radius + thickness / 2);
      radius += thickness;
    }
    const volume = Math.PI * (roll.outerRadius ** 2 - 0.05 ** 2);
    expect(((roll.density as number) * volume) / (1390 * 20e-6 * length)).toBeCloseTo(1, 9);
  });
});
