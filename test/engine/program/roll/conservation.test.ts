import { describe, expect, it, test } from 'vitest';
import { predictRoll } from '../../../../src/engine/program/roll/predictRoll.js';
import type { RollInput } from '../../../../src/engine/program/roll/rollInput.js';
import { afterWinding } from '../../../../src/engine/roll/afterWinding/afterWinding.js';
import { stackModulus } from '../../../../src/engine/roll/stress/stackModulus.js';
import { windRoll } from '../../../../src/engine/roll/stress/windRoll.js';
import type { StackLaw } from '../../../../src/engine/web/web.js';

// Equilibrium of half a roll: what the laps pull along their length is what the core bears, Σ σ_t·h = r_c·P_core, since nothing presses on the outside. It holds for the roll as computed whatever the
// stack law, and after each step that follows winding, since none puts a force on it. While it turns, the centrifugal force ρ·h·v² of each lap comes on top of both the lap's tension and the sum; the model
// leaves it out of both, so the identity is that of the stress that presses.
const film: RollInput = {
  web: {
    width: 1,
    caliper: 25e-6,
    modulus: 4.5e9,
    poisson: 0.02,
    density: 1390,
    friction: 0.3,
    roughness: 1e-6,
    permeable: false,
    stack: { law: 'exponential', k1: 3000, k2: 120 },
  },
  core: { outerRadius: 0.0445, stiffness: 1e9 },
  laps: 1200,
  tension: { law: 'constant', start: 125 },
  nip: 0,
  method: 'centre',
  speed: 4,
  afterWinding: {
    expansion: { along: 2e-5, through: 3e-5, core: 1.2e-5 },
    swelling: { along: 1e-3, through: 5e-3, core: 0 },
    creep: { shares: [0.05, 0.1], times: [3600, 1e5] },
    steps: [{ comesToRest: true }, { temperature: -10 }, { moisture: 0.002 }, { time: 7200 }],
  },
};
const laws: StackLaw[] = [
  { law: 'exponential', k1: 3000, k2: 120 },
  { law: 'constant', modulus: 2e7 },
  { law: 'saturating', atRest: 3.6e5, highest: 4e7, scale: 2e5 },
  { law: 'polynomial', coefficients: [3.6e5, 100, 2e-5] },
];
const withLaw = (stack: StackLaw): RollInput => ({ ...film, web: { ...film.web, stack } });

/** Σ σ_t·h less r_c·P_core, as a share of the sum of all absolute values: rounding of thousands of terms is 1e-14 of it. */
function imbalance(stress: Float64Array, caliper: number, coreRadius: number, corePressure: number): number {
  let [sum, size] = [-coreRadius * corePressure, coreRadius * corePressure];
  for (const s of stress) {
    sum += s * caliper;
    size += Math.abs(s * caliper);
  }
  return Math.abs(sum) / size;
}

describe('the laps pull what the core bears', () => {
  it.each(laws)('wound and after each step, every lap followed: $law', (law) => {
    const roll = predictRoll(withLaw(law), 'si', 'full');
    expect(roll.corePressure).toBeGreaterThan(1e4);
    expect(imbalance(roll.hoopStress, 25e-6, 0.0445, roll.corePressure)).toBeLessThan(1e-12);
    expect(roll.after).toHaveLength(4);
    let before = roll.corePressure;
    for (const { hoopStress, corePressure } of roll.after) {
      expect(imbalance(hoopStress, 25e-6, 0.0445, corePressure)).toBeLessThan(1e-12);
      // each step does something, so the identity is not the one before
      expect(Math.abs(corePressure / before - 1)).toBeGreaterThan(1e-4);
      before = corePressure;
    }
  });

  it.each(laws)('with air, whose laps are thicker and whose web alone pulls: $law', (law) => {
    const input: RollInput = { ...withLaw(law), speed: 2, air: { filmShare: 0.1 } };
    const { hoopStress, corePressure, air, after } = predictRoll(input);
    expect(air?.lapThickness).toBeGreaterThan(25.1e-6);
    // stress of the web over its own caliper: σ_lap·L = σ_web·h
    expect(imbalance(hoopStress, 25e-6, 0.0445, corePressure)).toBeLessThan(1e-12);
    for (const a of after) expect(imbalance(a.hoopStress, 25e-6, 0.0445, a.corePressure)).toBeLessThan(1e-12);
  });

  it.each(laws)('in a long roll wound with a moving window: $law', (law) => {
    // a constant modulus is followed lap by lap up to 10,000 laps
    const laps = law.law === 'constant' ? 10_500 : 5000;
    const roll = predictRoll({ ...withLaw(law), laps, afterWinding: undefined });
    expect(roll.scheme.window).not.toBe('full');
    expect(imbalance(roll.hoopStress, 25e-6, 0.0445, roll.corePressure)).toBeLessThan(1e-12);
  });
});

describe('core and first lap move together', () => {
  // Hoop strain of the innermost lap = strain of the core's surface: [σ_t − σ_w + ν·P]/E_t = −P_core/E_c from winding, and with α·ΔT on both sides for what a change of temperature adds. This the results
  // know only through the condition at the core; a lap counts with its first power, which extrapolating two rolls takes out.
  const rc = 0.05;
  const nu = 0.1;
  const [modulus, sigma] = [4.5e9, 5e6];
  const gap = (law: StackLaw, coreStiffness: number, laps: number): [number, number] => {
    const caliper = 0.1 / laps;
    const stack = stackModulus(law);
    const woundOn = () => sigma * caliper;
    const input = { laps, caliper, coreRadius: rc, modulus, poisson: nu, stack, coreStiffness, woundOn };
    const { pressure, hoopStress, radius } = windRoll(input);
    const atWinding =
      (hoopStress[0] as number) - sigma + (modulus / coreStiffness + nu) * (pressure[0] as number);
    const body = { radius, caliper, modulus, poisson: nu, stack, coreStiffness };
    const [cold] = afterWinding(body, pressure, {
      expansion: { along: 2e-5, through: 3e-5, core: 1e-5 },
      steps: [{ temperature: -10 }],
    });
    const dP = (cold?.pressure[0] as number) - (pressure[0] as number);
    const dStress = (cold?.hoopStress[0] as number) - (hoopStress[0] as number);
    const lap = dStress / modulus + (nu * dP) / modulus - 2e-4;
    const core = -dP / coreStiffness - 1e-4;
    return [atWinding / sigma, (lap - core) / 1e-4];
  };

  test.each(laws.flatMap((law) => [1e9, 1e8].map((core) => [law.law, core, law] as const)))(
    '%s law, core of %d Pa',
    (_name, coreStiffness, law) => {
      const [thick, thin] = [gap(law, coreStiffness, 2000), gap(law, coreStiffness, 4000)];
      for (const k of [0, 1]) {
        const [a, b] = [thick[k] as number, thin[k] as number];
        expect(Math.abs(a)).toBeLessThan(0.05);
        expect(a / b).toBeGreaterThan(1.7);
        expect(a / b).toBeLessThan(2.3);
        expect(Math.abs(2 * b - a)).toBeLessThan(2e-3);
      }
    },
  );
});
