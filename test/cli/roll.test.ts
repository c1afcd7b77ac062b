import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { predictRoll } from '../../src/engine/program/roll/predictRoll.js';
import { type RollDocument, rollSchema, toRollInput } from '../../src/engine/project/roll/rollDocument.js';
import { type RollResultDocument, toRollResult } from '../../src/engine/project/roll/rollResultDocument.js';
import { parsePlacedDocument } from '../../src/node/documents/yamlDocument.js';
import { buildProgram, tautline } from '../support/cli.js';

let folder: string;
beforeAll(() => {
  buildProgram();
  folder = mkdtempSync(join(tmpdir(), 'tautline-roll-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const film = `schema: tautline/roll@1
web:  { width_m: 1.0, caliper_m: 25e-6, modulus_Pa: 4.5e9, poisson: 0.01, density_kgm3: 1390, friction: 0.3,
        stack: { law: exponential, K1_Pa: 3000, K2: 120 } }
core: { outer_diameter_m: 0.089, stiffness_Pa: 1.11979e10 }
wind: { laps: 2000, tension: { law: constant, start_N_per_m: 125 }, nip_N_per_m: 0, method: centre }
stop: { deceleration_m_per_s2: 2, braked_at: core }
`;
let count = 0;
function run(text: string, ...more: string[]) {
  const path = join(folder, `roll${count++}.yaml`);
  writeFileSync(path, text);
  return tautline(['roll', path, '--json', ...more]);
}
/** What the command would print, without a process of its own. */
function result(text: string): RollResultDocument {
  const { data } = parsePlacedDocument(text, 'roll.yaml', rollSchema);
  return toRollResult('roll', predictRoll(toRollInput(data as RollDocument)));
}

describe('tautline roll', () => {
  it('prints the arrays of the roll as one JSON document', () => {
    const svg = join(folder, 'roll.svg');
    const { code, out } = run(film, '--svg', svg);
    expect(code).toBe(0);
    const r = JSON.parse(out) as RollResultDocument;
    expect(r.schema).toBe('tautline/roll-result@1');
    for (const key of [
      'radius_m',
      'pressure_Pa',
      'hoopStress_Pa',
      'woundOnTension_N_per_m',
      'slipMargin',
    ] as const)
      expect(r[key]).toHaveLength(2000);
    expect(r.radius_m[0]).toBeCloseTo(0.0445, 12);
    expect(r.radius_m[1999]).toBeCloseTo(0.0445 + 1999 * 25e-6, 9);
    expect(r.corePressure_Pa).toBe(r.pressure_Pa[0]);
    // r_c·P_core = Σ σ_t·h
    const sum = r.hoopStress_Pa.reduce((a, s) => a + s * 25e-6, 0);
    expect(sum / (0.0445 * r.corePressure_Pa)).toBeCloseTo(1, 8);
    expect(r.scheme).toMatchObject({ stressUpdate: 'mid-increment', window: 'full' });
    expect(r.scheme.errorEstimate).toBeLessThan(1e-3);
    expect(r.frictionUsed).toBeCloseTo(0.21, 12);
    expect(readFileSync(svg, 'utf8')).toMatch(/Pressure between laps/);
  });

  it('matches the closed form where the stack modulus is constant and the core matches', () => {
    // c = E_t/E_c + ν = g: P = σ/(g − 1)·[1 − (r/R)^(g − 1)], here g = 15: E_r = 4.5e9/225, E_c = 4.5e9/15
    const r = result(
      film
        .replace('law: exponential, K1_Pa: 3000, K2: 120', `law: constant, modulus_Pa: ${4.5e9 / 225}`)
        .replace('poisson: 0.01', 'poisson: 0')
        .replace('1.11979e10', `${4.5e9 / 15}`),
    );
    const R = 0.0445 + 2000 * 25e-6;
    for (const i of [0, 500, 1000])
      expect(Math.abs(r.pressure_Pa[i] / ((5e6 / 14) * (1 - (r.radius_m[i] / R) ** 14)) - 1)).toBeLessThan(
        5e-3,
      );
  });

  it('takes tapers, nips, methods, diameters and US units', () => {
    const at = (more: string): RollResultDocument =>
      result(film.replace('law: constant, start_N_per_m: 125', more));
    const taper = at('law: hyperbolic, start_N_per_m: 125, taper: 1');
    expect(taper.woundOnTension_N_per_m[1999] * taper.radius_m[1999]).toBeCloseTo(125 * 0.0445, 3);
    const nip = result(film.replace('nip_N_per_m: 0', 'nip_N_per_m: 100'));
    expect(nip.woundOnTension_N_per_m[7]).toBeCloseTo(125 + 30, 9);
    const surface = result(
      film.replace('nip_N_per_m: 0, method: centre', 'nip_N_per_m: 300, method: surface'),
    );
    expect(surface.woundOnTension_N_per_m[7]).toBeCloseTo(90, 9);
    const us = result(
      film
        .replace('caliper_m: 25e-6', `caliper_mil: ${25 / 25.4}`)
        .replace('laps: 2000', `finished_diameter_in: ${(0.089 + 2 * 2000 * 25e-6) / 0.0254}`),
    );
    expect(us.pressure_Pa).toHaveLength(2000);
    expect(us.corePressure_Pa / result(film).corePressure_Pa).toBeCloseTo(1, 9);
    const tube = result(
      film.replace('stiffness_Pa: 1.11979e10', 'bore_diameter_m: 0.069, modulus_Pa: 69e9, poisson: 0.33'),
    );
    expect(tube.corePressure_Pa).toBeGreaterThan(0);
  });

  it.each([
    ['K1 of zero', film.replace('K1_Pa: 3000', 'K1_Pa: 0'), 'document_schema'],
    ['a stack without its constants', film.replace(', K2: 120', ''), 'document_value'],
    ['friction of zero', film.replace('friction: 0.3', 'friction: 0'), 'document_schema'],
    ['no laps', film.replace('laps: 2000, ', ''), 'document_value'],
    ['half a lap', film.replace('laps: 2000', 'laps: 2.5'), 'document_schema'],
    ['more laps than it winds', film.replace('laps: 2000', 'laps: 2000000'), 'document_schema'],
    [
      'a caliper in the wrong unit, by its laps',
      film.replace('laps: 2000', 'finished_diameter_m: 1.2').replace('25e-6', '25e-9'),
      'document_value',
    ],
    ['a core without stiffness', film.replace(', stiffness_Pa: 1.11979e10', ''), 'document_value'],
    [
      'a table that holds no number',
      film.replace(
        'law: constant, start_N_per_m: 125',
        'law: table, diameters_m: [0.1, .nan], values_N_per_m: [1, 2]',
      ),
      undefined,
    ],
  ])('refuses %s', (_name, text, code) => {
    const { code: exit, out, err } = run(text);
    expect(exit).toBe(2);
    if (code !== undefined) expect(JSON.parse(out).error.code).toBe(code);
    expect(JSON.parse(out).error.next.length).toBeGreaterThan(5);
    expect(err).not.toMatch(/\n\s+at /);
  });

  it('says what looks wrong instead of drawing a plausible curve', () => {
    const codes = (text: string): string[] => result(text).findings.map((f) => f.code);
    expect(codes(film.replace('start_N_per_m: 125', 'start_N_per_m: 12500'))).toContain(
      'web_strain_implausible',
    );
    expect(codes(film.replace('friction: 0.3', 'friction: 0.3, strength_N_per_m: 100'))).toContain(
      'tension_above_strength',
    );
    expect(codes(film.replace('K2: 120', 'K2: 8'))).toContain('large_deformation');
    expect(codes(film.replace('friction: 0.3,', ''))).toContain('slip_not_judged');
    expect(
      codes(
        film
          .replace('deceleration_m_per_s2: 2', 'deceleration_m_per_s2: 100')
          .replace('friction: 0.3', 'friction: 0.02'),
      ),
    ).toContain('layers_slip');
    const broken = film.replace(
      'law: exponential, K1_Pa: 3000, K2: 120',
      'law: polynomial, coefficients: [4e5, 120, -3e-4]',
    );
    expect(codes(broken)).toContain('stack_law_breaks');
    expect(run(broken).code).toBe(1);
  });

  it('takes a saturating law, and says where a law is carried beyond its test', () => {
    const law = (text: string): string => film.replace('law: exponential, K1_Pa: 3000, K2: 120', text);
    const codes = (text: string): string[] => result(text).findings.map((f) => `${f.severity} ${f.code}`);
    const soft = result(
      law('law: saturating, modulus_at_rest_Pa: 3.6e5, highest_modulus_Pa: 1e7, saturation_pressure_Pa: 1e5'),
    );
    // Softer at every pressure than the exponential law: T² ≈ 2·∫p·(E_t/E_r − 1)dp is reached at a lower pressure.
    expect(soft.pressure_Pa[1000]).toBeLessThan(result(film).pressure_Pa[1000]);
    expect(soft.pressure_Pa[1000]).toBeGreaterThan(5e4);
    const tested = 'law: exponential, K1_Pa: 3000, K2: 120, tested_to_Pa:';
    expect(codes(law(`${tested} 1e5`))).toContain('warn stack_law_extrapolated');
    expect(codes(law(`${tested} 1e6`)).join()).not.toContain('extrapolated');
    const polynomial = 'law: polynomial, coefficients: [4e5, 120, 1e-6]';
    expect(codes(law(`${polynomial}, tested_to_Pa: 1e5`))).toContain('refuse stack_law_extrapolated');
    expect(codes(law(polynomial))).toContain('info stack_law_extrapolated');
    expect(run(law('law: exponential, K1_Pa: 3000, K2: 120, modulus_Pa: 3')).code).toBe(2);
    expect(
      JSON.parse(run(law('law: polynomial, coefficients: [4e5, 120, -3e-4], tested_to_Pa: 1e6')).out).error,
    ).toMatchObject({ code: 'document_value', where: { key: 'web.stack' } });
  });

  it('refuses or questions what no roll is', () => {
    const found = (from: string, to: string): string[] =>
      result(film.replace(from, to)).findings.map(
        (f) => `${f.severity} ${f.code} ${String(f.where.pointer)}`,
      );
    // Caliper typed in mm, density in g/cm³, K1 in kPa or modulus in GPa under a key in Pa
    expect(found('caliper_m: 25e-6', 'caliper_m: 25e-3')).toContain('warn value_implausible web.caliper_m');
    expect(found('caliper_m: 25e-6', 'caliper_m: 25e-9')).toContain(
      'warn web_strain_implausible web.caliper_m',
    );
    expect(found('density_kgm3: 1390', 'density_kgm3: 1.39')).toContain(
      'warn value_implausible web.density_kgm3',
    );
    expect(found('K1_Pa: 3000', 'K1_Pa: 3e9')).toContain('warn value_implausible web.stack');
    expect(found('modulus_Pa: 4.5e9', 'modulus_Pa: 4.5')).toContain(
      'warn web_strain_implausible web.caliper_m',
    );
    expect(found('stiffness_Pa: 1.11979e10', 'stiffness_Pa: 1.12e5')).toContain('refuse core_too_soft core');
    expect(found('stiffness_Pa: 1.11979e10', 'stiffness_Pa: 3e7')).toContain('warn core_too_soft core');
    expect(found('method: centre', 'method: surface')).toContain('refuse wound_on_lost wind');
    expect(run(film.replace('poisson: 0.01', 'poisson: 30')).code).toBe(2);
    const sound = result(film).findings.map((f) => f.code);
    for (const code of ['value_implausible', 'core_too_soft', 'wound_on_lost', 'web_strain_implausible'])
      expect(sound).not.toContain(code);
  });

  it('winds long rolls with a window, says so and how far it is off, and follows every lap when asked', () => {
    const long = film.replace('laps: 2000', 'laps: 6000');
    const { data } = parsePlacedDocument(long, 'roll.yaml', rollSchema);
    const at = (resolution: 'automatic' | 'full') =>
      toRollResult('roll', predictRoll(toRollInput(data as RollDocument), 'si', resolution));
    const [window, full] = [at('automatic'), at('full')];
    expect(window.scheme.window).toBe('64/8');
    expect(full.scheme).toMatchObject({ window: 'full', windowErrorEstimate: 0 });
    const worst = Math.max(...full.pressure_Pa.map((p, i) => Math.abs(p - window.pressure_Pa[i])));
    const share = worst / Math.max(...full.pressure_Pa);
    expect(share).toBeLessThan(window.scheme.windowErrorEstimate);
    expect(window.scheme.windowErrorEstimate).toBeLessThan(1e-3);
  });

  it('winds one lap', () => {
    const r = result(film.replace('laps: 2000', 'laps: 1'));
    expect(r.pressure_Pa).toEqual([expect.closeTo(125 / 0.0445, 5)]);
  });

  it('says whether taper is the lever, with three schedules side by side', () => {
    const { out } = run(film.replace('laps: 2000', 'laps: 300'));
    const { taper } = JSON.parse(out) as RollResultDocument;
    expect(taper?.schedules.map((s) => s.name)).toEqual(['no taper', 'present', 'maximum taper']);
    // stated without taper: the first two are one
    expect(taper?.schedules[1]).toEqual({ ...taper?.schedules[0], name: 'present' });
    const rc = 0.0445;
    expect(taper?.schedules[2]?.endTension_N_per_m).toBeCloseTo((125 * rc) / (rc + 300 * 25e-6), 6);
    expect(taper?.verdict).toBe('not needed');
  });

  it('takes the modulus as it was first published where that is asked for, and says how far that is off', () => {
    const short = film.replace('laps: 2000', 'laps: 300');
    const [usual, explicit] = [run(short), run(short, '--update', 'explicit')].map(
      ({ out }) => JSON.parse(out) as RollResultDocument,
    ) as [RollResultDocument, RollResultDocument];
    expect([usual.scheme.stressUpdate, explicit.scheme.stressUpdate]).toEqual(['mid-increment', 'explicit']);
    expect(explicit.corePressure_Pa).toBeLessThan(usual.corePressure_Pa);
    const off = 1 - explicit.corePressure_Pa / usual.corePressure_Pa;
    expect(off).toBeLessThan(1.5 * explicit.scheme.errorEstimate);
    expect(usual.scheme.errorEstimate).toBeLessThan(0.1 * explicit.scheme.errorEstimate);
    expect(run(short, '--update', 'sometimes').code).not.toBe(0);
  });

  it('holds what is in the roll under each of the three schedules, thinned', () => {
    const r = JSON.parse(run(film).out) as RollResultDocument;
    for (const { profile } of r.taper?.schedules ?? []) {
      expect(profile.radius_m).toHaveLength(101);
      expect(profile.slipMargin).toHaveLength(101);
    }
    const present = r.taper?.schedules[1]?.profile;
    expect(present?.pressure_Pa[0]).toBe(r.pressure_Pa[0]);
    expect(present?.hoopStress_Pa.at(-1)).toBe(r.hoopStress_Pa.at(-1));
    expect(present?.pressure_Pa[50]).toBe(r.pressure_Pa[Math.round(0.5 * 1999)]);
  });

  it('designs a schedule within the limits of the roll, which stand in its file', () => {
    const short = film.replace('laps: 2000', 'laps: 300');
    const without = run(short, '--design', 'slip-margin');
    expect(without.code).toBe(2);
    expect(JSON.parse(without.out)).toMatchObject({
      error: { code: 'document_value', where: { key: 'limits' } },
    });
    const limits = 'limits: { lowest_tension_N_per_m: 80, highest_tension_N_per_m: 160 }\n';
    const { code, out } = run(short + limits, '--design', 'slip-margin', '--wanted', '1');
    expect(code).toBe(0);
    const { design, taper } = JSON.parse(out) as RollResultDocument;
    expect(design).toMatchObject({ target: 'slip margin', wanted: 1, reached: true });
    expect(design?.value).toBeGreaterThan(taper?.schedules[1]?.minimumSlipMargin?.value ?? 1e9);
    for (const v of design?.tension.values_N_per_m ?? [0]) {
      expect(v).toBeGreaterThanOrEqual(80);
      expect(v).toBeLessThanOrEqual(160);
    }
    // what it prints is a schedule that a roll document takes, and that roll has the margin it says
    const { diameters_m, values_N_per_m } = design?.tension ?? {};
    const table = `{ law: table, diameters_m: [${diameters_m?.join()}], values_N_per_m: [${values_N_per_m?.join()}] }`;
    const again = result(short.replace('{ law: constant, start_N_per_m: 125 }', table));
    // of the full roll and at a quarter, a half and three quarters of the build, which the design looks at
    const smallest = [5, 11, 17, 23]
      .flatMap((k) => again.slipOverDiameter?.[k]?.cases ?? [])
      .reduce((a, c) => Math.min(a, c.margin), 1e9);
    // its knots are printed to 10 µm and 1 mN/m
    expect(smallest / (design?.value ?? 0)).toBeGreaterThan(0.98);
    expect(smallest / (design?.value ?? 0)).toBeLessThan(1.02);
  });

  it('a design that cannot be reached says why', () => {
    const { out } = run(
      `${film.replace('laps: 2000', 'laps: 200')}limits: { lowest_tension_N_per_m: 120, highest_tension_N_per_m: 130 }\n`,
      '--design',
      'slip-margin',
      '--wanted',
      '1000',
    );
    const { design } = JSON.parse(out) as RollResultDocument;
    expect(design?.reached).toBe(false);
    expect(design?.because.join('; ')).toMatch(/tension stands at its/);
  });

  it('gives a band of what the roll may hold', () => {
    const { code, out } = run(film.replace('laps: 2000', 'laps: 200'), '--band', '40');
    expect(code).toBe(0);
    const { band, pressure_Pa } = JSON.parse(out) as RollResultDocument;
    expect(band?.rolls).toBe(40);
    const k = Math.floor((band?.radius_m.length ?? 0) / 2);
    const i = Math.round((k * 199) / 100);
    expect(band?.pressure_Pa.low[k]).toBeLessThan(pressure_Pa[i] as number);
    expect(band?.pressure_Pa.high[k]).toBeGreaterThan(pressure_Pa[i] as number);
    expect(band?.slipShare).toBeGreaterThanOrEqual(0);
  });
});
