import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { ProgramResultDocument } from '../../src/engine/project/product/programDocument.js';
import { buildProgram, tautline } from '../support/cli.js';

let folder: string;
let line: string;
beforeAll(() => {
  buildProgram();
  folder = mkdtempSync(join(tmpdir(), 'tautline-program-'));
  line = write(
    'line.yaml',
    'schema: tautline/line@1\nname: test (invented)\nsections:\n  - { name: u, kind: unwind }\n  - { name: w, kind: winder, type: centre-surface }\n',
  );
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function write(name: string, text: string): string {
  const path = join(folder, name);
  writeFileSync(path, text);
  return path;
}
let count = 0;
const product = (
  winder: string,
  web = '{ width_m: 1, caliper_m: 1e-4, friction: 0.25, strength_N_per_m: 4000 }',
): string =>
  write(
    `product${count++}.yaml`,
    `schema: tautline/product@1\nweb: ${web}\nwinder:\n  core_diameter_m: 0.1\n  full_diameter_m: 1.2\n${winder}`,
  );
const usual = `  tension:             { law: hyperbolic, start_N_per_m: 300, taper: 1 }
  nip:                 { law: linear, start_N_per_m: 400, end_N_per_m: 250 }
  torque_differential: { law: linear, start_N_per_m: 60, end_N_per_m: 0 }
`;
const result = (out: string): ProgramResultDocument => JSON.parse(out) as ProgramResultDocument;

describe('tautline program', () => {
  it('prints one JSON document with 50 rows from core to full roll', () => {
    const run = tautline(['program', line, '--product', product(usual), '--json']);
    expect(run.code).toBe(0);
    const { schema, rows, role, winderType } = result(run.out);
    expect({ schema, role, winderType }).toEqual({
      schema: 'tautline/program-result@1',
      role: 'winder',
      winderType: 'centre-surface',
    });
    expect(rows).toHaveLength(50);
    expect(rows[0].diameter_m).toBe(0.1);
    expect(rows[49].diameter_m).toBe(1.2);
    for (const r of rows) {
      // 100 % hyperbolic is constant torque: tension times diameter stays
      expect(r.tension_N_per_m * r.diameter_m).toBeCloseTo(30, 9);
      expect((r.share1_N_per_m as number) + (r.share2_N_per_m as number)).toBe(r.tension_N_per_m);
      expect(r.woundOnTension_N_per_m).toBeCloseTo(
        (r.share1_N_per_m as number) + 0.25 * (r.nip_N_per_m as number),
        6,
      );
    }
  });

  it('takes the number of rows, and refuses one that is none', () => {
    expect(
      result(tautline(['program', line, '--product', product(usual), '--diameters', '7', '--json']).out).rows,
    ).toHaveLength(7);
    for (const n of ['1', '0', '2.5', 'many'])
      expect(tautline(['program', line, '--product', product(usual), '--diameters', n]).code).toBe(2);
  });

  it('prints tables in US units and writes the figure', () => {
    const svg = join(folder, 'schedules.svg');
    const run = tautline(['program', line, '--product', product(usual), '--units', 'us', '--svg', svg]);
    expect(run.code).toBe(0);
    expect(run.out).toMatch(/1\.713 pli/); // 300 N/m / 175.126835 N/m per pli
    expect(readFileSync(svg, 'utf8')).toMatch(
      /^<svg[\s\S]*<style>[\s\S]*Force per width, F \[pli\][\s\S]*<\/svg>\s*$/,
    );
  });

  it('refuses a tension above strength at its line, with the rows still there', () => {
    const run = tautline([
      'program',
      line,
      '--product',
      product(usual.replace('start_N_per_m: 300', 'start_N_per_m: 1300')),
      '--json',
    ]);
    expect(run.code).toBe(1);
    const { rows, findings } = result(run.out);
    expect(rows).toHaveLength(50);
    expect(findings.find((f) => f.code === 'tension_above_strength')).toMatchObject({
      severity: 'refuse',
      where: { line: 6, key: 'winder.tension' },
    });
  });

  it('refuses a taper below zero and a core larger than the roll with line and next step', () => {
    const below = tautline([
      'program',
      line,
      '--product',
      product(usual.replace('taper: 1', 'taper: 1.4')),
      '--json',
    ]);
    expect(below.code).toBe(2);
    expect(JSON.parse(below.out).error).toMatchObject({ code: 'document_value', where: { line: 6 } });
    const core = product(usual);
    writeFileSync(core, readFileSync(core, 'utf8').replace('full_diameter_m: 1.2', 'full_diameter_m: 0.05'));
    const run = tautline(['program', line, '--product', core, '--json']);
    expect(run.code).toBe(2);
    expect(JSON.parse(run.out).error).toMatchObject({ code: 'document_value', where: { line: 4 } });
  });

  it('programs an unwind, and refuses a winder that the line does not have', () => {
    const unwound = product('').replace(folder, folder);
    writeFileSync(
      unwound,
      readFileSync(unwound, 'utf8')
        .replace('winder:', 'unwind:')
        .concat('  tension: { law: constant, start_N_per_m: 200 }\n'),
    );
    const run = tautline(['program', line, '--product', unwound, '--json']);
    expect(run.code).toBe(0);
    expect(result(run.out)).toMatchObject({ role: 'unwind' });
    expect(
      result(run.out).rows.every((r) => r.tension_N_per_m === 200 && r.share1_N_per_m === undefined),
    ).toBe(true);
    const bare = write(
      'bare.yaml',
      'schema: tautline/line@1\nname: bare (invented)\nsections:\n  - { name: u, kind: unwind }\n',
    );
    const missing = tautline(['program', bare, '--product', product(usual), '--json']);
    expect(missing.code).toBe(1);
    expect(result(missing.out).findings[0].code).toBe('section_missing');
  });

  it('runs both demonstration lines', () => {
    for (const [demo, name] of [
      ['demo', 'coated-paper-80'],
      ['demo-two-drum', 'newsprint-30'],
    ]) {
      const run = tautline([
        'program',
        `${demo}/line.yaml`,
        '--product',
        `${demo}/products/${name}.yaml`,
        '--json',
      ]);
      expect(run.code, run.err).toBe(0);
      expect(result(run.out).limits.every((l) => l.margin > -1e-9)).toBe(true);
    }
  });
});
