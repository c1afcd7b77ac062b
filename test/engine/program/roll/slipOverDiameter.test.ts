import { describe, expect, it } from 'vitest';
import { predictRoll } from '../../../../src/engine/program/roll/predictRoll.js';
import type { RollInput } from '../../../../src/engine/program/roll/rollInput.js';
import { lapsLookedAt } from '../../../../src/engine/program/roll/slipOverDiameter.js';
import { newsprintRoll } from '../../../support/newsprintRoll.js';

const newsprint = newsprintRoll(240);
const handled: RollInput = {
  ...newsprint,
  speed: 10,
  acceleration: 0.5,
  stop: { deceleration: 2, brakedAt: 'core' },
  unwinding: { tension: 250, deceleration: 1, brakedAt: 'core' },
};
const at = (input: RollInput, name: string, place = -1) =>
  predictRoll(input)
    .slipOverDiameter.at(place)
    ?.cases.find((c) => c.name === name);

describe('slip at every diameter', () => {
  it('looks at a few numbers of laps over the build, the last of them all', () => {
    expect(lapsLookedAt(4500)).toHaveLength(24);
    expect(lapsLookedAt(4500).at(-1)).toBe(4500);
    for (const laps of [1, 2, 5, 23]) {
      const looked = lapsLookedAt(laps);
      expect(looked.at(-1)).toBe(laps);
      expect(new Set(looked).size).toBe(looked.length);
      expect(looked.every((n) => n >= 1 && n <= laps)).toBe(true);
    }
  });

  it('is at each diameter what a roll finished there would say', () => {
    const { slipOverDiameter } = predictRoll(handled);
    expect(slipOverDiameter).toHaveLength(24);
    for (const [k, laps] of [
      [5, 60],
      [11, 120],
      [23, 240],
    ] as const) {
      const own = predictRoll({ ...handled, laps });
      const place = slipOverDiameter[k];
      expect(place?.diameter).toBeCloseTo(2 * (0.05 + laps * 1e-3), 9);
      expect(place?.cases.map((c) => c.name)).toEqual(own.slipCases.map((c) => c.name));
      for (const [j, { smallest }] of own.slipCases.entries()) {
        expect(place?.cases[j]?.margin).toBeCloseTo(smallest.value, 9);
        expect(place?.cases[j]?.radius).toBeCloseTo(smallest.radius, 9);
      }
    }
  });

  it('finds the slip at a smaller diameter where the full roll holds: tension that falls at the end', () => {
    const falling: RollInput = {
      ...newsprint,
      tension: {
        law: 'table',
        points: [
          { diameter: 0.1, value: 300 },
          { diameter: 0.45, value: 300 },
          { diameter: 0.58, value: 100 },
        ],
      },
    };
    const { slipOverDiameter, slipCases } = predictRoll(falling);
    const margins = slipOverDiameter.map((p) => p.cases[0]?.margin ?? Number.NaN);
    const full = slipCases[0]?.smallest.value ?? Number.NaN;
    expect(margins.at(-1)).toBeCloseTo(full, 9);
    expect(Math.min(...margins)).toBeLessThan(0.8 * full);
    // Friction at which the full roll just holds.
    const barely = predictRoll({
      ...falling,
      web: { ...falling.web, friction: ((falling.web.friction ?? 0) * 1.02) / full },
    });
    expect(barely.slipCases[0]?.smallest.value).toBeGreaterThan(1);
    const said = barely.findings.filter((f) => f.code === 'layers_slip');
    expect(said).toHaveLength(1);
    expect(said[0]?.message).toMatch(/at a diameter of 0\.4/);
  });

  it('says how far layers slide in a stop that asks for more than they hold, from what is borne', () => {
    // After a web break what is borne is proportional to friction: a little less than the 2 m/s² that are asked.
    const before = at(handled, 'web break')?.borne ?? 0;
    const withFriction = (share: number): RollInput => ({
      ...handled,
      web: { ...handled.web, friction: ((handled.web.friction ?? 0) * share * 2) / before },
    });
    const hard = withFriction(0.99);
    const { borne, slides } = at(hard, 'web break') ?? {};
    expect(borne).toBeCloseTo(1.98, 6);
    const outer = 0.05 + 240e-3;
    expect(slides?.arc).toBeCloseTo(((slides?.radius ?? 0) * 100 * (1 / 1.98 - 1 / 2)) / (2 * outer), 6);
    expect(at({ ...hard, speed: undefined }, 'web break')?.slides).toBeUndefined();
    expect(at(withFriction(1.01), 'web break')?.slides).toBeUndefined();
    expect(at(withFriction(0.2), 'web break')?.slides?.arc).toBe(Number.POSITIVE_INFINITY);
  });

  it('lets a roll on two drums, or driven by its surface, pass no torque from its core', () => {
    for (const method of ['two-drum', 'surface'] as const) {
      const lying: RollInput = {
        ...newsprint,
        method,
        nip: 1500,
        ...(method === 'two-drum' && { torqueDifferential: { law: 'constant', start: 100 } }),
      };
      const { radius, pressure, hoopStress, slip, frictionUsed = 0 } = predictRoll(lying);
      for (const i of [3, 50, 170]) {
        // Capacity over what the spiral alone carries: 2π·r·μ·P/(|σ|·h), by hand.
        const byHand =
          (2 * Math.PI * (radius[i] as number) * frictionUsed * (pressure[i] as number)) /
          (Math.abs(hoopStress[i] as number) * 1e-3);
        expect((slip?.margin[i] as number) / byHand).toBeCloseTo(1, 9);
      }
    }
  });
});

