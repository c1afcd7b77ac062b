import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { commissionFolder } from '../../../src/node/lineFolder/commissionFolder.js';
import { makePlant, toCsv } from '../../support/plant/plant.js';

/** Invented drive and recording. */
const plant = makePlant('staircase-up-down', 1);
const csv = toCsv(plant, 'plain');
const driveYaml = Object.entries(plant.drive)
  .map(([key, value]) => `${key}: ${value}\n`)
  .join('');

let folder: string;
const put = (path: string, content: string | Uint8Array): void => writeFileSync(join(folder, path), content);

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'tautline-'));
  for (const place of ['drives', 'exports']) mkdirSync(join(folder, place));
  const section = (name: string, x: number): string =>
    `  - { name: ${name}, kind: pull-roll, centre_m: [${x}, 0], diameter_m: 0.2, turns: clockwise, drive: drives/${name}.yaml }\n`;
  put(
    'line.yaml',
    `schema: tautline/line@1\nname: invented\ninvented: true\nweb_width_m: 1\nsections:\n${section('good', 0)}${section('broken', 1)}${section('missing', 2)}`,
  );
});
afterEach(() => rmSync(folder, { recursive: true }));

const run = () => commissionFolder(folder, { date: '2026-01-01', units: 'si' });

test('a broken recording and a missing drive file are listed, and cost the other drives nothing', async () => {
  put('drives/good.yaml', driveYaml);
  put('drives/broken.yaml', driveYaml);
  put('exports/good.as-found.csv', csv);
  put('exports/good.2026-01-01.csv', csv);
  put('exports/broken.as-found.csv', new Uint8Array(500));
  const result = await run();
  expect(result.unreadable.map((u) => [u.section, u.file, u.error.code])).toEqual([
    ['broken', 'exports/broken.as-found.csv', 'file_not_text'],
    ['missing', 'drives/missing.yaml', 'file_not_found'],
  ]);
  expect(result.unrecorded).toEqual([]);
  expect(result.sections.map((s) => s.section)).toEqual(['good']);
  expect(result.sections[0].visits.map((v) => v.visit)).toEqual(['as-found', '2026-01-01']);
  const inertia = result.sections[0].visits[1].identification.estimates.inertia?.value ?? Number.NaN;
  expect(Math.abs(inertia / plant.truth.inertia_kgm2 - 1)).toBeLessThan(0.007);
  expect(readdirSync(join(folder, 'handover'))).toEqual(['commissioning-report.html']);
  const report = readFileSync(join(folder, 'handover', 'commissioning-report.html'), 'utf8');
  expect(report).toContain('Not in this report');
  for (const { section, error } of result.unreadable) {
    expect(report).toContain(`${section}: `);
    expect(report).toContain(error.next);
  }
});

test('when nothing at all can be read, the first fault is the error', async () => {
  await expect(run()).rejects.toMatchObject({ code: 'file_not_found' });
  expect(readdirSync(folder)).not.toContain('handover');
});
