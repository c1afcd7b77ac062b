import { describe, expect, it } from 'vitest';
import { bearingBand } from '../../../../src/engine/line/bearing/bearingBand.js';
import type { Line, Roller } from '../../../../src/engine/line/line.js';
import { bearingLoad } from '../../../../src/engine/line/tug/rollerRise.js';
import { type TugOptions, tugBudget } from '../../../../src/engine/line/tug/tugBudget.js';
import type { RollerTug, TugBudget } from '../../../../src/engine/line/tug/types.js';
import { toTugDocument } from '../../../../src/engine/project/line/tugDocument.js';
import { plain } from '../../../../src/engine/project/plain.js';
import { speed, zigzag } from '../../../support/zigzagLine.js';

const budgetOf = (line: Line, options: TugOptions = {}): TugBudget => {
  const budget = tugBudget(line, options);
  if (budget === undefined) throw new Error('the line states a speed');
  // Whatever is open in a budget, its document holds finite numbers or null.
  plain(toTugDocument(budget));
  return budget;
};
const rollers = (line: Line, options?: TugOptions): readonly RollerTug[] =>
  budgetOf(line, options).zones.flatMap((z) => z.rollers);
const bearings = { bore_m: 0.025, outer_diameter_m: 0.052, kinematic_viscosity_m2_per_s: 1e-4 };
/** The line with one roller changed. */
const withRoller = (line: Line, name: string, change: Partial<Roller>): Line => ({
  ...line,
  sections: line.sections.map((s) =>
    s.kind === 'idler' || s.kind === 'driven-idler'
      ? { ...s, rollers: s.rollers.map((r) => (r.name === name ? { ...r, ...change } : r)) }
      : s,
  ),
});

