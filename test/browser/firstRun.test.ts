import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { parse } from 'yaml';
import { toCsv } from '../support/plant/csv.js';
import { makePlant } from '../support/plant/plant.js';
import { startWorkbench, type Workbench } from './support.js';

/**
 * Published parameters of a measured axis: Janot, Gautier, Brunot, "Data Set and Reference Models of EMPS", 2019 Workshop on
 * Nonlinear System Identification Benchmarks, Eindhoven. Where its recording is not at hand, that of an invented axis with the same parameters.
 */
const published = {
  forward: { inertia: 95.154, viscous: 166.7061, coulomb: 20.144 },
  reverse: { viscous: 240.4236, coulomb: 20.6277 },
};
const limits: Readonly<Record<string, number>> = { inertia: 0.01, viscous: 0.03, coulomb: 0.03 };
const measured = fileURLToPath(new URL('../../../shared/data/emps/emps_axis.csv', import.meta.url));
const isMeasured = existsSync(measured);

let workbench: Workbench;
const files = mkdtempSync(join(tmpdir(), 'tautline-files-'));
beforeAll(async () => {
  workbench = await startWorkbench();
}, 120_000);
afterAll(async () => {
  await workbench.stop();
  rmSync(files, { recursive: true, force: true });
});

const words: Readonly<Record<string, RegExp>> = {
  inertia: /^Inertia/,
  viscous: /^Viscous/,
  coulomb: /^Coulomb/,
};

/** Value and interval of a parameter as the table shows them. */
async function shownAs(table: Locator, name: string): Promise<{ value: number; interval: number[] }> {
  const row = table.locator('tr').filter({ has: table.page().getByText(words[name] as RegExp) });
  const cells = await row.locator('td, th').allTextContents();
  return { value: Number(cells[1]), interval: (cells[3] ?? '').split(' to ').map(Number) };
}

async function expectPublished(table: Locator, truth: Readonly<Record<string, number>>): Promise<void> {
  for (const [name, is] of Object.entries(truth)) {
    const { value, interval } = await shownAs(table, name);
    expect(Math.abs(value / is - 1), `${name}: ${value}`).toBeLessThan(limits[name] as number);
    expect(interval[0], name).toBeLessThan(is);
    expect(interval[1], name).toBeGreaterThan(is);
  }
}

const openStart = async (page: Page): Promise<void> => {
  await page.locator('table.grid tbody tr').first().waitFor();
};

test(`a new user: half a job done, a new drive imported and identified, a schedule changed, the report printed (${
  isMeasured ? 'measured' : 'invented'
} axis)`, async () => {
  const page = await workbench.open();
  await openStart(page);
  // half done: some drives have their inertia, others say that they were recorded only
  const rows = await page.locator('table.grid tbody tr').allTextContents();
  expect(rows.filter((r) => /kg·m²/.test(r)).length).toBeGreaterThanOrEqual(3);
  expect(rows.filter((r) => !/kg·m²/.test(r)).length).toBeGreaterThanOrEqual(2);

  await page.getByRole('link', { name: 'Recordings' }).click();
  const file = join(files, 'axis.csv');
  writeFileSync(
    file,
    isMeasured ? readFileSync(measured, 'utf8') : toCsv(makePlant('emps-twin', 1), 'plain'),
  );
  await page.setInputFiles('#recording-file', file);
  await page.getByRole('heading', { name: 'Import axis.csv' }).waitFor();
  const found = (label: string) =>
    page.getByLabel(label, { exact: true }).locator('option:checked').textContent();
  expect(await found('Column of the motor position')).toMatch(/position.*\(found\)$/i);
  expect(await found('Column of the motor torque')).toMatch(/torque.*\(found\)$/i);
  await page.getByLabel('Drive', { exact: true }).fill('axis');
  await page.getByLabel('Visit', { exact: true }).fill('as-found');
  await page.getByRole('button', { name: 'Import', exact: true }).click();
  await page.waitForURL(/recording=recordings%2Faxis\.as-found\.parquet/);

  // the line has no such drive: its nameplate is asked for, here a lever of 1 m
  await page.getByRole('link', { name: 'Identify', exact: true }).last().click();
  const form = page.getByRole('form', { name: 'New drive' });
  await form.getByLabel('What it moves').selectOption('driven-idler');
  await form.getByLabel('Gear ratio, motor to roller').fill('1');
  await form.getByLabel('Roller diameter').fill('2');
  await form.getByRole('button', { name: 'Make the drive file' }).click();

  const forward = page.getByRole('region', { name: /^At the motor shaft, forward/ });
  await forward.waitFor({ timeout: 60_000 });
  expect(parse(readFileSync(join(workbench.server.folder, 'drives/axis.yaml'), 'utf8'))).toMatchObject({
    element: 'driven-idler',
    gear_ratio: 1,
    roller_diameter_m: 2,
  });
  await expectPublished(forward, published.forward);
  await expectPublished(page.getByRole('region', { name: /^Reverse/ }), published.reverse);
  expect(await page.getByRole('region', { name: 'Not in this recording' }).textContent()).toMatch(
    /Breakaway torque.*Next:/i,
  );
  await page.getByRole('button', { name: 'Keep as as-found' }).click();
  await page.getByText('identifications/axis.as-found.json').waitFor();

  await page.getByRole('link', { name: 'Programs' }).click();
  const start = page.getByRole('textbox', { name: 'At the core' });
  const before = Number(await start.inputValue());
  await start.fill(String(before + 20));
  await start.press('Enter');
  await page.keyboard.press('Control+s');
  await page.getByText('As on disk').waitFor();
  const product = /programs\/([^/?]+)/.exec(page.url())?.[1] ?? '';
  const text = readFileSync(join(workbench.server.folder, 'products', `${product}.yaml`), 'utf8');
  const { tension } = parse(text).winder as { tension: Record<string, number> };
  expect(Object.values(tension)).toContain(before + 20);

  const address = (await page.locator('a.report-link').getAttribute('href')) ?? '';
  await page.goto(new URL(address, workbench.server.url).href);
  const report = (await page.locator('body').textContent()) ?? '';
  expect(report).toContain(String(before + 20));
  const printed = await page.pdf({ preferCSSPageSize: true });
  expect(printed.subarray(0, 5).toString()).toBe('%PDF-');
  // more than a cover: a page a kilobyte at least
  expect(printed.length).toBeGreaterThan(50_000);
}, 120_000);
