import { describe, expect, it } from 'vitest';
import { isTautlineError } from '../../../../src/engine/errors.js';
import { compareIdentifications } from '../../../../src/engine/identify/compare/compare.js';
import type { Comparison } from '../../../../src/engine/identify/compare/comparison.js';
import type { Identification, ParameterName } from '../../../../src/engine/identify/identification.js';
import { createRandom, type Random } from '../../../../src/engine/numerics/random.js';
import {
  fitPoints,
  normal95,
  roller,
  type Stated,
  stated,
  statedDrive,
  statedEstimates,
} from '../../../support/statedIdentification.js';

const drives = { earlier: statedDrive, later: statedDrive };
const other = { inputs: { file: 'later.csv', sha256: '1'.repeat(64), rows: 1 } };
const compare = (a: Identification, b: Identification, options = {}): Comparison =>
  compareIdentifications(a, { ...b, ...other }, drives, options);
const verdictOf = (c: Comparison, name: ParameterName): string | undefined =>
  c.changes.find((x) => x.name === name)?.verdict;
const codes = (c: Comparison): string[] => c.findings.map((f) => `${f.code} ${f.severity}`);

/** The same INVENTED roller after a repair: values replaced, standard errors as they were. */
const repaired = (values: Partial<Record<ParameterName, number>>): Stated =>
  Object.fromEntries(
    Object.entries(roller).map(([n, [value, error]]) => [n, [values[n as ParameterName] ?? value, error]]),
  );

describe('parameters', () => {
  it('are unchanged against themselves where they are known well enough, and no finding says otherwise', () => {
    const c = compare(stated(roller), stated(roller));
    for (const name of ['inertia', 'coulomb', 'viscous'] as const)
      expect(verdictOf(c, name), name).toBe('unchanged');
    // 2.1 % standard error a visit: the interval of the ratio is wider than 5 %.
    expect(verdictOf(c, 'breakaway')).toBe('undecided');
    expect(c.curveVerdict).toBe('unchanged');
    expect(c.findings).toEqual([]);
    expect(c.tolerance).toBe(0.05);
  });

  it('have changed when they differ beyond their uncertainty, and the finding names them', () => {
    const c = compare(stated(roller), stated(repaired({ coulomb: 0.4, breakaway: 0.6 })));
    expect(verdictOf(c, 'coulomb')).toBe('changed');
    expect(verdictOf(c, 'breakaway')).toBe('changed');
    expect(verdictOf(c, 'inertia')).toBe('unchanged');
    expect(c.changes.find((x) => x.name === 'coulomb')!.ratio).toBeCloseTo(0.4 / 0.6, 12);
    expect(codes(c)).toEqual(['pair_change warn']);
    expect(c.findings[0]!.message).toMatch(/Coulomb drag by −33 %, breakaway torque by −37 %/);
    expect(c.verdict).toBe('warned');
  });

  it('near zero have no ratio, but the interval of their difference', () => {
    const vague: Stated = { ...roller, quadratic: [1e-6, 1e-6] };
    const c = compare(stated(vague), stated({ ...vague, quadratic: [2e-6, 1e-6] }));
    const q = c.changes.find((x) => x.name === 'quadratic')!;
    expect(q.ratio).toBeUndefined();
    expect(q.ratioInterval95).toBeUndefined();
    expect(q.differenceInterval95[0]).toBeCloseTo(1e-6 - normal95 * Math.SQRT2 * 1e-6, 12);
    // ±2.8e-6 N·m·s² at 150 rad/s are ±0.06 N·m and 0.09 N·m at most, beyond 5 % of the drag of 1.07 N·m there.
    expect(q.verdict).toBe('undecided');
    expect(c.changes.find((x) => x.name === 'offset')!.ratio).toBeUndefined();
  });

  it('that one visit lacks are listed with the reason', () => {
    const { breakaway: _, ...without } = roller;
    const c = compare(
      stated(roller),
      stated(without, { notEstimated: [{ name: 'breakaway', why: 'no torque ramp', next: 'record one' }] }),
    );
    expect(verdictOf(c, 'breakaway')).toBeUndefined();
    expect(c.notCompared).toEqual([
      { name: 'breakaway', why: 'the later visit does not state it: no torque ramp' },
    ]);
  });

  it('count the torque offset into the drag of both when only one visit can tell it', () => {
    // One direction alone: Coulomb drag and breakaway hold the offset of 0.1 N·m that the other visit tells apart.
    const both: Stated = { ...roller, offset: [0.1, 0.004] };
    const { offset: _, ...one } = repaired({ coulomb: 0.7, breakaway: 1.05 });
    for (const c of [compare(stated(both), stated(one)), compare(stated(one), stated(both))]) {
      const coulomb = c.changes.find((x) => x.name === 'coulomb')!;
      expect(coulomb.ratio).toBeCloseTo(1, 12);
      expect(c.changes.find((x) => x.name === 'breakaway')!.ratio).toBeCloseTo(1, 12);
      for (const p of c.dragCurves) expect(p.later).toBeCloseTo(p.earlier, 12);
      expect(c.curveVerdict).toBe('unchanged');
      expect(c.notCompared[0]!.name).toBe('offset');
    }
  });

  it('of laws with different terms are undecided, except Coulomb drag when the low end of the curve says so', () => {
    const { quadratic: _, ...straight } = roller;
    const same = compare(stated(roller), stated({ ...straight, viscous: [0.0045, 0.00005] }));
    expect(verdictOf(same, 'viscous')).toBe('undecided');
    expect(codes(same)).toContain('model_misfit info');
    const less = compare(stated(roller), stated({ ...straight, coulomb: [0.4, 0.005] }));
    expect(verdictOf(less, 'coulomb')).toBe('changed');
  });
});

