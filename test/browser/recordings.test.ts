import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DuckDBInstance } from '@duckdb/node-api';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { expectAccessible, keepPicture, startWorkbench, type Workbench } from './support.js';

let workbench: Workbench;
const files = mkdtempSync(join(tmpdir(), 'tautline-files-'));
beforeAll(async () => {
  workbench = await startWorkbench();
}, 120_000);
afterAll(async () => {
  await workbench.stop();
  rmSync(files, { recursive: true, force: true });
});

const inFolder = (...parts: string[]): string => join(workbench.server.folder, ...parts);

/** A semicolon file with decimal commas, a title line and a unit row, as office programs write it; the torque has no unit. */
function semicolonFile(rows: number): string {
  const comma = (v: number): string => v.toFixed(3).replace('.', ',');
  const lines = ['Aufzeichnung 3;;', 'Zeit;Drehzahl Ist;Moment Ist', 's;1/min;'];
  for (let i = 0; i < rows; i++)
    lines.push(
      [i * 0.01, 600 + 300 * Math.sin(i / 90), i === 777 ? 41.5 : 3 + Math.cos(i / 90)].map(comma).join(';'),
    );
  return `${lines.join('\r\n')}\r\n`;
}

/** A check that may take its time to come true, on a machine that has other things to do. */
const until = <T>(value: () => T) => expect.poll(value, { timeout: 20_000 });

/** Drops a file by the button. */
async function choose(page: Page, name: string, content: string): Promise<void> {
  const file = join(files, name);
  writeFileSync(file, content);
  await page.setInputFiles('#recording-file', file);
}

/** What a lane says that it shows, for those who do not see it. */
const shown = (page: Page, axis: string): Promise<string | null> =>
  page.locator('.trend-head .hidden', { hasText: axis }).textContent();
/** All lanes have come. */
async function isDrawn(page: Page): Promise<void> {
  const heads = page.locator('.trend-head .hidden', { hasText: 'in the window' });
  await heads.first().waitFor({ state: 'attached' });
  await until(async () => (await heads.allTextContents()).join()).not.toMatch(/no value/);
}

