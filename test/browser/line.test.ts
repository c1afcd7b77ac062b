import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { expectAccessible, keepPicture, startWorkbench, type Workbench } from './support.js';

let workbench: Workbench;
beforeAll(async () => {
  workbench = await startWorkbench();
}, 120_000);
afterAll(() => workbench.stop());

const file = (): string => join(workbench.server.folder, 'line.yaml');
const onDisk = (): string => readFileSync(file(), 'utf8');
const sections = (text: string): { name: string; centre_m?: number[]; turns?: string }[] =>
  parse(text).sections;
const idler = (text: string) => sections(text).find((s) => s.name === 'idler 1');
const comments = (text: string): string[] => text.match(/#.*$/gm) ?? [];

const grip = (page: Page, name: string) => page.locator(`.stage .grip[aria-label^="${name}"]`).first();
const openLine = async (path = '/line'): Promise<Page> => {
  const page = await workbench.open(path);
  await page.locator('.stage .grip').first().waitFor();
  return page;
};
const span = async (page: Page, from: string, to: string): Promise<number> =>
  Number(
    await page
      .locator('table tbody tr', { hasText: `${from}${to}` })
      .first()
      .locator('td')
      .nth(2)
      .textContent(),
  );

async function drag(page: Page, name: string, by: { x: number; y: number }, drop = true): Promise<void> {
  const box = await grip(page, name).boundingBox();
  if (box === null) throw new Error(`${name} is not drawn`);
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x + by.x / 2, y + by.y / 2);
  await page.mouse.move(x + by.x, y + by.y);
  if (drop) await page.mouse.up();
}

describe('the line', () => {
  test('is edited in its drawing: dragged, seen at once, undone, saved as YAML with its comments', async () => {
    const before = onDisk();
    const page = await openLine();
    await keepPicture(page, 'line');
    const length = await span(page, 'unwind', 'idler 1');
    await drag(page, 'idler 1', { x: 0, y: -40 }, false);
    // while it is held
    expect(await span(page, 'unwind', 'idler 1')).toBeGreaterThan(length);
    await page.mouse.up();
    expect(await page.locator('.state').textContent()).toContain('Not saved: idler 1 moved');
    expect(onDisk()).toBe(before);

    await page.keyboard.press('Control+z');
    expect(await span(page, 'unwind', 'idler 1')).toBe(length);
    await page.keyboard.press('Control+y');
    expect(await span(page, 'unwind', 'idler 1')).toBeGreaterThan(length);
    await page.keyboard.press('Control+s');
    await page.getByText('As on disk').waitFor();
    const after = onDisk();
    expect(idler(after)?.centre_m?.[1]).toBeGreaterThan(idler(before)?.centre_m?.[1] as number);
    expect(comments(after)).toEqual(comments(before));
    expect(sections(after).filter((s) => s.name !== 'idler 1')).toEqual(
      sections(before).filter((s) => s.name !== 'idler 1'),
    );
  });

  test('takes exact values and keys', async () => {
    const page = await openLine('/line?section=idler+1');
    const y = page.getByLabel('Centre, y');
    await y.fill('1.75');
    await y.press('Enter');
    await grip(page, 'idler 1').focus();
    await page.keyboard.press('Shift+ArrowUp');
    await expect.poll(() => y.inputValue()).toBe('1.751');
    await page.getByRole('button', { name: 'Turn over' }).click();
    const turns = idler(onDisk())?.turns;
    await page.keyboard.press('Control+s');
    await page.getByText('As on disk').waitFor();
    expect(idler(onDisk())?.centre_m?.[1]).toBe(1.751);
    expect(idler(onDisk())?.turns).not.toBe(turns);
    // what is no number is refused beside the entry, and nothing is changed
    await y.fill('1.7.5');
    await y.press('Enter');
    expect(await page.locator('.panel').first().textContent()).toContain('no number');
    expect(await page.getByText('As on disk').isVisible()).toBe(true);
  });

  test('a decimal comma is read where it is usual', async () => {
    const page = await workbench.open('/line?section=idler+1', { locale: 'de-DE' });
    const y = page.getByLabel('Centre, y');
    await y.waitFor();
    expect(await y.inputValue()).toContain(',');
    await y.fill('1,8');
    await y.press('Enter');
    expect(await page.locator('.state').textContent()).toContain('Not saved');
    await page.keyboard.press('Control+s');
    await page.getByText('As on disk').waitFor();
    expect(idler(onDisk())?.centre_m?.[1]).toBe(1.8);
  });

  test('of two windows the other one follows; edits on both sides are a choice, and nothing is overwritten', async () => {
    const [a, b] = [await openLine('/line?section=idler+1'), await openLine('/line?section=idler+1')];
    const y = (page: Page) => page.getByLabel('Centre, y');
    await y(a).fill('1.7');
    await y(a).press('Enter');
    await a.keyboard.press('Control+s');
    await expect.poll(() => y(b).inputValue(), { timeout: 10_000 }).toBe('1.7');
    // both edit, the first one saves
    await y(b).fill('1.6');
    await y(b).press('Enter');
    await y(a).fill('1.5');
    await y(a).press('Enter');
    await a.keyboard.press('Control+s');
    const notice = b.getByRole('alert');
    await notice.waitFor();
    expect(await notice.textContent()).toMatch(/changed by something else.*Nothing was overwritten/);
    expect(idler(onDisk())?.centre_m?.[1]).toBe(1.5);
    expect(await y(b).inputValue()).toBe('1.6');
    await b.getByRole('button', { name: 'Keep what is here' }).click();
    await b.keyboard.press('Control+s');
    await b.getByText('As on disk').waitFor();
    expect(idler(onDisk())?.centre_m?.[1]).toBe(1.6);
  });

  test('a file changed outside shows up; one that is broken is told with its line', async () => {
    const page = await openLine('/line?section=idler+1');
    const before = onDisk();
    const changed = before.replace(/(name: idler 1[\s\S]*?centre_m: \[\s*[\d.]+,\s*)[\d.]+/, '$11.234');
    expect(idler(changed)?.centre_m?.[1]).toBe(1.234);
    writeFileSync(file(), changed);
    await expect.poll(() => page.getByLabel('Centre, y').inputValue(), { timeout: 10_000 }).toBe('1.234');
    writeFileSync(file(), `${before}\nsections: [\n`);
    const alert = page.getByRole('alert').first();
    await alert.waitFor();
    expect(await alert.textContent()).toMatch(/line \d+/);
    writeFileSync(file(), before);
    await grip(page, 'idler 1').waitFor();
  });

  test('an unsaved change outlives a reload', async () => {
    const page = await openLine('/line?section=idler+1');
    await page.getByLabel('Centre, y').fill('1.9');
    await page.getByLabel('Centre, y').press('Enter');
    await page.reload();
    await page.getByLabel('Centre, y').waitFor();
    expect(await page.getByLabel('Centre, y').inputValue()).toBe('1.9');
    expect(await page.locator('.state').textContent()).toContain('Not saved');
    expect(idler(onDisk())?.centre_m?.[1]).not.toBe(1.9);
  });

  test('axe-core finds nothing, light and dark', () =>
    expectAccessible(workbench, '/line?section=idler+1', (page) => grip(page, 'idler 1').waitFor()));
});