describe('seeded draws around one truth', () => {
  const names = Object.keys(roller) as (keyof typeof roller)[];
  const draw = (random: Random, truth: Stated): Identification =>
    stated(
      Object.fromEntries(
        names.map((n) => [n, [truth[n]![0] + truth[n]![1] * random.normal(), truth[n]![1]]]),
      ),
    );
  const n = 1500;
  /** Binomial: three standard deviations above the stated rate. */
  const atMost = (rate: number): number => n * rate + 3 * Math.sqrt(n * rate * (1 - rate));

  it('calls at most 5 % of equal parameters changed, also when the tolerance is far below the uncertainty', () => {
    const random = createRandom('false changes');
    const changed = new Map<string, number>();
    for (let k = 0; k < n; k++) {
      const c = compare(draw(random, roller), draw(random, roller), { tolerance: 0.001 });
      for (const x of c.changes)
        if (x.verdict === 'changed') changed.set(x.name, (changed.get(x.name) ?? 0) + 1);
      if (c.curveVerdict === 'changed') changed.set('curve', (changed.get('curve') ?? 0) + 1);
    }
    expect([...changed.keys()]).toEqual(expect.arrayContaining(['inertia', 'coulomb', 'breakaway']));
    for (const [name, count] of changed) expect(count, name).toBeLessThanOrEqual(atMost(0.05));
  });

  it('calls at most 2.5 % of parameters that differ by the tolerance unchanged', () => {
    const random = createRandom('false equality');
    // 1 % standard error each, 5 % apart.
    const wide: Stated = { ...roller, coulomb: [0.6, 0.006] };
    const apart: Stated = { ...wide, coulomb: [0.6 * 1.05, 0.006] };
    let unchanged = 0;
    for (let k = 0; k < n; k++)
      if (verdictOf(compare(draw(random, wide), draw(random, apart)), 'coulomb') === 'unchanged') unchanged++;
    expect(unchanged).toBeLessThanOrEqual(atMost(0.025));
  });

  it('finds a change that exceeds the tolerance by three standard errors of the difference nearly always', () => {
    const random = createRandom('power');
    const later = repaired({ coulomb: 0.6 * 0.95 - 3 * Math.SQRT2 * 0.005 });
    let found = 0;
    for (let k = 0; k < 300; k++)
      if (verdictOf(compare(draw(random, roller), draw(random, later)), 'coulomb') === 'changed') found++;
    expect(found).toBeGreaterThan(295);
  });
});

