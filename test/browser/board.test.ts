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

  test('axe-core finds nothing, light and dark', () =>
    expectAccessible(workbench, '/', (page) => page.locator('table.grid tbody tr').first().waitFor()));
});
