import { describe, expect, it } from 'vitest';
import { rollInertia } from '../../../../src/engine/roll/buildUp.js';
import { accelerationLimit, slipArc } from '../../../../src/engine/roll/slip/accelerationLimit.js';
import {
  type Handling,
  type HandlingName,
  handlingAt,
  type RollStates,
  rollHandling,
} from '../../../../src/engine/roll/slip/handling.js';
import {
  type SlipRoll,
  slipCapacity,
  slipDemand,
  slipMargin,
} from '../../../../src/engine/roll/slip/slipMargin.js';
import { stackModulus } from '../../../../src/engine/roll/stress/stackModulus.js';
import { windRoll } from '../../../../src/engine/roll/stress/windRoll.js';

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
const states: RollStates = {
  radius,
  tension: 300,
  coreShare: 1,
  acceleration: 0.5,
  deceleration: 2,
  brakedAt: 'core',
  unwinding: { tension: 250, acceleration: 0.5, deceleration: 1 },
};
const way = (name: HandlingName, more: Partial<RollStates> = {}): Handling => {
  const found = rollHandling(roll, { ...states, ...more }).find((h) => h.name === name);
  if (found === undefined) throw new Error(`no ${name}`);
  return found;
};
const demand = (h: Handling, r: number, stress: number): number => slipDemand(roll, handlingAt(h), r, stress);
const whole = rollInertia(650, 1.2, radius, 0.045, 0.05);
const inside = rollInertia(650, 1.2, 0.12, 0.045, 0.05);
const outside = whole - inside;

describe('slip between layers', () => {
  it('is held by friction over the cylinder, 2π·r²·W·μ·P', () => {
    expect(slipCapacity(0.1, 2, 0.3, 1e5)).toBeCloseTo(2 * Math.PI * 0.01 * 2 * 0.3 * 1e5, 6);
  });

  it('is asked T·W·R while a core drives, less what the spiral itself carries, so nothing at the outside', () => {
    const last = wound.radius.length - 1;
    const inner = demand(way('winding'), 0.1, 0);
    expect(inner).toBeCloseTo(300 * 1.2 * radius, 9);
    const outer = demand(way('winding'), wound.radius[last], wound.hoopStress[last]);
    // One lap of the torque is left: T·W·h
    expect(Math.abs(outer) / inner).toBeLessThan(2 * (caliper / radius));
  });

  it('is asked nothing by a surface winder that runs steadily, beyond what the spiral carries', () => {
    expect(demand(way('winding', { coreShare: 0 }), 0.1, 0)).toBe(0);
  });

  it('is asked what speeds up the part outside when the core drives, and the part inside when the surface does', () => {
    expect(demand(way('start'), 0.12, 0)).toBeCloseTo(300 * 1.2 * radius + (outside * 0.5) / radius, 6);
    expect(demand(way('start', { coreShare: 0 }), 0.12, 0)).toBeCloseTo((-inside * 0.5) / radius, 6);
  });

  it('adds or takes off inertia in a stop as the balance says, at the core, at the surface and after a break', () => {
    const alpha = -2 / radius;
    expect(demand(way('stop'), 0.12, 0)).toBeCloseTo(300 * 1.2 * radius + outside * alpha, 6);
    expect(demand(way('web break'), 0.12, 1e6)).toBeCloseTo(outside * alpha, 6);
    expect(demand(way('stop', { brakedAt: 'surface' }), 0.12, 0)).toBeCloseTo(-inside * alpha, 6);
  });

  it('is asked more in the stop of an unwind and less in its start: the brake holds the web and the roll', () => {
    const steady = 250 * 1.2 * radius;
    expect(demand(way('unwinding'), 0.12, 0)).toBeCloseTo(steady, 9);
    expect(demand(way('unwinding stop'), 0.12, 0)).toBeCloseTo(steady + (outside * 1) / radius, 6);
    expect(demand(way('unwinding start'), 0.12, 0)).toBeCloseTo(steady - (outside * 0.5) / radius, 6);
  });

  it('is judged for what is stated only', () => {
    const names = (s: RollStates) => rollHandling(roll, s).map((h) => h.name);
    expect(names({ radius, tension: 300, coreShare: 1 })).toEqual(['winding']);
    expect(names({ radius, tension: 300, coreShare: 1, unwinding: { tension: 100 } })).toEqual([
      'winding',
      'unwinding',
    ]);
  });

  it('finds the smallest margin, inversely in friction', () => {
    const broken = handlingAt(way('web break'));
    const a = slipMargin(roll, broken, 0.2);
    const b = slipMargin(roll, broken, 0.1);
    expect(a.smallest.value / b.smallest.value).toBeCloseTo(2, 9);
    expect(a.smallest.radius).toBe(b.smallest.radius);
    expect(Math.min(...a.margin.subarray(0, -1))).toBe(a.smallest.value);
  });
});

describe('the largest acceleration', () => {
  const margin = (h: Handling, a: number) => slipMargin(roll, handlingAt(h, a), 0.15);

  it('is where layers give way and not before, in every way of handling', () => {
    for (const name of ['start', 'stop', 'web break', 'unwinding stop'] as const) {
      const most = accelerationLimit(roll, way(name), 0.15).smallest;
      expect(most.value).toBeGreaterThan(0.1);
      expect(margin(way(name), 0.999 * most.value).smallest.value).toBeGreaterThan(1);
      const slipping = margin(way(name), 1.001 * most.value).smallest;
      expect(slipping.value).toBeLessThan(1);
      expect(slipping.radius).toBeCloseTo(most.radius, 3);
    }
  });

  it('is nowhere smaller than at the weakest interface, and holds each interface just so', () => {
    const h = way('web break');
    const { limit, smallest } = accelerationLimit(roll, h, 0.15);
    expect(Math.min(...limit.subarray(0, -1))).toBe(smallest.value);
    const at = 700;
    expect(margin(h, limit[at]).margin[at]).toBeCloseTo(1, 9);
  });

  it('is 0 where layers slip already, and without end where nothing depends on it', () => {
    expect(accelerationLimit(roll, way('stop'), 1e-4).smallest.value).toBe(0);
    expect(accelerationLimit(roll, way('winding'), 0.15).smallest.value).toBe(Number.POSITIVE_INFINITY);
  });
});

describe('how far layers slide', () => {
  it('is what two bodies do that brake unequally: stepped through time', () => {
    // The core stops 10 m/s with 2 m/s² at R = 0.4 m; the outside can only follow with 1.6 m/s².
    const [v, outer, borne, asked, dt] = [10, 0.4, 1.6, 2, 1e-5];
    let [inner, outward, angle] = [v / outer, v / outer, 0];
    while (outward > 0) {
      angle += (outward - inner) * dt;
      inner = Math.max(0, inner - (asked / outer) * dt);
      outward -= (borne / outer) * dt;
    }
    expect(slipArc(0.1, outer, v, borne, asked) / (0.1 * angle)).toBeCloseTo(1, 3);
  });

  it('is nothing while the layers hold, and without end where they hold nothing', () => {
    expect(slipArc(0.1, 0.4, 10, 2, 2)).toBe(0);
    expect(slipArc(0.1, 0.4, 10, 0, 2)).toBe(Number.POSITIVE_INFINITY);
  });
});
