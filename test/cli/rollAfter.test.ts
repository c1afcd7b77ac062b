import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { predictRoll } from '../../src/engine/program/roll/predictRoll.js';
import { type RollDocument, rollSchema, toRollInput } from '../../src/engine/project/roll/rollDocument.js';
import { type RollResultDocument, toRollResult } from '../../src/engine/project/roll/rollResultDocument.js';
import { parsePlacedDocument } from '../../src/node/documents/yamlDocument.js';
import { buildProgram, tautline } from '../support/cli.js';

const film = `schema: tautline/roll@1
web:  { width_m: 1.0, caliper_m: 25e-6, modulus_Pa: 4.5e9, poisson: 0.01, density_kgm3: 1390, friction: 0.3,
        stack: { law: exponential, K1_Pa: 3000, K2: 120 } }
core: { outer_diameter_m: 0.089, stiffness_Pa: 1.11979e10 }
wind: { laps: 1000, tension: { law: constant, start_N_per_m: 125 }, nip_N_per_m: 0, method: centre }
stop: { deceleration_m_per_s2: 2, braked_at: core }
`;
const later = (text: string): string => `${film}after_winding:\n${text}`;
const result = (text: string): RollResultDocument => {
  const { data } = parsePlacedDocument(text, 'roll.yaml', rollSchema);
  return toRollResult('roll', predictRoll(toRollInput(data as RollDocument)));
};
let folder: string;
beforeAll(() => {
  buildProgram();
  folder = mkdtempSync(join(tmpdir(), 'tautline-after-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));
function run(text: string, ...more: string[]) {
  const path = join(folder, 'roll.yaml');
  writeFileSync(path, text);
  return tautline(['roll', path, ...more]);
}

describe('after_winding in a roll document', () => {
  it('leaves a roll as it was when web and core expand alike, and states each step', () => {
    const r = result(
      later(
        '  expansion: { along_per_K: 17e-6, through_per_K: 17e-6, core_per_K: 17e-6 }\n  steps: [{ temperature_change_K: 30 }, { temperature_change_degF_difference: -54 }]\n',
      ),
    );
    expect(r.after).toHaveLength(2);
    for (const step of r.after ?? []) expect(step.corePressure_Pa / r.corePressure_Pa).toBeCloseTo(1, 8);
    expect(r.after?.[0]?.pressure_Pa).toHaveLength(1000);
    expect(r.after?.[0]?.slip.map((c) => c.case)).toEqual(r.slip.map((c) => c.case));
    expect(result(film).after).toBeUndefined();
  });

  it('takes moisture and creep, prints them, and says when laps come loose', () => {
    const text = later(`  expansion: { along_per_K: 17e-6, through_per_K: 60e-6, core_per_K: 12e-6 }
  swelling: { along: 0.01, through: 0.2, core: 0 }
  creep: { shares: [0.05, 0.1], times_h: [1, 24] }
  steps: [{ temperature_change_K: -20 }, { moisture_change: 0.01 }, { time_h: 48 }]
`);
    const { code, out } = run(text);
    expect(code).toBe(0);
    for (const words of [
      'after winding:',
      'cools by 20.0 K',
      'takes up 1 % of moisture',
      'creeps for 2 days',
      'layers compressed',
    ])
      expect(out).toContain(words);
    const r = result(text);
    expect(r.after).toHaveLength(3);
    // Cooling shrinks the web more through its thickness than along: away from the core pressure is lost, by about E_r·Δe; swelling brings some back.
    const middle = (k: number): number => r.after?.[k]?.pressure_Pa[500] as number;
    expect(middle(0)).toBeLessThan(r.pressure_Pa[500]);
    expect(middle(1)).toBeGreaterThan(middle(0));
    const loose = result(
      later(
        '  expansion: { along_per_K: 17e-6, through_per_K: 17e-6, core_per_K: 0 }\n  steps: [{ temperature_change_K: 300 }, { temperature_change_K: -300 }]\n',
      ),
    );
    expect(loose.after).toHaveLength(1);
    expect(loose.after?.[0]?.loosensAt_m).toBeCloseTo(0.0445, 6);
    expect(loose.findings.map((f) => f.code)).toContain('layers_loosen');
  });

  it('brings a roll that was wound at speed to rest: most of what centrifugal force took comes back', () => {
    const at = (speed: string): RollResultDocument =>
      result(`${film}${speed}after_winding: { steps: [{ comes_to_rest: true }] }\n`);
    const fast = at('speed_m_per_s: 25\n');
    const still = result(film);
    const rest = fast.after?.[0]?.pressure_Pa as number[];
    // Running 17 % of the tension is gone (ρ·v² = 0.87 of 5 MPa); at rest the roll is between the running one and one wound at standstill.
    for (const i of [0, 400, 900]) {
      expect(rest[i]).toBeGreaterThan(fast.pressure_Pa[i]);
      expect(rest[i]).toBeLessThan(1.02 * still.pressure_Pa[i]);
    }
    expect(() => at('')).toThrow(/speed of winding/);
  });

  it.each([
    ['a change without its coefficients', '  steps: [{ temperature_change_K: 30 }]\n', 'expansion'],
    ['a time without creep', '  steps: [{ time_s: 30 }]\n', 'creep'],
    ['an empty step', '  steps: [{}]\n', 'step'],
    [
      'shares without times',
      '  creep: { shares: [0.1, 0.2], times_s: [5] }\n  steps: [{ time_s: 30 }]\n',
      'time constant',
    ],
    [
      'a change beyond small strain',
      '  expansion: { along_per_K: 1, through_per_K: 1, core_per_K: 1 }\n  steps: [{ temperature_change_K: 30 }]\n',
      'free strain',
    ],
  ])('refuses %s', (_name, text, words) => {
    const { code, out } = run(later(text), '--json');
    expect(code).toBe(2);
    expect(JSON.parse(out).error.message).toContain(words);
  });

  it('states diameter and density of the compressed roll', () => {
    const r = result(film);
    // ε of this film is 0.04 on its plateau (0.033 or less in this short roll).
    expect(r.compressedRadius_m).toBeLessThan(0.0445 + 1000 * 25e-6);
    expect(r.compressedRadius_m).toBeGreaterThan(0.0445 + 1000 * 25e-6 * 0.95);
    expect((r.rollDensity_kgm3 as number) / 1390).toBeGreaterThan(1.02);
    expect((r.rollDensity_kgm3 as number) / 1390).toBeLessThan(1.05);
  });
});
