import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { axeViolations, expectAccessible, keepPicture, startWorkbench, type Workbench } from './support.js';

let workbench: Workbench;
beforeAll(async () => {
  workbench = await startWorkbench();
}, 120_000);
afterAll(() => workbench.stop());

const product = 'coated-paper-80';
const path = `/programs/${product}`;
const onDisk = (): string =>
  readFileSync(join(workbench.server.folder, 'products', `${product}.yaml`), 'utf8');
const tension = (text: string): Record<string, number> => parse(text).winder.tension;

const openProgram = async (at = path): Promise<Page> => {
  const page = await workbench.open(at);
  await page.locator('.plot .handle').first().waitFor();
  return page;
};
const handle = (page: Page, id: string) => page.locator(`.plot .handle[data-handle="${id}"]`);
/** A column of the table of rows. */
const column = (page: Page, k: number): Promise<number[]> =>
  page
    .locator('table tbody tr')
    .evaluateAll((rows, index) => rows.map((r) => Number(r.children[index]?.textContent)), k);

describe('programs', () => {
  test('open on the first product, with its address', async () => {
    const page = await openProgram('/programs');
    expect(new URL(page.url()).pathname).toBe(path);
    await keepPicture(page, 'programs');
  });

  test('a schedule is dragged by its handle: what follows from it follows while it is held', async () => {
    const before = onDisk();
    const page = await openProgram();
    const [tensions, wound, torques] = await Promise.all([1, 2, 6].map((k) => column(page, k)));
    const box = await handle(page, 'tension end').boundingBox();
    if (box === null) throw new Error('the handle is not drawn');
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x, y + 10);
    await page.mouse.move(x, y + 20);
    await expect.poll(async () => (await column(page, 1)).at(-1)).toBeLessThan(tensions?.at(-1) as number);
    expect((await column(page, 2)).at(-1)).toBeLessThan(wound?.at(-1) as number);
    expect((await column(page, 6)).at(-1)).toBeLessThan(torques?.at(-1) as number);
    // the other end of the schedule stays
    expect((await column(page, 1))[0]).toBe(tensions?.[0]);
    await page.mouse.up();
    await page.keyboard.press('Control+s');
    await page.getByText('As on disk').waitFor();
    expect(tension(onDisk()).taper).toBeGreaterThan(tension(before).taper as number);
    expect(onDisk().match(/#.*$/gm)).toEqual(before.match(/#.*$/gm));
    // and back, also on disk
    await page.keyboard.press('Control+z');
    await page.keyboard.press('Control+s');
    await page.getByText('As on disk').waitFor();
    expect(onDisk()).toBe(before);
  });

  test('torque differential moves torque from one motor to the other and leaves the tension', async () => {
    const page = await openProgram(`${path}?knob=torque_differential`);
    const [tensions, rider, winder] = await Promise.all([1, 5, 6].map((k) => column(page, k)));
    const start = page.getByRole('textbox', { name: 'At the core' });
    await start.fill('150');
    await start.press('Enter');
    expect(await page.locator('.state').textContent()).toContain('torque differential: start');
    expect((await column(page, 4))[0]).toBe(150);
    expect((await column(page, 5))[0]).toBeGreaterThan(rider?.[0] as number);
    expect((await column(page, 6))[0]).toBeLessThan(winder?.[0] as number);
    expect(await column(page, 1)).toEqual(tensions);
  });

  test('by keys, and in US units', async () => {
    const page = await openProgram();
    const first = async (): Promise<number> => (await column(page, 1))[0] as number;
    const si = await first();
    await handle(page, 'tension start').focus();
    await page.keyboard.press('ArrowUp');
    await expect.poll(first).toBeGreaterThan(si);
    await page.keyboard.press('Control+z');
    await expect.poll(first).toBe(si);
    await page.getByRole('button', { name: 'Units and colours' }).click();
    await page.getByLabel('US').check();
    // 1 pli = 175.127 N/m
    await expect.poll(first).toBeCloseTo(si / 175.127, 2);
    expect(await page.locator('table').first().textContent()).toContain('pli');
  });

  test('settings and tabs by keys alone', async () => {
    const page = await openProgram();
    await page.getByRole('tab', { name: 'Tension' }).focus();
    await page.keyboard.press('ArrowRight');
    expect(await page.getByRole('tab', { name: 'Nip' }).getAttribute('aria-selected')).toBe('true');
    await expect.poll(() => new URL(page.url()).searchParams.get('knob')).toBe('nip');
    const button = page.getByRole('button', { name: 'Units and colours' });
    await button.focus();
    await page.keyboard.press('Enter');
    const dialog = page.getByRole('dialog', { name: 'Units and colours' });
    await dialog.waitFor();
    expect(await axeViolations(page)).toEqual([]);
    await page.keyboard.press('Escape');
    await dialog.waitFor({ state: 'detached' });
    expect(await button.evaluate((b) => b.ownerDocument.activeElement === b)).toBe(true);
  });

  test('a program that breaks a limit says which, and where', async () => {
    const page = await openProgram(`${path}?knob=tension`);
    const start = page.getByRole('textbox', { name: 'At the core' });
    await start.fill('900');
    await start.press('Enter');
    const broken = page.locator('.limit-list li').first();
    await expect.poll(() => broken.textContent()).toMatch(/N·m of .* tightest at .* left:−/);
    expect(await broken.getByRole('img', { name: 'Broken' }).isVisible()).toBe(true);
    expect(await page.locator('.limit-list').textContent()).toMatch(
      /highest tension: \d{4} N\/m of 400 N\/m/,
    );
    expect(await page.locator('.findings .finding').first().textContent()).toMatch(/Next: /);
  });

  test('keeps its plots as SVG and their numbers as CSV', async () => {
    const page = await openProgram();
    const save = async (words: string): Promise<{ name: string; text: string }> => {
      const [download] = await Promise.all([
        page.waitForEvent('download'),
        page.getByRole('button', { name: words }).first().click(),
      ]);
      return { name: download.suggestedFilename(), text: readFileSync(await download.path(), 'utf8') };
    };
    const svg = await save('Save as SVG');
    expect(svg.name).toMatch(/winder\.svg$/);
    expect(svg.text).toMatch(/^<svg[\s\S]*<style[\s\S]*Diameter, D \[m\][\s\S]*<\/svg>\n$/);
    expect(svg.text).not.toContain('data-handle');
    // opened by itself it is a picture
    const other = await page.context().newPage();
    await other.setContent(svg.text);
    const box = await other.locator('svg').boundingBox();
    expect(box?.width).toBeGreaterThan(700);
    const csv = await save('Save data as CSV');
    const [head, first] = csv.text.split('\r\n').map((line) => line.split(','));
    expect(head?.[0]).toBe('diameter [m]');
    expect(Number(first?.[0])).toBe((await column(page, 0))[0]);
    expect(csv.text.split('\r\n').length).toBeGreaterThan(10);
  });

  test('two programs are compared: the other one dashed on the same axes, in the address', async () => {
    const folder = join(workbench.server.folder, 'products');
    const text = readFileSync(join(folder, `${product}.yaml`), 'utf8');
    writeFileSync(join(folder, 'lighter.yaml'), text.replace(/start_N_per_m: 260/, 'start_N_per_m: 200'));
    const page = await openProgram();
    expect(await page.locator('.plot .other').count()).toBe(0);
    await page.getByLabel('Compare with').selectOption('lighter');
    await expect.poll(() => page.locator('.plot .line.other').count()).toBeGreaterThan(3);
    expect(await page.locator('.plot').textContent()).toContain('lighter');
    const again = await openProgram(new URL(page.url()).pathname + new URL(page.url()).search);
    await expect.poll(() => again.locator('.plot .line.other').count()).toBeGreaterThan(3);
    await page.getByLabel('Compare with').selectOption('');
    await expect.poll(() => page.locator('.plot .other').count()).toBe(0);
    rmSync(join(folder, 'lighter.yaml'));
  });

  test('prints in one column, without anything to press', async () => {
    const page = await openProgram();
    await page.emulateMedia({ media: 'print' });
    expect(await page.getByRole('button').count()).toBe(0);
    expect(await page.locator('.plot .handle').first().isVisible()).toBe(false);
    const [plot, panel] = [
      await page.locator('.plot').boundingBox(),
      await page.locator('aside').boundingBox(),
    ];
    expect(panel?.y).toBeGreaterThanOrEqual((plot?.y ?? 0) + (plot?.height ?? 0));
    const pdf = await page.pdf({ format: 'A4' });
    expect(pdf.subarray(0, 5).toString()).toBe('%PDF-');
  });

  test('copies its table as tab-separated text', async () => {
    const page = await openProgram();
    await page.context().grantPermissions(['clipboard-read', 'clipboard-write']);
    await page.getByRole('button', { name: 'Copy as table' }).click();
    const text = await page.evaluate<string>('navigator.clipboard.readText()');
    const lines = text.split('\n');
    expect(lines[0]).toMatch(/^Diameter \[m\]\tTension \[N\/m\]/);
    expect(lines.length).toBe(1 + (await column(page, 0)).length);
  });

  test('axe-core finds nothing, light and dark', () =>
    expectAccessible(workbench, path, (page) => page.locator('.plot .handle').first().waitFor()));
});
