import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { RollResultDocument } from '../../src/engine/project/roll/rollResultDocument.js';
import { buildProgram, tautline } from '../support/cli.js';

const newsprint = `schema: tautline/roll@1
web: { width_m: 1.6, caliper_um: 70, modulus_GPa: 4, density_kgm3: 650, friction: 0.19, stack: { law: exponential, K1_kPa: 3, K2: 30 } }
core: { outer_diameter_m: 0.09, stiffness_Pa: 5e9 }
wind: { laps: 3000, tension: { law: constant, start_N_per_m: 300 }, method: centre }
speed_m_per_s: 10
acceleration_m_per_s2: 0.5
stop: { deceleration_m_per_s2: 2.5 }
unwind: { tension_N_per_m: 250, deceleration_m_per_s2: 1.5 }
limits: { highest_core_pressure_kPa: 20, lowest_outer_pressure_kPa: 1 }
`;
const lined = (text: string): string => `${newsprint}j_line: ${text}\n`;
let folder: string;
beforeAll(() => {
  buildProgram();
  folder = mkdtempSync(join(tmpdir(), 'tautline-slip-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));
function run(text: string, ...more: string[]) {
  const path = join(folder, 'roll.yaml');
  writeFileSync(path, text);
  return tautline(['roll', path, ...more]);
}
const json = (text: string): RollResultDocument => JSON.parse(run(text, '--json').out) as RollResultDocument;

describe('slip of a roll on the way to its diameter', () => {
  it('is in the JSON for every way of handling that is stated, the full roll last', () => {
    const r = json(lined('{ struck_at_diameters_m: [0.2, 0.4], shear_share: 0.1 }'));
    const places = r.slipOverDiameter ?? [];
    expect(places).toHaveLength(24);
    expect(places.at(-1)?.diameter_m).toBeCloseTo(0.51, 9);
    expect(places.at(-1)?.cases.map((c) => [c.case, c.margin])).toEqual(r.slip.map((c) => [c.case, c.value]));
    expect(r.slip.map((c) => c.case)).toEqual([
      'winding',
      'start',
      'stop',
      'web break',
      'unwinding',
      'unwinding stop',
    ]);
    const { radius_m = [], webBroken_m_per_s2: borne = [] } = r.decelerationLimit ?? {};
    expect(radius_m).toHaveLength(101);
    expect([radius_m[0], radius_m.at(-1)]).toEqual([r.radius_m[0], r.radius_m.at(-1)]);
    // Nowhere less than the smallest, and near it somewhere: the places are every 30th lap.
    const least = Math.min(...borne.slice(0, -1).map((x) => x ?? Number.POSITIVE_INFINITY));
    const smallest = r.largestDeceleration_m_per_s2?.webBroken ?? 0;
    expect(least).toBeGreaterThanOrEqual(smallest);
    expect(least).toBeLessThan(1.1 * smallest);
    expect(r.limits.map((l) => [l.name, l.kept])).toEqual([
      ['hoop stress', false],
      ['pressure', undefined],
      ['core pressure', false],
      ['outer pressure', true],
    ]);
    expect(r.findings.map((f) => f.code)).toContain('core_pressure_too_high');
    for (const line of r.jLines ?? []) {
      expect(line.radius_m).toHaveLength(101);
      expect(line.radius_m.at(-1)).toBeCloseTo(line.struckAtDiameter_m / 2 - 70e-6, 9);
    }
    expect(r.jLines).toHaveLength(2);
  });

  it('states how far layers slide and where the inside gets to', () => {
    const slippery = newsprint.replace('friction: 0.19', 'friction: 0.002');
    const full = json(slippery).slipOverDiameter?.at(-1)?.cases ?? [];
    const slides = (name: string) => full.find((c) => c.case === name)?.slides;
    // braked at the core the inside stops first: it falls behind in winding direction, and gets ahead where the roll turns the other way
    expect(slides('web break')?.inside).toBe('behind');
    expect(slides('unwinding stop')?.inside).toBe('ahead');
    expect(slides('start')?.inside).toBe('ahead');
  });

  it('takes the shear modulus from one torque step', () => {
    const stated = json(lined('{ struck_at_diameters_m: [0.3], shear_modulus_Pa: 2e6 }'));
    // d = ΔM/(4π·W·G)·(1/r − r/R0²) by hand, with ΔM 100 N·m, W 1.6 m, r 0.1 m, R0 0.2 m
    const shift = (100 / (4 * Math.PI * 1.6 * 2e6)) * (1 / 0.1 - 0.1 / 0.04);
    const step = `{ torque_change_Nm: 100, outer_diameter_m: 0.4, at_diameter_m: 0.2, shift_m: ${shift} }`;
    const fitted = json(lined(`{ struck_at_diameters_m: [0.3], torque_step: ${step} }`));
    expect(fitted.jLines?.[0]?.elasticShift_m[0]).toBeCloseTo(stated.jLines?.[0]?.elasticShift_m[0] ?? 0, 9);
  });

  it('is printed: limits, margins over the diameter, lines with what stays', () => {
    const { out, code } = run(lined('{ struck_at_diameters_m: [0.2], shear_share: 0.1 }'));
    expect(code).toBe(0);
    expect(out).toMatch(/core pressure +\S+ kPa +0\.04500 m +20\.00 kPa +not kept/);
    expect(out).toMatch(/diameter +winding +start +stop +web break +unwinding +unwinding stop/);
    expect(out).toMatch(/line struck at a diameter of 0\.2\d* m: bent elastically/);
  });

  it('refuses lines that cannot be, with their place', () => {
    for (const [text, wanted] of [
      [
        '{ struck_at_diameters_m: [0.05], shear_share: 0.1 }',
        /struck at a diameter of 0\.05 m is not on the way/,
      ],
      ['{ struck_at_diameters_m: [0.2] }', /shear modulus of the stack is not stated/],
      ['{ struck_at_diameters_m: [0.2], shear_share: 0.1, shear_modulus_Pa: 1e6 }', /in more ways than one/],
    ] as const) {
      const { code, err } = run(lined(text));
      expect(code).not.toBe(0);
      expect(err).toMatch(wanted);
      expect(err).toMatch(/roll\.yaml/);
    }
  });
});
