import { describe, expect, it } from 'vitest';
import { rollInertia } from '../../../src/engine/roll/buildUp.js';
import {
  largestDeceleration,
  rollHandling,
  type SlipRoll,
  slipCapacity,
  slipDemand,
  slipMargin,
} from '../../../src/engine/roll/slip.js';
import { stackModulus } from '../../../src/engine/roll/stress/stackModulus.js';
import { windRoll } from '../../../src/engine/roll/stress/windRoll.js';

const caliper = 70e-6;
const wound = windRoll({
  laps: 3000,
  caliper,
  coreRadius: 0.045,
  modulus: 4e9,
  poisson: 0.01,
  stack: stackModulus({ law: 'exponential', k1: 3000, k2: 35 }),
  coreStiffness: 5e9,
  woundOn: () => 300,
});
const roll: SlipRoll = { ...wound, caliper, width: 1.2, coreRadius: 0.045, density: 650, coreInertia: 0.05 };
const radius = 0.045 + 3000 * caliper;
const states = { radius, tension: 300, coreShare: 1, deceleration: 2, brakedAt: 'core' as const };
const handling = rollHandling(roll, states);
const whole = rollInertia(650, 1.2, radius, 0.045, 0.05);

describe('slip between layers', () => {
  it('is held by friction over the cylinder, 2π·r²·W·μ·P', () => {
    expect(slipCapacity(0.1, 2, 0.3, 1e5)).toBeCloseTo(2 * Math.PI * 0.01 * 2 * 0.3 * 1e5, 6);
  });

  it('is asked T·W·R while a core drives, less what the spiral itself carries, so nothing at the outside', () => {
    const last = wound.radius.length - 1;
    const inner = slipDemand(roll, handling.winding, 0.1, 0);
    expect(inner).toBeCloseTo(300 * 1.2 * radius, 9);
    const outer = slipDemand(roll, handling.winding, wound.radius[last], wound.hoopStress[last]);
    // One lap of the torque is left: T·W·h
    expect(Math.abs(outer) / inner).toBeLessThan(2 * (caliper / radius));
  });

  it('is asked nothing by a surface winder that runs steadily, beyond what the spiral carries', () => {
    const surface = rollHandling(roll, { ...states, coreShare: 0 }).winding;
    expect(slipDemand(roll, surface, 0.1, 0)).toBe(0);
  });

  it('adds or takes off inertia in a stop as the balance says, at the core, at the surface and after a break', () => {
    const alpha = -2 / radius;
    const inside = rollInertia(650, 1.2, 0.12, 0.045, 0.05);
    const outside = whole - inside;
    expect(slipDemand(roll, handling.stop!, 0.12, 0)).toBeCloseTo(300 * 1.2 * radius + outside * alpha, 6);
    expect(slipDemand(roll, handling.webBreak!, 0.12, 1e6)).toBeCloseTo(outside * alpha, 6);
    const atSurface = rollHandling(roll, { ...states, brakedAt: 'surface' });
    expect(slipDemand(roll, atSurface.stop!, 0.12, 0)).toBeCloseTo(-inside * alpha, 6);
  });

  it('finds the smallest margin, inversely in friction', () => {
    const a = slipMargin(roll, handling.webBreak!, 0.2);
    const b = slipMargin(roll, handling.webBreak!, 0.1);
    expect(a.smallest.value / b.smallest.value).toBeCloseTo(2, 9);
    expect(a.smallest.radius).toBe(b.smallest.radius);
    expect(Math.min(...a.margin.subarray(0, -1))).toBe(a.smallest.value);
  });

  it('gives way at the largest deceleration and not before', () => {
    for (const hasWeb of [true, false]) {
      const most = largestDeceleration(roll, states, 0.15, hasWeb);
      expect(most).toBeGreaterThan(0.1);
      const at = (a: number): number => {
        const h = rollHandling(roll, { ...states, deceleration: a });
        return slipMargin(roll, hasWeb ? h.stop! : h.webBreak!, 0.15).smallest.value;
      };
      expect(at(0.999 * most)).toBeGreaterThan(1);
      expect(at(1.001 * most)).toBeLessThan(1);
    }
  });
});