describe('lines on the side of a roll', () => {
  const lined: RollInput = {
    ...handled,
    web: { ...handled.web, friction: 0.05 },
    jLine: { struckAt: [0.3, 0.5], shear: { shareOfRadial: 0.2 } },
  };

  it('bend in winding direction while a core drives, most near it, and end where they were struck', () => {
    const { jLines } = predictRoll(lined);
    expect(jLines.map((l) => l.struckAt)).toEqual([0.3, 0.5].map((d) => expect.closeTo(d, 9)));
    for (const { radius, elasticShift, struckAt } of jLines) {
      expect(radius.length).toBe(elasticShift.length);
      expect(radius.at(-1)).toBeCloseTo(struckAt / 2 - 1e-3, 9);
      expect(elasticShift[0]).toBeGreaterThan(0);
      expect(Math.abs(elasticShift.at(-1) as number)).toBeLessThan(0.02 * (elasticShift[0] as number));
    }
    // struck earlier, more torque has come on since
    expect(jLines[0]?.elasticShift[0]).toBeGreaterThan(jLines[1]?.elasticShift[0] as number);
  });

  it('do not depend on at how many diameters the roll is looked at', () => {
    const hook = (...struckAt: number[]) =>
      predictRoll({ ...lined, jLine: { struckAt, shear: { shareOfRadial: 0.2 } } }).jLines[0]
        ?.elasticShift[0] as number;
    const more = hook(0.3, 0.31, 0.33, 0.37, 0.41, 0.45, 0.49, 0.53);
    expect(more / hook(0.3)).toBeCloseTo(1, 2);
  });

  it('carry the jump of each way of handling that slips after they were struck, at its worst diameter', () => {
    const { jLines, slipOverDiameter } = predictRoll(lined);
    for (const { steps, struckAt } of jLines) {
      const broken = steps.find((s) => s.name === 'web break');
      const arcs = slipOverDiameter
        .filter((p) => p.diameter >= struckAt)
        .flatMap((p) => p.cases.filter((c) => c.name === 'web break' && c.slides !== undefined))
        .map((c) => c.slides?.arc ?? 0);
      expect(broken?.arc).toBe(Math.max(...arcs));
    }
  });

  it('have no jump where layers slide outside of their end, and say which way those inside go', () => {
    // braked at the surface the outside is asked most, and what lies inside runs on
    const surface = { ...lined, stop: { deceleration: 40, brakedAt: 'surface' } } as const;
    const { jLines, slipOverDiameter } = predictRoll(surface);
    const broken = slipOverDiameter.flatMap((p) =>
      p.cases.flatMap((c) =>
        c.name === 'web break' && c.slides ? [{ ...c.slides, diameter: p.diameter }] : [],
      ),
    );
    const [line] = jLines;
    const end = (line?.struckAt ?? 0) / 2;
    const later = broken.filter((s) => s.diameter >= 2 * end);
    expect(later.some((s) => s.radius >= end)).toBe(true);
    expect(new Set(broken.map((s) => s.direction))).toEqual(new Set([1]));
    for (const l of jLines) for (const s of l.steps) expect(s.radius).toBeLessThan(l.struckAt / 2);
    // braked at the core it is the inside that falls behind
    const core = predictRoll({ ...lined, stop: { deceleration: 40, brakedAt: 'core' } });
    const held = core.jLines.flatMap((l) => l.steps).filter((s) => s.name === 'web break');
    expect(held.length).toBeGreaterThan(0);
    for (const s of held) expect(s.direction).toBe(-1);
  });

  it('are left out where slip is not judged or none is stated', () => {
    expect(predictRoll(handled).jLines).toEqual([]);
    const { friction: _, ...web } = lined.web;
    expect(predictRoll({ ...lined, web }).jLines).toEqual([]);
  });
});