describe('drag curve', () => {
  it('has changed as a whole when no single parameter has, as viscous and quadratic drag hide each other', () => {
    const vague: Stated = { ...roller, viscous: [0.003, 0.0003], quadratic: [1e-5, 2e-6] };
    const later: Stated = { ...vague, viscous: [0.0038, 0.0003] };
    const correlated = (a: string, b: string): number =>
      [a, b].sort().join() === 'quadratic,viscous' ? -0.98 : 0;
    const c = compare(stated(vague, {}, correlated), stated(later, {}, correlated));
    for (const x of c.changes) expect(x.verdict, x.name).not.toBe('changed');
    expect(c.curveVerdict).toBe('changed');
    expect(codes(c)).toEqual(['pair_change warn']);
    expect(c.findings[0]!.message).toContain('the drag curve as a whole');
  });

  it('is compared on the speeds that both visits saw, with independent errors in quadrature', () => {
    const c = compare(
      stated(roller, { speedRange: [5, 120] }),
      stated(repaired({ coulomb: 0.5 }), { speedRange: [10, 150] }),
    );
    expect(c.dragCurves[0]!.speed).toBe(10);
    expect(c.dragCurves.at(-1)!.speed).toBe(120);
    for (const p of c.dragCurves) {
      expect(p.later - p.earlier).toBeCloseTo(-0.1, 12);
      const one = Math.sqrt(0.005 ** 2 + (p.speed * 0.00005) ** 2 + (p.speed ** 2 * 2e-7) ** 2);
      const [lo, hi] = p.differenceInterval95;
      expect(0.5 * (hi - lo)).toBeCloseTo(normal95 * Math.SQRT2 * one, 9);
      expect(0.5 * (hi + lo)).toBeCloseTo(-0.1, 12);
    }
  });

  it('takes its band from the fitted points when a document holds no covariance', () => {
    const drag = (w: number): number => 0.6 + 0.003 * w + 1e-5 * w * w;
    const bare = { covariance: undefined, dragCurve: fitPoints(drag, 0.03) };
    const c = compare(stated(roller, bare), stated(roller, { ...bare, dragCurve: fitPoints(drag, 0.04) }));
    for (const p of c.dragCurves) expect(p.differenceInterval95[1]).toBeCloseTo(0.05, 9);
  });

  it('is left out when the speeds do not overlap', () => {
    const c = compare(stated(roller, { speedRange: [5, 20] }), stated(roller, { speedRange: [30, 150] }));
    expect(c.dragCurves).toEqual([]);
    expect(c.tugChange).toBeUndefined();
  });

  it('is compared in reverse too, with what that direction has of its own', () => {
    const reverse = (coulomb: number): Partial<Identification> => ({
      reverse: {
        estimates: statedEstimates({ ...roller, coulomb: [coulomb, 0.005] }),
      },
      dragCurveReverse: fitPoints((w) => coulomb + 0.003 * w + 1e-5 * w * w, 0.01),
    });
    const c = compare(stated(roller, reverse(0.8)), stated(roller, reverse(0.6)));
    expect(c.changesReverse!.map((x) => `${x.name} ${x.verdict}`)).toEqual(['coulomb changed']);
    expect(c.curveVerdictReverse).toBe('changed');
    expect(c.curveVerdict).toBe('unchanged');
    expect(c.tugChange).toMatchObject({ direction: 'reverse', sense: 'fell' });
    expect(c.tugChange!.force).toBeCloseTo((0.2 * 2.5) / 0.1, 9);
  });
});