describe('what is not known stays open', () => {
  it('in the tension behind a roller of unknown drag: at least what it was, no upper end', () => {
    const line = zigzag([{ drag: undefined }, {}, {}]);
    const [, second, third] = rollers(line);
    expect(second.tensionBefore).toEqual({ low: 150, high: Number.POSITIVE_INFINITY });
    expect(third.tensionBefore?.low).toBeCloseTo(152.1, 9);
    // Traction is worst at the lowest tension, so it can still be judged, as if the first roller turned freely but with its inertia.
    expect(second.verdict).toBe('carried by the web');
    expect(second.frictionNeeded).toBeCloseTo(Math.log(160.1 / 154) / (second.wrap as number), 9);
    const document = toTugDocument(budgetOf(line));
    expect(document.zones[0].rollers[1].tensionBefore_N).toEqual([150, null]);
    expect(document.zones[0].points.every((p) => p.rise_N === undefined)).toBe(true);
    expect(document.zones[0].unknown).toEqual(['idler 1']);
  });

  it('in the tension behind a roller of unknown inertia, while the line stops', () => {
    const idlers = [{ inertia_kgm2: undefined }, {}];
    const [, stops] = rollers(zigzag(idlers));
    // speeding up, the first roller can only add to the tension; in a stop it may take any of it
    expect(stops.verdict).toBe('not known');
    expect(stops.missing.join()).toMatch(/while the speed changes/);
    expect(stops.reserve).toBeUndefined();
    const [, goes] = rollers(zigzag(idlers, 150, { speed: { top_m_per_s: 5, acceleration_m_per_s2: 0.5 } }));
    expect(goes.verdict).toBe('carried by the web');
    expect(goes.frictionNeeded).toBeCloseTo(Math.log(158.2 / 152.1) / (goes.wrap as number), 9);
  });

  it('in the tension behind a helper drive that was not measured: it may brake or push', () => {
    const helped = { kind: 'driven-idler', drive: { rated_torque_Nm: 10 } } as const;
    const [helper, after] = rollers(zigzag([helped, {}]));
    expect(helper).toMatchObject({ carrier: 'helper drive', verdict: 'driven' });
    expect(helper.drag).toBeUndefined();
    expect(helper.inertia).toBeUndefined();
    expect(after.verdict).toBe('not known');
    expect(after.missing[0]).toMatch(/^tension before it/);
    expect(after.tensionBefore).toBeUndefined();
    expect(after.reserve).toBeUndefined();
    // what it asks itself is known
    expect(after.drag?.high).toBeCloseTo(2.1, 9);
  });

  it('but a helper drive that was measured leaves the half widths of what was measured', () => {
    const line = withRoller(
      zigzag([{ kind: 'driven-idler', drive: { rated_torque_Nm: 10 } }, {}]),
      'idler 1',
      {
        inertia: { value: 0.02, source: 'test', halfWidth95: 0.001 },
        drag: {
          known: 'measured',
          source: 'test',
          law: { coulomb: 0.1, viscous: 0, quadratic: 0, stribeck: 0, stribeckSpeed: 1 },
          halfWidth95: { speed: [0, 200], torque: [0.01, 0.03] },
        },
      },
    );
    const [helper, after] = rollers(line);
    // at 5 m/s, 100 rad/s: ± 0.02 N·m / 0.05 m; 0.001 · 0.5 / 0.05²
    expect(helper.drag?.low).toBeCloseTo(-0.4, 12);
    expect(helper.drag?.high).toBeCloseTo(0.4, 12);
    expect(helper.inertia?.high).toBeCloseTo(0.2, 12);
    expect(helper.inertia?.low).toBeCloseTo(-0.2, 12);
    expect(after.tensionBefore?.low).toBeCloseTo(149.6, 9);
    expect(after.tensionBefore?.high).toBeCloseTo(150.4, 9);
    // A tension that the error of a helper may take below nothing is no crash, but a roller that may lose the web.
    const wild = withRoller(line, 'idler 1', {
      drag: {
        known: 'measured',
        source: 'test',
        law: { coulomb: 0.1, viscous: 0, quadratic: 0, stribeck: 0, stribeckSpeed: 1 },
        halfWidth95: { speed: [0], torque: [10] },
      },
    });
    const [, slips] = rollers(withRoller(wild, 'idler 2', { roughness: 2e-6 }), { web: { roughness: 1e-6 } });
    expect(slips.verdict).toBe('needs a helper drive');
    const [, may] = rollers(wild);
    expect(may.tensionBefore?.low).toBeCloseTo(-50, 9);
    expect(may.verdict).toBe('not known');
    expect(may.reserve).toBe(0);
    expect(may.reasons.join()).toMatch(/may go slack/);
  });

  it('for an acceleration or a stop that the line does not state', () => {
    const [still] = rollers(zigzag([{}], 150, { speed: { top_m_per_s: 5 } }));
    expect(still).toMatchObject({ verdict: 'not known', missing: ['acceleration of the line'] });
    expect(still.inertia).toBeUndefined();
    expect(still.helper).toBeUndefined();
    expect(still.points.every((p) => p.acceleration === 0)).toBe(true);
    const [noStop] = rollers(zigzag([{}], 150, { speed: { top_m_per_s: 5, acceleration_m_per_s2: 0.5 } }));
    expect(noStop.verdict).toBe('carried by the web');
    expect(noStop.provisos.join()).toMatch(/stops/);
    expect(rollers(zigzag([{}]))[0].provisos.join()).not.toMatch(/stops/);
  });

  it('for air under the web without both roughnesses', () => {
    const said = (idler: object, options: TugOptions) => rollers(zigzag([idler]), options)[0].provisos.join();
    const web = { roughness: 1e-6, frictionOnRoller: 0.3 };
    expect(said({}, {})).toMatch(/roughness of the roller.*roughness of the web/);
    expect(said({}, { web })).toMatch(/roughness of the roller/);
    expect(said({ roughness_m: 1e-6 }, { web })).toBe('');
    expect(said({ grooved: true }, {})).toBe('');
    expect(said({}, { web: { permeable: true } })).toBe('');
  });

  it('for rubbing seals, which come on top of every formula', () => {
    const open = zigzag([{ drag: undefined, bearings }]);
    const sealed = zigzag([{ drag: undefined, bearings: { ...bearings, sealed: true } }]);
    const [a] = rollers(open);
    const [b] = rollers(sealed);
    expect(a.verdict).toBe('carried by the web');
    expect(b.drag).toEqual({ low: a.drag?.low, high: Number.POSITIVE_INFINITY });
    expect(b).toMatchObject({ verdict: 'not known', missing: ['drag'] });
    expect(budgetOf(open).findings).toEqual([]);
    expect(budgetOf(sealed).findings.map((f) => [f.code, f.severity, f.where])).toEqual([
      ['helper_unclear', 'info', { pointer: 'sections.1', section: 'idler 1' }],
    ]);
  });
});

