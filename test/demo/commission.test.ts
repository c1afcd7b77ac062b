import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { demoFiles } from '../../demo/make.js';
import { type CommissionResult, commissionFolder } from '../../src/node/lineFolder/commissionFolder.js';

const root = resolve(import.meta.dirname, '../..');
let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'tautline-demo-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const sections = (html: string): string[] =>
  [...html.matchAll(/<section id="([^"]*)"/g)].map((m) => m[1] as string);

describe('commissioning the demonstration lines', () => {
  it('uses what the recordings say in torques, motors and schedules, and reports all of it', async () => {
    const line = join(folder, 'demo');
    for (const [path, text] of demoFiles()) {
      mkdirSync(dirname(join(line, path)), { recursive: true });
      writeFileSync(join(line, path), text);
    }
    const result: CommissionResult = await commissionFolder(line, { date: '2026-01-01', units: 'si' });
    expect(result.unreadable).toEqual([]);
    const { results } = result;
    const [product] = results?.products ?? [];
    const { models, duty, winder, unwind, lineFindings, productFindings } = product.programmed;
    // Every drive was recorded, so nothing is missing anywhere.
    expect(models.map((m) => [m.name, m.missing])).toEqual(
      ['unwind', 'pull roll', 'bowed roller', 'dryer can', 'rider roller', 'winder'].map((name) => [
        name,
        [],
      ]),
    );
    expect([...lineFindings, ...productFindings].filter((f) => f.severity !== 'info')).toEqual([]);
    expect(winder?.limits.length).toBeGreaterThan(10);
    expect(unwind?.motors[0].map((m) => m.name)).toEqual(['unwind']);
    expect(duty?.drives).toHaveLength(6);
    // The dryer can's truth at the motor: 3.2 + 0.024·ω + 5e-5·ω² of drag at 150 rad/s is 7.925 N·m; the tension step of 10 N/m over 1.6 m at
    // 0.6 m radius through the gear of 18 takes 0.533 N·m off.
    const dryer = models.find((m) => m.name === 'dryer can');
    expect(dryer?.torque(Number.NaN, 5, 0)).toBeCloseTo(
      3.2 + 0.024 * 150 + 5e-5 * 150 ** 2 - (10 * 1.6 * 0.6) / 18,
      1,
    );
    const html = readFileSync(join(line, 'handover/commissioning-report.html'), 'utf8');
    expect(html).toMatch(/Roll: coated paper 80[\s\S]*Does taper help\?[\s\S]*maximum taper/);
    expect(html).toMatch(
      /3: takes up 0\.3 % of moisture[\s\S]*Roll: film 25[\s\S]*Air between the laps[\s\S]*3: creeps for 2 days/,
    );
    expect(sections(html)).toEqual([
      'overview',
      'line',
      'tug',
      ...['unwind', 'pull-roll', 'bowed-roller-helper', 'dryer-can', 'rider-roller', 'winder'].map(
        (n, k) => `drive-${k + 1}-${n}`,
      ),
      'torques-coated-paper-80-invented',
      'program-coated-paper-80-invented',
      'roll-coated-paper-80-on-a-steel-core-invented',
      'roll-film-25-with-air-invented',
      'method',
      'sign-off',
    ]);
    expect(html).toContain('class="line-drawing"');
    expect(html).not.toMatch(/NaN|undefined|Infinity/);
  });

  it('takes a line in US units without any recording, and says what is not known', async () => {
    const line = join(folder, 'two-drum');
    cpSync(join(root, 'demo-two-drum/line.yaml'), join(line, 'line.yaml'));
    cpSync(join(root, 'demo-two-drum/products'), join(line, 'products'), { recursive: true });
    const { sections: recorded, results } = await commissionFolder(line, { date: '2026-01-01', units: 'us' });
    expect(recorded).toEqual([]);
    const [{ programmed }] = results?.products ?? [];
    expect(programmed.winderType).toBe('two-drum');
    expect(programmed.winder?.motors[0].map((m) => m.name)).toEqual([
      'winder rear drum',
      'winder front drum',
    ]);
    // 2.2 pli at the core of 4 in, differential 0.9 pli: front drum 1.55 pli
    const pli = 4.4482216152605 / 0.0254;
    const [first] = programmed.winder?.result.rows ?? [];
    expect((first.share1 as number) / pli).toBeCloseTo(1.55, 9);
    expect(programmed.lineFindings.filter((f) => f.severity === 'refuse')).toEqual([]);
    expect(programmed.lineFindings.map((f) => f.code)).toContain('drive_data_missing');
    const html = readFileSync(join(line, 'handover/commissioning-report.html'), 'utf8');
    expect(html).toMatch(/<span class="unit">pli<\/span>/);
    expect(html).toContain('No drive of this line was measured yet.');
    expect(html).not.toMatch(/NaN|undefined|Infinity/);
  });
});