describe('tug on the web', () => {
  it('is the change of drag times gear ratio over roller radius, as a share of the running tension', () => {
    const c = compare(stated(roller), stated(repaired({ viscous: 0.002 })), { runningTension: 300 });
    // 0.001 N·m·s times 150 rad/s is 0.15 N·m at the motor; 0.375 N·m at the roller; 3.75 N at a radius of 0.1 m.
    expect(c.tugChange!.force).toBeCloseTo(3.75, 9);
    expect(c.tugChange).toMatchObject({ speed: 150, sense: 'fell', direction: 'forward' });
    expect(c.tugChange!.share).toBeCloseTo(0.0125, 12);
    const [lo, hi] = c.tugChange!.interval95;
    expect(0.5 * (lo + hi)).toBeCloseTo(3.75, 9);
    expect(c.findings[0]!.message).toMatch(/3\.75 N .* 1\.3 % of the running tension: it matters/);
    const light = compare(stated(roller), stated(repaired({ viscous: 0.002 })), { runningTension: 1000 });
    expect(light.findings[0]!.message).toMatch(/hardly matters/);
  });

  it('is absent without a roller radius', () => {
    const { rollerRadius: _, ...drive } = statedDrive;
    const c = compareIdentifications(stated(roller), stated(repaired({ viscous: 0.002 }), other), {
      earlier: drive,
      later: drive,
    });
    expect(c.tugChange).toBeUndefined();
    expect(codes(c)).toEqual(['pair_change warn']);
  });
});

describe('pair', () => {
  const against = (change: Partial<typeof statedDrive>): Comparison =>
    compareIdentifications(stated(roller), stated(roller, other), {
      earlier: statedDrive,
      later: { ...statedDrive, ...change },
    });

  it('of another gear is refused, of another name, element, roller or rated torque warned of', () => {
    const gear = against({ gearRatio: 3 });
    expect(codes(gear)).toEqual(['pair_mismatch refuse']);
    expect(gear.verdict).toBe('refused');
    expect(gear.changes).toEqual([]);
    expect(gear.dragCurves).toEqual([]);
    for (const change of [
      { name: 'INVENTED other' },
      { element: 'rider' },
      { rollerRadius: 0.12 },
      { ratedTorque: 12 },
    ] as const) {
      const c = against(change);
      expect(codes(c)).toEqual(['pair_mismatch warn']);
      expect(c.changes.length).toBeGreaterThan(0);
    }
    expect(codes(against({ gearRatio: 2.5001 }))).toEqual([]);
  });

  it('without a common parameter is refused; one recording twice and a web are warned of', () => {
    const nothing = compare(stated({ inertia: [0.02, 0.001] }), stated({ breakaway: [1, 0.1] }));
    expect(codes(nothing)).toEqual(['pair_mismatch refuse']);
    const twice = compareIdentifications(stated(roller), stated(roller), drives);
    expect(codes(twice)).toEqual(['pair_mismatch warn']);
    const web = compare(stated(roller), stated(roller, { apparentDragCurve: [] }));
    expect(codes(web)).toEqual(['web_on warn']);
  });

  it('that changed by one factor throughout points to the torque scale', () => {
    const scaled: Stated = Object.fromEntries(
      Object.entries(roller).map(([n, [value, error]]) => [n, [1.12 * value, 1.12 * error]]),
    );
    const c = compare(stated(roller), stated(scaled));
    expect(codes(c)).toEqual(['pair_change warn', 'pair_mismatch info']);
    const where = c.findings[1]!.where as { factor: number };
    expect(where.factor).toBeCloseTo(1.12, 6);
    const drag = compare(stated(roller), stated({ ...scaled, inertia: roller.inertia }));
    expect(codes(drag)).toEqual(['pair_change warn']);
  });

  it('needs a tolerance and a tension above 0', () => {
    for (const options of [{ tolerance: 0 }, { tolerance: Number.NaN }, { runningTension: -1 }])
      expect(() => compare(stated(roller), stated(roller), options)).toThrowError(
        expect.toSatisfy((e) => isTautlineError(e) && e.code === 'argument_invalid'),
      );
  });
});
