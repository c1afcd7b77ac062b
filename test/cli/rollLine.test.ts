import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { RollResultDocument } from '../../src/engine/project/roll/rollResultDocument.js';
import { buildProgram, tautline } from '../support/cli.js';

const demo = resolve(import.meta.dirname, '../../demo');
let folder: string;
let roll: string;
beforeAll(() => {
  buildProgram();
  folder = mkdtempSync(join(tmpdir(), 'tautline-roll-line-'));
  for (const part of ['line.yaml', 'drives', 'products', 'rolls'])
    cpSync(join(demo, part), join(folder, part), { recursive: true });
  roll = join(folder, 'rolls/coated-paper-80.yaml');
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const text = (): string => readFileSync(join(demo, 'rolls/coated-paper-80.yaml'), 'utf8');
/** The demonstration roll without limits of its own, and thinner (and so without its lines) so that it winds quickly. */
const unlimited = (): string =>
  text()
    .replace(/# .* between what a schedule is designed\.\nlimits:\n( .*\n)+/, '')
    .replace(/j_line:.*\n/, '')
    .replace('finished_diameter_m: 1.0', 'laps: 900');
const json = (...args: string[]): RollResultDocument =>
  JSON.parse(tautline(['roll', ...args, '--json']).out) as RollResultDocument;

describe('a roll that lies beside its line', () => {
  it('is designed within what its line and its product allow, without limits of its own', () => {
    writeFileSync(roll, unlimited());
    const made = json(roll, '--design', 'flat-pressure', '--wanted', '0.1');
    const limits = made.design?.limits ?? [];
    const named = (name: string) => limits.find((l) => l.name.startsWith(name));
    // 400 N/m over the splice's 110 % of the schedule
    expect(named('highest tension of the product')?.high_N_per_m).toBeCloseTo(400 / 1.1, 6);
    expect(named('grip of rider roller')).toBeDefined();
    expect(named('lowest tension of the product')?.low_N_per_m).toBe(120);
    expect(named('motor of winder')?.high_N_per_m).toBeGreaterThan(0);
    expect(named('motor of rider roller')).toBeDefined();
    for (const t of made.design?.tension.values_N_per_m ?? []) {
      expect(t).toBeGreaterThanOrEqual(120);
      expect(t).toBeLessThanOrEqual(400 / 1.1 + 1e-3);
    }
    expect(made.taper?.words.join(' ')).not.toMatch(/stated in the roll/);
  });

  it('says which files the limits come from', () => {
    writeFileSync(roll, unlimited());
    const { out, code } = tautline(['roll', roll, '--design', 'flat-pressure', '--wanted', '0.1']);
    expect(code).toBe(0);
    expect(out).toMatch(/designed within the limits of the roll, .*line\.yaml and .*coated-paper-80\.yaml:/);
    expect(out).toMatch(/motor of winder/);
  });

  it('uses the line and product that are named, from anywhere', () => {
    const alone = join(folder, 'alone.yaml');
    writeFileSync(alone, unlimited());
    const without = tautline(['roll', alone, '--design', 'flat-pressure']);
    expect(without.code).not.toBe(0);
    expect(without.err).toMatch(/lowest and a highest tension, and they are not stated/);
    const product = join(folder, 'products/coated-paper-80.yaml');
    const made = json(
      alone,
      '--design',
      'flat-pressure',
      '--wanted',
      '0.1',
      '--line',
      join(folder, 'line.yaml'),
      '--product',
      product,
    );
    expect(made.design?.limits.map((l) => l.name).join()).toMatch(/highest tension of the product/);
    const lineless = tautline(['roll', alone, '--product', product]);
    expect(lineless.code).toBe(2);
    expect(lineless.err).toMatch(/name the line as well \(--line\)/);
  });

  it('does not use a line that it contradicts, and says so', () => {
    writeFileSync(
      roll,
      text()
        .replace('method: centre-surface', 'method: centre')
        .replace(/ {2}torque_differential: .*\n/, '')
        .replace('finished_diameter_m: 1.0', 'laps: 900')
        .replace(/j_line:.*\n/, '')
        .replace(/design: .*\n/, ''),
    );
    const made = json(roll);
    expect(made.findings.map((f) => f.code)).toContain('roll_not_of_line');
    const finding = made.findings.find((f) => f.code === 'roll_not_of_line');
    expect(String(finding?.where?.file)).toMatch(/coated-paper-80\.yaml/);
  });
});
