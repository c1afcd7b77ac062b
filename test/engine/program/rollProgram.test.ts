import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Line, type Winder, winderTypes } from '../../../src/engine/line/line.js';
import { lineProgram } from '../../../src/engine/program/lineProgram.js';
import type { RollProgramResult } from '../../../src/engine/program/rollProgram.js';
import type { SectionDocument } from '../../../src/engine/project/line/lineDocument.js';
import { toLine } from '../../../src/engine/project/line/toLine.js';
import type {
  ProductDocument,
  RollProgramDocument,
  ScheduleDocument,
} from '../../../src/engine/project/product/productDocument.js';
import { toProduct } from '../../../src/engine/project/product/toProduct.js';

const drums = {
  rear_drum: { centre_m: [-0.35, 0], diameter_m: 0.5, turns: 'clockwise' },
  front_drum: { centre_m: [0.35, 0], diameter_m: 0.5, turns: 'clockwise' },
} as const;

function line(type: Winder['type'], more: Partial<SectionDocument> = {}): Line {
  return toLine({
    schema: 'tautline/line@1',
    name: 'test line (invented)',
    sections: [{ name: 'winder', kind: 'winder', type, ...more }],
  });
}

const web = {
  width_m: 1.5,
  caliper_m: 1e-4,
  density_kgm3: 800,
  friction: 0.3,
  friction_on_roller: 0.25,
  strength_N_per_m: 4000,
};
const linear = (start: number, end: number): ScheduleDocument => ({
  law: 'linear',
  start_N_per_m: start,
  end_N_per_m: end,
});
const winder = (more: Partial<RollProgramDocument> = {}): RollProgramDocument => ({
  core_diameter_m: 0.1,
  full_diameter_m: 1.2,
  tension: { law: 'hyperbolic', start_N_per_m: 300, taper: 0.5 },
  nip: linear(400, 250),
  torque_differential: linear(60, 0),
  ...more,
});

function run(
  type: Winder['type'],
  program: RollProgramDocument = winder(),
  product: Partial<ProductDocument> = {},
  section: Partial<SectionDocument> = {},
): RollProgramResult {
  const document: ProductDocument = { schema: 'tautline/product@1', web, winder: program, ...product };
  const { winder: found } = lineProgram(line(type, section), toProduct(document), 23);
  if (found === undefined) throw new Error('no winder');
  return found.result;
}
const codes = (result: RollProgramResult): string[] =>
  result.findings.filter((f) => f.severity !== 'info').map((f) => f.code);

describe('rows of a program', () => {
  it('run evenly from core to full roll, with the web that is then on the roll', () => {
    const { rows } = run('centre-surface');
    expect(rows).toHaveLength(23);
    expect(rows[0]).toMatchObject({
      diameter: 0.1,
      length: 0,
      tension: 300,
      nip: 400,
      torqueDifferential: 60,
    });
    expect(rows[22].diameter).toBe(1.2);
    // Area of the web side / caliper: π/4·(1.2² − 0.1²)/1e-4
    expect(rows[22].length).toBeCloseTo((Math.PI / 4) * (1.44 - 0.01) * 1e4, 6);
    rows.forEach((r, k) => {
      expect(r.diameter).toBeCloseTo(0.1 + (1.1 * k) / 22, 12);
      // T(D) = start·[1 − taper·(1 − D0/D)], design of the product document
      expect(r.tension).toBeCloseTo(300 * (1 - 0.5 * (1 - 0.1 / r.diameter)), 9);
      expect(r.nip).toBeCloseTo(400 - (150 * (r.diameter - 0.1)) / 1.1, 9);
    });
    expect(rows[22].tension).toBeCloseTo(300 * (0.5 + 0.5 / 12), 9);
  });

  it.each(winderTypes)('share the tension exactly at a %s winder', (type) => {
    for (const r of run(type, winder(), {}, type === 'two-drum' ? drums : {}).rows) {
      expect((r.share1 as number) + (r.share2 as number)).toBe(r.tension);
      expect((r.share1 as number) - (r.share2 as number)).toBeCloseTo(r.torqueDifferential as number, 9);
    }
  });

  it('put all tension through the core at a centre winder and none at a surface winder', () => {
    for (const r of run('centre').rows) {
      expect([r.share1, r.share2]).toEqual([r.tension, 0]);
      // Wound-on tension = tension + nip-induced tension with an idle nip (Good, Hartwig, Markum 1999, first page)
      expect(r.woundOnTension).toBeCloseTo(r.tension + 0.3 * (r.nip as number), 9);
    }
    for (const r of run('surface').rows) {
      expect([r.share1, r.share2]).toEqual([0, r.tension]);
      expect(r.woundOnTension).toBeCloseTo(0.3 * (r.nip as number), 9);
    }
  });

  it('wind tighter with more differential, at a centre-surface and at a two-drum winder', () => {
    for (const [type, section] of [
      ['centre-surface', {}],
      ['two-drum', drums],
      ['two-drum', {}],
    ] as const)
      fc.assert(
        fc.property(fc.integer({ min: -100, max: 100 }), fc.integer({ min: 1, max: 80 }), (d, more) => {
          const at = (value: number) =>
            run(
              type,
              winder({
                torque_differential: { law: 'constant', start_N_per_m: value },
                core_diameter_m: 0.4,
              }),
              {},
              section,
            ).rows;
          const [less, tighter] = [at(d), at(d + more)];
          less.forEach((r, k) => {
            expect(tighter[k].woundOnTension as number).toBeGreaterThan(r.woundOnTension as number);
          });
        }),
        { numRuns: 20 },
      );
  });

  it('know the nips of two drums from the weight of the roll', () => {
    const { rows } = run(
      'two-drum',
      winder({ core_diameter_m: 0.4, nip: { law: 'constant', start_N_per_m: 0 } }),
      {},
      drums,
    );
    const last = rows[22];
    const weight = 800 * Math.PI * (0.6 ** 2 - 0.2 ** 2) * 9.80665;
    const angle = Math.asin(0.35 / (0.6 + 0.25));
    expect(last.drumNip).toBeCloseTo(
      weight / (2 * Math.cos(angle)) - (last.share1 as number) * Math.tan(angle),
      6,
    );
    // λ from 1 (locked, the default) to 0 (slides)
    const nit = 0.3 * (last.drumNip as number);
    expect(last.woundOnTension).toBeCloseTo((last.share1 as number) + nit, 6);
    expect(last.woundOnBounds).toEqual({
      lower: expect.closeTo((last.share1 as number) + nit, 6),
      upper: expect.closeTo(2 * nit, 6),
    });
  });

  it('use measured coefficients and then do not call them starting values', () => {
    const measured = { nip_coefficient: 0.2, nip_tension_max_N_per_m: 60, lambda: 0.7 };
    const result = run('centre', winder({ wound_on: measured }));
    expect(result.findings.map((f) => f.code)).not.toContain('wound_on_default');
    for (const r of result.rows)
      expect(r.woundOnTension).toBeCloseTo(r.tension + Math.min(0.2 * (r.nip as number), 60), 9);
    expect(
      run('centre', winder({ wound_on: { ...measured, measured: false } })).findings.map((f) => f.code),
    ).toContain('wound_on_default');
  });

  it('leave out what something unknown would be needed for, and say so', () => {
    const { torque_differential: _, ...without } = winder();
    const result = run('centre-surface', without);
    expect(codes(result)).toContain('torque_differential_missing');
    expect(result.rows.every((r) => r.share1 === undefined && r.woundOnTension === undefined)).toBe(true);
    const { friction: _f, ...smooth } = web;
    const unknown = run('centre', winder(), { web: smooth });
    expect(codes(unknown)).toContain('wound_on_unknown');
    expect(unknown.rows.every((r) => r.woundOnTension === undefined)).toBe(true);
    expect(codes(run('two-drum'))).toContain('drum_nip_unknown');
    expect(codes(run('centre'))).toContain('torque_differential_unused');
    expect(codes(run('two-drum', winder({ core_diameter_m: 0.05 }), {}, drums))).toContain(
      'roll_between_drums',
    );
  });
});

