import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { StackTestDocument } from '../../src/engine/project/roll/stackTestDocument.js';
import { buildProgram, tautline } from '../support/cli.js';

const demo = resolve(import.meta.dirname, '../../demo/stack-tests/coated-paper-80.csv');
let folder: string;
beforeAll(() => {
  buildProgram();
  folder = mkdtempSync(join(tmpdir(), 'tautline-stack-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

let count = 0;
function run(text: string, ...more: string[]) {
  const path = join(folder, `stack${count++}.csv`);
  writeFileSync(path, text);
  const { code, out } = tautline(['stack-test', path, '--json', ...more]);
  return { code, document: JSON.parse(out) };
}

describe('tautline stack-test', () => {
  it('fits the demonstration stack, whose truth is K1 = 8 kPa, K2 = 40 and 100 µm, and its law winds a roll', () => {
    const { code, out } = tautline(['stack-test', demo, '--sheets', '100', '--json']);
    expect(code).toBe(0);
    const result = JSON.parse(out) as StackTestDocument;
    expect(result).toMatchObject({ schema: 'tautline/stack-test@1', verdict: 'fitted', loadings: 4 });
    expect(result.stack?.law).toBe('exponential');
    const interval = (name: string): readonly [number, number] =>
      result.laws[0]?.parameters.find((p) => p.name === name)?.interval95 as [number, number];
    for (const [name, truth] of [
      ['K1_Pa', 8000],
      ['K2', 40],
    ] as const) {
      expect(interval(name)[0]).toBeLessThan(truth);
      expect(interval(name)[1]).toBeGreaterThan(truth);
      expect(interval(name)[1] / interval(name)[0]).toBeLessThan(1.2);
    }
    expect(result.caliperAtRest_m?.value).toBeCloseTo(100e-6, 6);
    const roll = join(folder, 'roll.yaml');
    const yaml = readFileSync(resolve(demo, '../../rolls/coated-paper-80.yaml'), 'utf8');
    writeFileSync(roll, yaml.replace(/stack: \{.*\}/, `stack: ${JSON.stringify(result.stack)}`));
    expect(tautline(['roll', roll, '--json']).code).toBe(0);
  });

  it('prints laws, intervals and what to put into a document', () => {
    const { code, out } = tautline(['stack-test', demo, '--sheets', '100', '--units', 'us']);
    expect(code).toBe(0);
    for (const words of ['exponential *', 'psi', '95 %', 'stack: { law: exponential, K1_Pa:', 'one sheet'])
      expect(out).toContain(words);
  });

  it('takes columns and units as stated, and asks where the file does not say', () => {
    const bare = readFileSync(demo, 'utf8').split('\n').slice(2);
    const named = ['load,gap', ...bare].join('\n');
    expect(run(named, '--sheets', '100')).toMatchObject({
      code: 1,
      document: {
        verdict: 'refused',
        findings: expect.arrayContaining([expect.objectContaining({ code: 'stack_test_unusable' })]),
      },
    });
    const columns = ['--sheets', '100', '--column', 'pressure=load', '--column', 'height=gap'];
    expect(run(named, ...columns).document.findings.map((f: { code: string }) => f.code)).toContain(
      'units_missing',
    );
    const stated = run(named, ...columns, '--unit', 'pressure=kPa', '--unit', 'height=mm');
    expect(stated.code).toBe(0);
    expect(stated.document.stack.K1_Pa).toBeGreaterThan(7000);
    expect(run(named, ...columns, '--unit', 'pressure=Nm').document.error.code).toBe('unit_unknown');
    expect(run(named, '--column', 'pressure=laod').document.error).toMatchObject({
      code: 'column_unknown',
      next: expect.stringContaining('"load"'),
    });
    const two = [
      'a [kPa],b [kPa],gap [mm]',
      ...bare.filter((l) => l !== '').map((l) => `${l.split(',')[0]},${l}`),
    ];
    expect(run(two.join('\n')).document.findings.map((f: { code: string }) => f.code)).toContain(
      'role_ambiguous',
    );
    expect(tautline(['stack-test', demo, '--sheets', '0']).code).toBe(2);
  });

  it('takes strain in percent', () => {
    const rows = readFileSync(demo, 'utf8')
      .split('\n')
      .slice(2)
      .filter((l) => l !== '');
    const text = [
      'pressure [kPa];strain [%]',
      ...rows.map((l) => {
        const [p, h] = l.split(',');
        return `${p};${(100 * (1 - Number(h) / 10)).toFixed(5)}`;
      }),
    ].join('\n');
    const { code, document } = run(text, '--sheets', '100');
    expect(code).toBe(0);
    expect(document.stack.K2).toBeGreaterThan(38);
    expect(document.stack.K2).toBeLessThan(42);
    expect(document.caliperAtRest_m).toBeUndefined();
  });
});