describe('an estimate that straddles a limit', () => {
  const verdict = (dragShare: number) => {
    const line = zigzag([{ drag: undefined, bearings }]);
    const criteria = { dragShare, reserve: 0, accelerationShare: 1 };
    const { zones, findings } = budgetOf(line, { criteria });
    const [roller] = zones[0].rollers;
    return { roller, codes: findings.map((f) => f.code) };
  };
  const drag = verdict(1).roller.drag as { low: number; high: number };

  it('needs a helper only when its low end does', () => {
    expect(drag.high / drag.low).toBeGreaterThan(2);
    expect(verdict((1.01 * drag.high) / 150)).toMatchObject({
      roller: { verdict: 'carried by the web', reasons: [] },
      codes: [],
    });
    const between = verdict(Math.sqrt(drag.low * drag.high) / 150);
    expect(between).toMatchObject({ roller: { verdict: 'not known' }, codes: ['helper_unclear'] });
    expect(between.roller.reasons[0]).toMatch(/takes up to/);
    expect(verdict((0.99 * drag.low) / 150)).toMatchObject({
      roller: { verdict: 'needs a helper drive' },
      codes: ['helper_needed'],
    });
  });
});

describe('the load on the bearings', () => {
  const roller = (change: Partial<Roller>): Roller => ({
    name: 'r',
    drag: { known: 'unknown' },
    grooved: false,
    ...change,
  });
  const at = (tension: number) => ({ low: tension, high: tension });
  const gravity = 9.80665;

  it('lies between difference and sum of pull and weight', () => {
    // 150 N over 90 degrees pull with 212.132 N; 10 kg weigh 98.0665 N
    const load = bearingLoad(roller({ mass: 10 }), 0.05, at(150), Math.PI / 2);
    expect(load.low).toBeCloseTo(212.132034 - 98.0665, 5);
    expect(load.high).toBeCloseTo(212.132034 + 98.0665, 5);
    expect(bearingLoad(roller({ mass: 50 }), 0.05, at(150), Math.PI / 2).low).toBeCloseTo(
      50 * gravity - 212.132034,
      5,
    );
  });

  it('takes the weight from the inertia, a thin shell at the least and a solid roller at the most', () => {
    const inertia = { value: 0.02, source: 'test' };
    const load = bearingLoad(roller({ inertia }), 0.05, at(0), Math.PI);
    expect(load.low).toBeCloseTo(8 * gravity, 9);
    expect(load.high).toBeCloseTo(16 * gravity, 9);
  });

  it('is open where tension or weight is not known, and up to twice the tension without a wrap', () => {
    expect(bearingLoad(roller({ mass: 1 }), 0.05, undefined, 1).high).toBe(Number.POSITIVE_INFINITY);
    expect(bearingLoad(roller({}), 0.05, at(150), 1).high).toBe(Number.POSITIVE_INFINITY);
    expect(bearingLoad(roller({ mass: 1 }), 0.05, at(150), undefined).high).toBeCloseTo(300 + gravity, 9);
    // so the drag of a roller in a zone without tension is at least that of the lightest load
    const untensioned = zigzag([{ drag: undefined, bearings }]);
    const [unwind, ...rest] = untensioned.sections;
    const [r] = rollers({ ...untensioned, sections: [{ ...unwind, tensionAfter: undefined }, ...rest] });
    expect(r.drag?.high ?? Number.POSITIVE_INFINITY).toBe(Number.POSITIVE_INFINITY);
    expect(r.missing).toContain('tension of its zone');
  });

  it('gives the drag of the bearing formulas at its two ends', () => {
    const [r] = rollers(zigzag([{ drag: undefined, bearings }]));
    const pull = 2 * 150 * Math.sin((r.wrap as number) / 2);
    const { low, high } = {
      low: Math.max(0, pull - 16 * gravity, 8 * gravity - pull),
      high: pull + 16 * gravity,
    };
    const of = {
      count: 2,
      bore: 0.025,
      outerDiameter: 0.052,
      kinematicViscosity: 1e-4,
      sealed: false,
    };
    expect(r.drag?.low).toBeCloseTo(bearingBand(of, low, 100).low / 0.05, 9);
    expect(r.drag?.high).toBeCloseTo(bearingBand(of, high, 100).high / 0.05, 9);
    expect(speed.top_m_per_s / 0.05).toBe(100);
  });
});