describe('limits of a program', () => {
  it('state margin and tightest place', () => {
    const result = run('centre-surface', winder({ tension: linear(300, 150), nip: linear(400, 400) }), {
      limits: {
        lowest_tension_N_per_m: 100,
        highest_tension_N_per_m: 400,
        strength_share: 0.1,
        highest_nip_N_per_m: 500,
        steepest_per_m: 1,
      },
    });
    const limit = (name: string) => result.limits.find((l) => l.name === name);
    expect(limit('web strength')).toMatchObject({ diameter: 0.1, value: 300, limit: 400, margin: 0.25 });
    expect(limit('lowest tension')).toMatchObject({ diameter: 1.2, margin: 0.5 });
    expect(limit('highest nip')).toMatchObject({ diameter: 0.1, margin: expect.closeTo(0.2, 12) });
    // (300 − 150)/1.1 m over 300
    expect(limit('slope of tension')).toMatchObject({ value: expect.closeTo(150 / 1.1 / 300, 9) });
    // share 2 at the core: (300 − 60)/2 = 120 against 0.25·400 = 100
    expect(limit('drum traction, pulling')).toMatchObject({
      diameter: 0.1,
      value: 120,
      limit: 100,
      margin: expect.closeTo(-0.2, 9),
    });
    expect(codes(result)).toEqual(['drum_slips']);
  });

  it('count what speed changes and splices add', () => {
    const setpoint = {
      accelerating: 1.2,
      splice: { share: 1.3, ramp_s: 2 },
      stall: 0.4,
      full_from_m_per_s: 1,
    };
    const result = run('centre', winder({ setpoint }), {
      limits: { highest_tension_N_per_m: 380, lowest_tension_N_per_m: 100 },
    });
    expect(result.limits.find((l) => l.name === 'highest tension')).toMatchObject({
      value: expect.closeTo(390, 9),
    });
    expect(codes(result)).toContain('tension_outside_window');
  });

  it('refuse a tension that the web cannot bear, and one at which it does not track', () => {
    expect(codes(run('centre', winder({ tension: linear(1200, 900) })))).toContain('tension_above_strength');
    expect(
      codes(run('centre', winder({ tension: linear(300, 50) }), { limits: { lowest_tension_N_per_m: 80 } })),
    ).toContain('tension_outside_window');
  });

  it('let a wrap on the drum add to its grip', () => {
    const section = (turns: 'clockwise' | 'counter-clockwise'): SectionDocument => ({
      name: 'in',
      kind: 'idler',
      centre_m: [-2, 1],
      diameter_m: 0.2,
      turns,
    });
    const drum = { centre_m: [0, 0] as const, diameter_m: 0.4, turns: 'clockwise' as const };
    const placed = toLine({
      schema: 'tautline/line@1',
      name: 'test (invented)',
      sections: [
        section('clockwise'),
        {
          name: 'winder',
          kind: 'winder',
          type: 'surface',
          centre_m: [0.5, 0],
          diameter_m: 0.6,
          turns: 'counter-clockwise',
          drum,
        },
      ],
    });
    const product = toProduct({ schema: 'tautline/product@1', web, winder: winder() });
    const grip = (l: Line) =>
      lineProgram(l, product, 5).winder?.result.limits.find((x) => x.name === 'drum traction, pulling')
        ?.limit as number;
    expect(grip(placed)).toBeGreaterThan(grip(line('surface')));
  });
});
