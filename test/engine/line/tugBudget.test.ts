import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type TugOptions, tugBudget } from '../../../src/engine/line/tug/tugBudget.js';
import type { RollerTug } from '../../../src/engine/line/tug/types.js';
import { speed, zigzag } from '../../support/zigzagLine.js';

const rollers = (line: ReturnType<typeof zigzag>, options: TugOptions = {}): readonly RollerTug[] =>
  tugBudget(line, options)?.zones.flatMap((z) => z.rollers) ?? [];

describe('what the web is asked to pull', () => {
  it('is drag over radius and inertia times acceleration over the square of it, summed along the zone', () => {
    // J = 0.02, R = 0.05, a = 0.5, M = 0.105 N·m: 2.1 N of drag and 4.0 N of acceleration each
    const budget = tugBudget(zigzag([{}, {}, {}, {}]));
    const [zone] = budget?.zones ?? [];
    expect(zone).toMatchObject({ from: 'unwind', to: 'winder', tension: 150, unknown: [] });
    expect(zone.drag.low).toBeCloseTo(8.4, 9);
    expect(zone.drag.high).toBeCloseTo(8.4, 9);
    expect(zone.inertia.low).toBeCloseTo(16, 9);
    expect(zone.inertia.high).toBeCloseTo(16, 9);
    expect(zone.stopping.low).toBeCloseTo(-12.8, 9);
    // the whole rise over the zone while speeding up is what four times 6.1 N comes to, at every speed for a drag that does not depend on it
    for (const p of zone.points.filter((x) => x.acceleration === 0.5)) {
      expect(p.rise?.low).toBeCloseTo(24.4, 9);
      expect(p.rise?.high).toBeCloseTo(24.4, 9);
    }
    expect(zone.points.map((p) => [p.speed, p.acceleration])).toContainEqual([0.25, -0.4]);
    zone.rollers.forEach((r, k) => {
      expect(r.tensionBefore?.low).toBeCloseTo(150 + 2.1 * k, 9);
      expect(r.verdict).toBe('carried by the web');
      // while the line speeds up, the rollers before it have raised the tension by 6.1 N each; ratio (T + 6.1)/T against exp(0.3·β)
      const t = 150 + 6.1 * k;
      expect(r.worstWhen).toBe('speeding up');
      expect(r.frictionNeeded).toBeCloseTo(Math.log((t + 6.1) / t) / (r.wrap as number), 9);
      expect(r.reserve).toBeCloseTo(0.3 / (r.frictionNeeded as number), 9);
      expect(r.points.find((p) => p.speed === 5 && p.acceleration === -0.4)?.rise?.low).toBeCloseTo(
        2.1 - 3.2,
        9,
      );
    });
  });

  it('never takes what is not known for zero', () => {
    const [known, noDrag, noInertia] = rollers(
      zigzag([{}, { drag: undefined }, { inertia_kgm2: undefined }]),
    );
    expect(known.verdict).toBe('carried by the web');
    expect(noDrag).toMatchObject({ verdict: 'not known', reasons: ['not known: drag'] });
    expect(noDrag.drag).toBeUndefined();
    expect(noInertia).toMatchObject({ verdict: 'not known', reasons: ['not known: inertia'] });
    expect(tugBudget(zigzag([{}, { drag: undefined }]))?.zones[0].unknown).toEqual(['idler 2']);
    const [noFriction] = rollers(zigzag([{ friction: undefined }]));
    expect(noFriction).toMatchObject({ verdict: 'not known', reasons: ['not known: friction'] });
    expect(noFriction.frictionNeeded).toBeGreaterThan(0);
    const untensioned = zigzag([{}]);
    const [unwind, ...rest] = untensioned.sections;
    const [noTension] = rollers({
      ...untensioned,
      sections: [{ ...unwind, tensionAfter: undefined }, ...rest],
    });
    expect(noTension.verdict).toBe('not known');
    expect(noTension.drag?.low).toBeCloseTo(2.1, 9);
  });

  it('asks for a helper at the heaviest roller once drag takes a tenth of the tension', () => {
    const heavy = (drag: number) => rollers(zigzag([{}, { drag: { coulomb_Nm: drag }, friction: 3 }, {}]));
    // 150 N: a tenth is 15 N; the others take 4.2 N, so the limit lies at 10.8 N, 0.54 N·m
    expect(heavy(0.53)[1].verdict).toBe('carried by the web');
    const [one, two, three] = heavy(0.55);
    expect([one.verdict, two.verdict, three.verdict]).toEqual([
      'carried by the web',
      'needs a helper drive',
      'carried by the web',
    ]);
    expect(two.helper?.torque.high).toBeCloseTo(0.55 + (0.02 * 0.5) / 0.05, 9);
    expect(two.helper?.power.high).toBeCloseTo((0.55 + 0.2) * 100, 6);
    const findings = tugBudget(zigzag([{}, { drag: { coulomb_Nm: 0.55 }, friction: 3 }, {}]))?.findings;
    expect(findings?.map((f) => [f.code, f.where.section])).toEqual([['helper_needed', 'idler 2']]);
  });

  it('asks for a helper where acceleration takes a quarter of the tension, or traction is short', () => {
    // 150 N: a quarter is 37.5 N; J·a/R² = 200·J
    expect(rollers(zigzag([{ inertia_kgm2: 0.187, friction: 3 }]))[0].verdict).toBe('carried by the web');
    expect(rollers(zigzag([{ inertia_kgm2: 0.188, friction: 3 }]))[0].verdict).toBe('needs a helper drive');
    const [short] = rollers(zigzag([{ friction: 0.04 }]));
    expect(short.reserve).toBeLessThan(1.5);
    expect(short).toMatchObject({ verdict: 'needs a helper drive' });
    expect(
      rollers(zigzag([{ friction: 0.2 }]), {
        criteria: { dragShare: 0.1, reserve: 1.05, accelerationShare: 0.25 },
      })[0].verdict,
    ).toBe('carried by the web');
  });

  it('lets the air film take traction from a smooth roller, not from a grooved one nor from a web that lets air through', () => {
    const web = { roughness: 1e-6 };
    const smooth = { roughness_m: 2e-6 };
    // R = 0.05, 150 N/m: none above 2.08 m/s, and the line runs at 5
    const [slips] = rollers(zigzag([smooth]), { web });
    expect(slips.friction).toBe(0);
    expect(slips.reserve).toBeLessThan(1);
    expect(tugBudget(zigzag([smooth]), { web })?.findings[0].code).toBe('traction_lost');
    expect(rollers(zigzag([{ ...smooth, grooved: true }]), { web })[0].friction).toBe(0.3);
    expect(rollers(zigzag([smooth]), { web: { ...web, permeable: true } })[0].friction).toBe(0.3);
  });

  it('loses the grip where it says the roller begins to slip', () => {
    const [r] = rollers(zigzag([{}]));
    const a = r.accelerationBeforeSlip as number;
    const line = zigzag([{}], 150, { speed: { ...speed, acceleration_m_per_s2: a } });
    expect(rollers(line)[0].reserve).toBeCloseTo(1, 9);
  });

  it('takes a bearing estimate as a band', () => {
    const bearings = { bore_m: 0.025, outer_diameter_m: 0.052, kinematic_viscosity_m2_per_s: 1e-4 };
    const [r] = rollers(zigzag([{ drag: undefined, bearings }]));
    expect((r.drag?.high as number) / (r.drag?.low as number)).toBeGreaterThan(2);
  });

  it('begins anew behind a driven pull roll, and leaves a helper only the error of its feed-forward', () => {
    const line = zigzag([
      {},
      { kind: 'pull-roll', tension_N_per_m: 200, drive: { rated_torque_Nm: 10 } },
      { kind: 'driven-idler', drive: { rated_torque_Nm: 10 } },
    ]);
    const zones = tugBudget(line)?.zones ?? [];
    expect(zones.map((z) => [z.from, z.to, z.tension])).toEqual([
      ['unwind', 'idler 2', 150],
      ['idler 2', 'winder', 200],
    ]);
    // Stated drag has no half width, so what is left of it is not known.
    expect(zones[1].rollers[0]).toMatchObject({ carrier: 'helper drive', verdict: 'driven' });
    expect(zones[1].rollers[0].drag).toBeUndefined();
  });

  it('keeps the product’s window in sight', () => {
    const codes = (o: TugOptions) => tugBudget(zigzag([{}, {}]), o)?.findings.map((f) => f.code);
    expect(codes({ highestTension: 154 })).toEqual(['zone_tension_outside_window']);
    expect(codes({ highestTension: 155 })).toEqual([]);
    expect(codes({ lowestTension: 160 })).toEqual(['zone_tension_outside_window']);
  });

  it('is the same in a mirror, and never asks less for more acceleration', () => {
    const sums = (mirror: number) =>
      tugBudget(zigzag([{}, {}], 150, {}, mirror))?.zones[0].rollers.map((r) => [r.wrap, r.reserve]);
    sums(1)?.forEach(([wrap, reserve], k) => {
      expect(sums(-1)?.[k][0]).toBeCloseTo(wrap as number, 9);
      expect(sums(-1)?.[k][1]).toBeCloseTo(reserve as number, 9);
    });
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 2, noNaN: true }),
        fc.double({ min: 0.01, max: 2, noNaN: true }),
        (a, more) => {
          const at = (x: number) =>
            rollers(zigzag([{}, {}], 150, { speed: { top_m_per_s: 5, acceleration_m_per_s2: x } }))[1];
          expect(at(a + more).inertia?.low as number).toBeGreaterThan(at(a).inertia?.low as number);
          expect(at(a + more).reserve as number).toBeLessThan(at(a).reserve as number);
        },
      ),
      { numRuns: 20 },
    );
  });

  it('is not made while the line states no speed', () => {
    expect(tugBudget(zigzag([{}], 150, { speed: undefined }))).toBeUndefined();
  });
});
