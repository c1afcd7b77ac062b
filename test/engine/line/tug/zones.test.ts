import { describe, expect, it } from 'vitest';
import type { Line } from '../../../../src/engine/line/line.js';
import { type TugOptions, tugBudget } from '../../../../src/engine/line/tug/tugBudget.js';
import type { TensionZone, TugBudget } from '../../../../src/engine/line/tug/types.js';
import { zigzag } from '../../../support/zigzagLine.js';

const budgetOf = (line: Line, options?: TugOptions): TugBudget => tugBudget(line, options) as TugBudget;
const zonesOf = (line: Line, options?: TugOptions): readonly TensionZone[] => budgetOf(line, options).zones;
/** The line without the tension at its unwind. */
const untensioned = (line: Line): Line => ({
  ...line,
  sections: line.sections.map((s, k) => (k === 0 ? { ...s, tensionAfter: undefined } : s)),
});

describe('where the tension of a zone is held', () => {
  it('is a load cell or dancer that states one: the rollers before it lie below it, those behind it above', () => {
    const line = untensioned(zigzag([{}, {}, { kind: 'load-cell', tension_N_per_m: 150 }, {}]));
    const zones = zonesOf(line);
    expect(zones.map((z) => [z.from, z.to, z.heldAt, z.tension])).toEqual([
      ['unwind', 'idler 3', 'end', 150],
      ['idler 3', 'winder', 'beginning', 150],
    ]);
    // 2.1 N of drag each; the load cell's own roller lies before the place where the tension is held
    const before = zones.flatMap((z) => z.rollers.map((r) => r.tensionBefore?.low));
    [143.7, 145.8, 147.9, 150].forEach((t, k) => {
      expect(before[k]).toBeCloseTo(t, 9);
    });
    // speeding up takes 4 N more of each: 150 − 3·6.1 before the first, and that is where traction is worst
    const [first] = zones[0].rollers;
    expect(first.frictionNeeded).toBeCloseTo(Math.log(137.8 / 131.7) / (first.wrap as number), 9);
    expect(zones[0].lowestTension).toBe(150);
  });

  it('leaves the rollers before it a band where their drag is one', () => {
    const bearings = { bore_m: 0.025, outer_diameter_m: 0.052, kinematic_viscosity_m2_per_s: 1e-4 };
    const line = untensioned(
      zigzag([
        { drag: undefined, bearings },
        { kind: 'load-cell', tension_N_per_m: 150 },
      ]),
    );
    const [first, second] = zonesOf(line)[0].rollers;
    expect(second.tensionBefore?.high).toBeCloseTo(147.9, 9);
    expect(first.tensionBefore?.low).toBeCloseTo(147.9 - (first.drag?.high as number), 9);
    expect(first.tensionBefore?.high).toBeCloseTo(147.9 - (first.drag?.low as number), 9);
  });

  it('is the beginning where both ends state one', () => {
    const [zone] = zonesOf(zigzag([{}, { kind: 'dancer', tension_N_per_m: 170 }, {}]));
    expect(zone).toMatchObject({ heldAt: 'beginning', tension: 150 });
    expect(zone.rollers[1].tensionBefore?.low).toBeCloseTo(152.1, 9);
  });

  it('is the winder where its program is given, from its lowest tension to its highest', () => {
    const winderTension = { low: 60, high: 140 };
    const [zone] = zonesOf(zigzag([{}, {}]), { winderTension });
    expect(zone).toMatchObject({ heldAt: 'end', tension: 150 });
    expect(zone.rollers[0].tensionBefore?.low).toBeCloseTo(60 - 4.2, 9);
    expect(zone.rollers[0].tensionBefore?.high).toBeCloseTo(140 - 4.2, 9);
    expect(zone.rollers[1].tensionBefore?.low).toBeCloseTo(60 - 2.1, 9);
    expect(zone.lowestTension).toBe(60);
    // a tenth of 42 N is the 4.2 N of drag
    const codes = (low: number) =>
      budgetOf(
        zigzag([
          { inertia_kgm2: 1e-4, friction: 3 },
          { inertia_kgm2: 1e-4, friction: 3 },
        ]),
        { winderTension: { low, high: low } },
      ).findings.map((f) => f.code);
    expect(codes(42.1)).toEqual([]);
    expect(codes(41.9)).toEqual(['helper_needed']);
  });

  it('lets the rollers behind one that is not known be judged from the winder', () => {
    const line = zigzag([{ kind: 'driven-idler', drive: { rated_torque_Nm: 10 } }, {}]);
    expect(zonesOf(line)[0].rollers[1].verdict).toBe('not known');
    const [, after] = zonesOf(line, { winderTension: { low: 150, high: 150 } })[0].rollers;
    expect(after.verdict).toBe('carried by the web');
    expect(after.tensionBefore?.low).toBeCloseTo(147.9, 9);
  });

  it('is nowhere in a line that states none, and the rollers behind its last drive are not forgotten', () => {
    const line = zigzag([{}, {}]);
    const open = { ...line, sections: line.sections.slice(0, -1) };
    const [zone] = zonesOf(open);
    expect([zone.from, zone.to, zone.rollers.map((r) => r.name)]).toEqual([
      'unwind',
      'idler 2',
      ['idler 1', 'idler 2'],
    ]);
    const headless = { ...line, sections: line.sections.slice(1, -1) };
    const [alone] = zonesOf(headless);
    expect(alone.rollers).toHaveLength(2);
    expect(alone.tension).toBeUndefined();
    expect(alone.rollers.map((r) => r.verdict)).toEqual(['not known', 'not known']);
  });
});

describe('the window of the product', () => {
  const said = (options: TugOptions, line = zigzag([{}, {}])) =>
    budgetOf(line, options)
      .findings.filter((f) => f.code === 'zone_tension_outside_window')
      .map((f) => f.message);

  it('is named with the end that is passed', () => {
    expect(said({ highestTension: 154 })[0]).toMatch(/behind the last roller is 154.*above the 154/);
    expect(said({ lowestTension: 155 })[0]).toMatch(/below the 155/);
    expect(said({ lowestTension: 150, highestTension: 155 })).toEqual([]);
    // held at the winder, it is the beginning that falls short
    const winderTension = { low: 100, high: 120 };
    expect(said({ lowestTension: 96, winderTension })[0]).toMatch(/before the first roller/);
    expect(said({ lowestTension: 95.7, winderTension })).toEqual([]);
  });

  it('is passed for certain only where an unknown roller could but add to it', () => {
    const line = zigzag([{ drag: undefined }, {}]);
    expect(said({ highestTension: 152 }, line)[0]).toMatch(/at least 152/);
    expect(said({ highestTension: 153 }, line)).toEqual([]);
    expect(said({ lowestTension: 155 }, line)).toEqual([]);
  });
});
