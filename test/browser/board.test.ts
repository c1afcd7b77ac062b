import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { expectAccessible, keepPicture, startWorkbench, type Workbench } from './support.js';

let workbench: Workbench;
beforeAll(async () => {
  workbench = await startWorkbench();
}, 120_000);
afterAll(() => workbench.stop());

describe('the board', () => {
  test('is the first screen: one row a drive, one column a fact, and what to do next', async () => {
    const page = await workbench.open();
    const rows = page.locator('table.grid tbody tr');
    await rows.first().waitFor();
    expect(await rows.count()).toBe(6);
    expect(await page.locator('table.grid thead th').allTextContents()).toEqual([
      'Drive',
      'Recorded',
      'Inertia',
      'Breakaway',
      'Drag',
      'Feed-forward',
      'Limits',
      'Proven on the web',
      'Next visit',
    ]);
    expect(await page.locator('.next li').first().textContent()).toMatch(/identif/i);
    await keepPicture(page, 'board');
  });

  test('a cell tells where its value comes from; the arrow keys move between cells', async () => {
    const page = await workbench.open();
    const cell = (row: number, column: number) => page.locator(`[data-cell="${row} ${column}"]`);
    await cell(0, 1).click();
    const details = page.locator('.details');
    expect(await details.textContent()).toMatch(/kg·m²[\s\S]*From.*exports\/unwind\.as-found\.csv/);
    // the address holds the selection
    const again = await workbench.open(new URL(page.url()).pathname + new URL(page.url()).search);
    await again.locator('.details').waitFor();
    expect(await again.locator('.details').textContent()).toBe(await details.textContent());
    await page.keyboard.press('ArrowDown');
    await page.keyboard.press('Enter');
    expect(await details.textContent()).toContain('pull roll');
  });

  test('goes stale in the page when a drive file changes on disk', async () => {
    const page = await workbench.open();
    await page.locator('table.grid tbody tr').first().waitFor();
    expect(await page.getByLabel('Stale').count()).toBe(0);
    const file = join(workbench.server.folder, 'drives', 'pull-roll.yaml');
    const before = readFileSync(file, 'utf8');
    writeFileSync(file, before.replace(/(gear_ratio: )([\d.]+)/, '$19.5'));
    expect(readFileSync(file, 'utf8')).not.toBe(before);
    await page.locator('td.stale').first().waitFor();
    expect(await page.locator('.next').textContent()).toMatch(/identify again/i);
    writeFileSync(file, before);
    await expect.poll(() => page.locator('td.stale').count()).toBe(0);
  });

  test('the report opens beside it', async () => {
    const page = await workbench.open();
    const [report] = await Promise.all([
      page.context().waitForEvent('page'),
      page.getByRole('link', { name: 'Report' }).click(),
    ]);
    await report.getByRole('heading', { level: 1 }).waitFor();
    expect(await report.textContent('body')).toMatch(/pull roll[\s\S]*inertia/i);
  });

  test('axe-core finds nothing, light and dark', () =>
    expectAccessible(workbench, '/', (page) => page.locator('table.grid tbody tr').first().waitFor()));
});