describe('recordings', () => {
  test('are listed by drive with what came of them; the trend zooms by keys, and a link reopens the window', async () => {
    const page = await workbench.open('/recordings?recording=exports/pull-roll.as-found.csv');
    await isDrawn(page);
    expect(await page.locator('.recording-list a').count()).toBe(7);
    expect(await page.locator('.recording-list a[aria-current]').textContent()).toMatch(
      /as found.*identified/,
    );
    const whole = await shown(page, 'rotational speed');
    await keepPicture(page, 'recordings');
    await page.locator('.trend-area').focus();
    await page.keyboard.press('Home');
    for (let k = 0; k < 4; k++) await page.keyboard.press('+');
    await until(() => new URL(page.url()).searchParams.get('to')).toMatch(/^10\.4/);
    expect(await shown(page, 'rotational speed')).not.toBe(whole);
    const again = await workbench.open(new URL(page.url()).pathname + new URL(page.url()).search);
    await isDrawn(again);
    await until(() => shown(again, 'rotational speed')).toBe(await shown(page, 'rotational speed'));
    await page.keyboard.press('0');
    await until(() => shown(page, 'rotational speed')).toBe(whole);
    expect(new URL(page.url()).searchParams.has('from')).toBe(false);
  });

  test('the wheel zooms about the pointer, a drag pans, the cursor reads all channels out', async () => {
    const page = await workbench.open('/recordings?recording=exports/pull-roll.as-found.csv');
    await isDrawn(page);
    const area = await page.locator('.trend-area').boundingBox();
    if (area === null) throw new Error('no trend');
    const middle = { x: area.x + area.width / 2, y: area.y + 60 };
    await page.mouse.move(middle.x, middle.y);
    for (const value of await page.locator('.trend-value').allTextContents()) expect(value).toMatch(/\d/);
    for (let k = 0; k < 5; k++) await page.mouse.wheel(0, -300);
    const window = async (): Promise<[number, number]> => {
      const search = new URL(page.url()).searchParams;
      return [Number(search.get('from')), Number(search.get('to'))];
    };
    await until(async () => (await window())[1]).toBeGreaterThan(0);
    const [from, to] = await window();
    expect((from + to) / 2).toBeCloseTo(83.5, 0);
    expect(to - from).toBeLessThan(30);
    await page.mouse.down();
    await page.mouse.move(middle.x - 100, middle.y, { steps: 5 });
    await page.mouse.up();
    // what lay under the pointer stays under it
    await until(async () => (await window())[0]).toBeCloseTo(from + (100 * (to - from)) / area.width, 1);
  });

  test('a semicolon file with decimal commas: what was found is shown, the missing unit is asked, then it is drawn', async () => {
    const page = await workbench.open('/recordings');
    await choose(page, 'antrieb.csv', semicolonFile(3000));
    await page.getByRole('heading', { name: 'Import antrieb.csv' }).waitFor();
    const found = (label: string) =>
      page.getByLabel(label, { exact: true }).locator('option:checked').textContent();
    expect(await found('Between cells')).toBe('semicolon (found)');
    expect(await found('Decimal sign')).toBe('comma (found)');
    expect(await found('Column of the motor torque')).toBe('Moment Ist (found)');
    expect(await found('Unit of the motor torque')).toBe('which unit?');
    const button = page.getByRole('button', { name: 'Import', exact: true });
    expect(await button.isDisabled()).toBe(true);
    await keepPicture(page, 'import');
    // with points as decimal signs no line holds numbers, and it says so; taken back, all is as before
    await page.getByLabel('Decimal sign').selectOption('.');
    await until(() => page.locator('.import').textContent()).toMatch(
      /holds no row of values.*First say how the text is read/s,
    );
    await page.getByLabel('Decimal sign').selectOption('');
    await until(() => page.locator('.import').textContent()).not.toMatch(/holds no row/);
    await page.getByLabel('Drive', { exact: true }).fill('winder');
    await page.getByLabel('Visit', { exact: true }).fill('as-left');
    await page.getByLabel('Unit of the motor torque').selectOption('N·m');
    // loaded anew, nothing that was stated is lost
    await page.reload();
    await until(() => found('Unit of the motor torque')).toBe('N·m');
    await button.click();
    await page.waitForURL(/recording=recordings%2Fwinder\.as-left\.parquet/);
    await isDrawn(page);
    // 300 and 900 rpm, and the one sample of 41.5 N·m among 3000
    await until(() => shown(page, 'motor speed')).toMatch(/from 31\.42 to 94\.25 in/);
    await until(() => shown(page, 'motor torque')).toMatch(/to 41\.5 in/);
    expect(existsSync(inFolder('recordings/winder.as-left.yaml'))).toBe(true);
    expect(await page.locator('.recording-list a[aria-current]').textContent()).toMatch(
      /as left.*3,000 rows/,
    );
  });

  test('a file dropped on the page is taken; an export without roles can be told what it is, and stays', async () => {
    const export_ = inFolder('exports/trial.csv');
    const content = `alpha;beta;gamma\n${Array.from({ length: 300 }, (_, i) => `${i / 100};${100 + i};${2 + (i % 7) / 10}`).join('\n')}\n`;
    writeFileSync(export_, content);
    const page = await workbench.open('/recordings?recording=exports/trial.csv');
    await page.getByRole('button', { name: 'Say which column is what' }).click();
    await page.getByRole('heading', { name: 'Import trial.csv' }).waitFor();
    await page.getByLabel('Column of the time').selectOption('alpha');
    await page.getByLabel('Unit of the time').selectOption('s');
    await page.getByLabel('Column of the motor speed').selectOption('beta');
    await page.getByLabel('Unit of the motor speed').selectOption('rpm');
    await page.getByLabel('Column of the motor torque').selectOption('gamma');
    await page.getByLabel('Unit of the motor torque').selectOption('N·m');
    await page.getByLabel('Drive', { exact: true }).fill('dryer-can');
    await page.getByLabel('Visit', { exact: true }).fill('as-left');
    await page.getByRole('button', { name: 'Import', exact: true }).click();
    await page.waitForURL(/recording=recordings%2Fdryer-can\.as-left\.parquet/);
    await isDrawn(page);
    // 100 to 399 rpm
    expect(await shown(page, 'motor speed')).toMatch(/from 10\.47 to 41\.78 in/);
    expect(readFileSync(export_, 'utf8')).toBe(content);
    rmSync(export_);
    // dropped anywhere on the page
    await page.evaluate((text) => {
      const held = new DataTransfer();
      held.items.add(new File([text], 'dropped.csv'));
      for (const type of ['dragover', 'drop'])
        window.dispatchEvent(new DragEvent(type, { dataTransfer: held, bubbles: true, cancelable: true }));
    }, semicolonFile(50));
    await page.getByRole('heading', { name: 'Import dropped.csv' }).waitFor();
  });

  test('a file that is no recording is refused with why and what next, and nothing is written', async () => {
    const page = await workbench.open('/recordings');
    const before = existsSync(inFolder('recordings')) ? readdirSync(inFolder('recordings')) : [];
    await choose(page, 'photo.csv', 'a;b\n1;2\u0000\u0001\u0002');
    const notice = page.getByRole('alert');
    await notice.waitFor();
    expect(await notice.textContent()).toMatch(
      /photo\.csv: not a text table.*Next: export.*Nothing was written/s,
    );
    expect(existsSync(inFolder('recordings')) ? readdirSync(inFolder('recordings')) : []).toEqual(before);
    await page.getByRole('button', { name: 'Drop this file' }).click();
    await page.locator('.trend').waitFor();
  });

  test('a page loaded anew in the middle of an import goes on; a cancelled one leaves nothing and loses nothing', async () => {
    const page = await workbench.open('/recordings');
    await choose(page, 'unwind.as-left.csv', semicolonFile(700_000));
    // the name of the file names drive and visit
    await until(() => page.getByLabel('Drive', { exact: true }).inputValue()).toBe('unwind');
    await page.getByLabel('Unit of the motor torque').selectOption('N·m');
    const button = page.getByRole('button', { name: 'Import', exact: true });
    await button.click();
    await page.getByRole('button', { name: 'Cancel' }).click();
    await page.getByRole('heading', { name: 'The import was cancelled' }).waitFor();
    await page.getByRole('button', { name: 'Back to how it is read' }).click();
    expect(existsSync(inFolder('recordings/unwind.as-left.parquet'))).toBe(false);
    await button.click();
    await page.getByRole('progressbar').waitFor();
    await page.reload();
    await page.getByRole('progressbar').waitFor();
    await page.waitForURL(/recording=recordings%2Funwind\.as-left\.parquet/, { timeout: 60_000 });
    await isDrawn(page);
    await until(() => shown(page, 'motor torque')).toMatch(/to 41\.5 in/);
  }, 120_000);

  test('a stretch is marked, noted, found again by another window, and taken back', async () => {
    const path = '/recordings?recording=exports/unwind.as-found.csv';
    const page = await workbench.open(path);
    await isDrawn(page);
    const file = inFolder('exports/unwind.as-found.csv.annotations.yaml');
    const area = await page.locator('.trend-area').boundingBox();
    if (area === null) throw new Error('no trend');
    await page.keyboard.down('Shift');
    await page.mouse.move(area.x + 200, area.y + 50);
    await page.mouse.down();
    await page.mouse.move(area.x + 300, area.y + 60, { steps: 4 });
    await page.mouse.up();
    await page.keyboard.up('Shift');
    // nothing is written before it has words
    expect(existsSync(file)).toBe(false);
    await page.getByLabel('What was seen there').fill('belt slipped: "twice"');
    await page.keyboard.press('Enter');
    await until(() => existsSync(file) && readFileSync(file, 'utf8')).toContain('belt slipped');
    const other = await workbench.open(path);
    await other.getByRole('button', { name: /^Note 1, .* belt slipped: "twice"$/ }).click();
    await until(() => new URL(other.url()).searchParams.has('from')).toBe(true);
    // by keys: M at both ends
    await other.locator('.trend-area').focus();
    await other.keyboard.press('Home');
    await other.keyboard.press('m');
    for (let k = 0; k < 5; k++) await other.keyboard.press('ArrowRight');
    await other.keyboard.press('m');
    await other.getByLabel('What was seen there').fill('standstill');
    await other.keyboard.press('Enter');
    // the first page sees it, and its order is that of time
    await until(() => page.getByLabel('Note 1', { exact: true }).inputValue()).toBe('standstill');
    await page.getByRole('button', { name: 'Take out note 2' }).click();
    await until(() => page.locator('.note-list li').count()).toBe(1);
    await page.getByRole('button', { name: 'Undo' }).click();
    await until(() => page.locator('.note-list li').count()).toBe(2);
    await expectAccessible(workbench, path, (p) => p.getByLabel('Note 2', { exact: true }).waitFor());
  }, 60_000);

  test('of 10 million rows not one peak is lost, whole or panned', async () => {
    const rows = 10_000_000;
    const database = await DuckDBInstance.create(':memory:');
    const connection = await database.connect();
    await connection.run(
      `COPY (SELECT r / 1000.0 AS "Time [s]", 100 * sin(r / 500000.0) AS "Speed act [rad/s]",
         CASE WHEN r = 7654321 THEN 55 ELSE 2 + (r % 100) / 1000.0 END AS "Torque act [N.m]" FROM range(${rows}) t(r))
       TO '${inFolder('exports', 'dryer-can.long.parquet')}' (FORMAT parquet)`,
    );
    connection.closeSync();
    const page = await workbench.open('/recordings?recording=exports/dryer-can.long.parquet');
    await page
      .locator('.trend-head .hidden', { hasText: 'in the window' })
      .first()
      .waitFor({ state: 'attached', timeout: 60_000 });
    expect(await page.locator('.recording-facts').textContent()).toMatch(/10,000,000 rows/);
    await until(() => shown(page, 'motor torque')).toMatch(/from 2 to 55 in/);
    // about the peak, down to the samples; beside it the rest
    await page.goto(`${page.url()}&from=7654.3&to=7654.35`);
    await until(() => shown(page, 'motor torque')).toMatch(/to 55 in/);
    await page.locator('.trend-area').focus();
    await page.keyboard.press('PageDown');
    await page.keyboard.press('PageDown');
    await until(() => shown(page, 'motor torque')).toMatch(/to 2\.099 in/);
  }, 120_000);

  test('a test sheet comes from the board, with the speeds of this drive and its cautions first', async () => {
    const page = await workbench.open('/');
    await page.locator('.next a[href*="test-sheet"][href*="drive=rider-roller"]').first().click();
    await page.getByRole('heading', { name: 'Test sheet: rider roller' }).waitFor();
    expect(await page.locator('article section h2').first().textContent()).toBe('Before anything turns');
    expect(await page.locator('.cautions').textContent()).toMatch(
      /risk assessment.*safety function.*never writes/s,
    );
    const speeds = () => page.locator('article section#steps td.number').allTextContents();
    const before = await speeds();
    await page.getByLabel('Drive', { exact: true }).selectOption('unwind');
    await page.getByRole('heading', { name: 'Test sheet: unwind' }).waitFor();
    // 420 rad/s
    expect(await speeds()).toContain('4011');
    expect(await speeds()).not.toEqual(before);
    await page.getByLabel('Test', { exact: true }).selectOption('breakaway');
    await until(() => new URL(page.url()).searchParams.get('test')).toBe('breakaway');
    await keepPicture(page, 'test-sheet');
    await expectAccessible(workbench, '/recordings/test-sheet?drive=winder&test=designed', (p) =>
      p.getByRole('heading', { name: 'Test sheet: winder' }).waitFor(),
    );
  }, 60_000);

  test('axe-core finds nothing, light and dark', async () => {
    await expectAccessible(workbench, '/recordings?recording=exports/winder.as-found.csv', isDrawn);
    const page = await workbench.open('/recordings');
    await choose(page, 'antrieb 2.csv', semicolonFile(500));
    await page.waitForURL(/import/);
    await expectAccessible(workbench, new URL(page.url()).pathname, (p) =>
      p.getByRole('heading', { name: 'Import antrieb 2.csv' }).waitFor(),
    );
  }, 60_000);
});
