import { readdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { exportText, post, truth } from '../server/support.js';
import { expectAccessible, keepPicture, startWorkbench, type Workbench } from './support.js';

let workbench: Workbench;
beforeAll(async () => {
  workbench = await startWorkbench();
}, 120_000);
afterAll(() => workbench.stop());

const path = '/identify?drive=winder&recording=exports%2Fwinder.as-found.csv';
const value = (page: Page, name: string) => page.locator(`.headline [data-parameter="${name}"] strong`);
const stretch = (page: Page, words: RegExp) => page.getByRole('button', { name: words });
const settled = (page: Page) => page.locator('.headline[aria-busy="false"]').waitFor();

describe('a drive that is not identified yet', () => {
  test('is reached from the board and identified by opening it', async () => {
    const page = await workbench.open();
    await page.locator('table.grid tbody tr').first().waitFor();
    await page.locator('.next a[href*="/identify?drive=winder"]').first().click();
    await value(page, 'inertia').waitFor();
    // the truth of the invented demo line
    const demo = JSON.parse(readFileSync(join(workbench.server.folder, 'truth.json'), 'utf8')) as {
      drives?: Record<string, { inertia_kgm2: number }>;
    };
    expect(JSON.stringify(demo)).toContain('0.168');
    expect(Number(await value(page, 'inertia').textContent())).toBeCloseTo(0.168, 3);
    const table = page.getByRole('region', { name: /^At the motor shaft/ });
    expect(await table.textContent()).toMatch(/Inertia[\s\S]*kg·m²[\s\S]*ramps/);
    // what it could not give says what would
    expect(await page.getByRole('region', { name: 'Not in this recording' }).textContent()).toMatch(
      /Next: record/,
    );
    await keepPicture(page, 'identify');
  });

  test('a stretch taken out changes the result, and undo gives it back; the address holds it', async () => {
    const page = await workbench.open(path);
    await value(page, 'coulomb').waitFor();
    const before = await page.locator('.headline').textContent();
    const picked = stretch(page, /^plateau, .* used: speed steady/).nth(3);
    const title = (await picked.getAttribute('title')) ?? '';
    await picked.click();
    await expect.poll(() => page.locator('.headline').textContent()).not.toBe(before);
    await settled(page);
    const after = await page.locator('.headline').textContent();
    const [from] = /[\d.]+(?= s to)/.exec(title) ?? [];
    await stretch(
      page,
      new RegExp(`^excluded, ${from?.replace('.', '\\.')} s .* left out: taken out by the user`),
    ).waitFor();
    expect(new URL(page.url()).searchParams.get('out')).toMatch(/^[\d.]+~[\d.]+$/);

    // the result is that of the command and of a server that never saw the first one
    const options = {
      exclude: [new URL(page.url()).searchParams.get('out')?.split('~').map(Number)],
    };
    const { job } = await workbench.server.json<{ job: string }>(
      '/api/identifications',
      202,
      post({ drive: 'winder', recording: 'winder.as-found', options }),
    );
    const done = await workbench.server.ended<{ document: { estimates: { coulomb_Nm: { value: number } } } }>(
      job,
    );
    const coulomb = done.result?.document.estimates.coulomb_Nm.value ?? Number.NaN;
    expect(Number(await value(page, 'coulomb').textContent())).toBeCloseTo(coulomb, 2);

    const again = await workbench.open(new URL(page.url()).pathname + new URL(page.url()).search);
    await value(again, 'coulomb').waitFor();
    await settled(again);
    expect(await again.locator('.headline').textContent()).toBe(after);

    await page.keyboard.press('Control+z');
    await expect.poll(() => page.locator('.headline').textContent()).toBe(before);
    expect(new URL(page.url()).searchParams.get('out')).toBeNull();
    await page.keyboard.press('Control+y');
    await expect.poll(() => page.locator('.headline').textContent()).toBe(after);
  });

  test('by keys: a stretch is taken in with Enter, its reason is told', async () => {
    const page = await workbench.open(path);
    await value(page, 'inertia').waitFor();
    const left = stretch(page, /^excluded, .* left out: settling/).first();
    await left.focus();
    expect(await page.locator('.segments .why').textContent()).toMatch(/left out: .*click to take it in/);
    await page.keyboard.press('Enter');
    await page.waitForURL(/[?&]in=/);
    await settled(page);
  });

  test('a plateau point lights its stretch, and a stretch its point', async () => {
    const page = await workbench.open(path);
    const plot = page.getByRole('group', { name: /^Drag over speed/ });
    await plot.waitFor();
    await plot.focus();
    for (let k = 0; k < 60 && (await page.locator('.stretch.lit').count()) === 0; k++)
      await page.keyboard.press('Shift+ArrowRight');
    expect(await page.locator('.stretch.lit').getAttribute('title')).toMatch(/^plateau/);
    expect(await plot.locator('.lit').count()).toBe(1);
    await page.locator('.trend-area').focus();
    await stretch(page, /^plateau, .* used: speed steady/)
      .nth(6)
      .focus();
    await plot.locator('.lit').waitFor();
  });

  test('units, formulas and the numbers as a table', async () => {
    const page = await workbench.open(path, { permissions: ['clipboard-read', 'clipboard-write'] });
    const table = page.getByRole('region', { name: /^At the motor shaft/ });
    await table.getByRole('button', { name: 'Copy as table' }).click();
    await table.getByText('Copied').waitFor();
    const copied = await page.evaluate(() => navigator.clipboard.readText());
    expect(copied.split('\n')[0]?.split('\t')).toEqual([
      'Parameter',
      'Value',
      '±',
      '95 % interval',
      'Unit',
      'From',
    ]);
    expect(copied.split('\n')[1]?.split('\t')[4]).toBe('kg·m²');
    // a menu closes when what it belongs to is scrolled
    await page.evaluate(() => window.scrollTo(0, 0));
    await page.getByRole('button', { name: 'Units and colours' }).click();
    await page.getByRole('radio', { name: 'US' }).check();
    await expect.poll(() => table.textContent()).toMatch(/lb·ft²/);
    await page.keyboard.press('Escape');
    await page.getByRole('button', { name: 'How it is computed' }).click();
    await page.locator('.results .katex').first().waitFor();
  });
});

describe('a result', () => {
  test('is kept under its visit, and the board shows it', async () => {
    const page = await workbench.open(path);
    await value(page, 'inertia').waitFor();
    await page.getByRole('button', { name: 'Keep as as-found' }).click();
    await page.getByText('identifications/winder.as-found.json').waitFor();
    expect(readdirSync(join(workbench.server.folder, 'identifications'))).toContain('winder.as-found.json');
    await page.getByRole('link', { name: 'Board' }).click();
    const row = page.locator('table.grid tbody tr', { hasText: 'winder' });
    await expect.poll(() => row.textContent()).toMatch(/as-found 0\.16\d* kg·m²/);
    expect(Number(/0\.16\d*/.exec((await row.textContent()) ?? '')?.[0])).toBeCloseTo(0.168, 3);
  });

  test('is laid over another one, with the ratios', async () => {
    const { server } = workbench;
    const other = { drive: 'bowed-roller-helper', store: true };
    const { job } = await server.json<{ job: string }>(
      '/api/identifications',
      202,
      post({ ...other, recording: 'bowed-roller-helper.as-found' }),
    );
    await server.ended(job);
    const page = await workbench.open(
      '/identify?drive=bowed-roller-helper&recording=bowed-roller-helper.as-left',
    );
    await value(page, 'coulomb').waitFor();
    await page.getByRole('combobox', { name: 'Compare with' }).selectOption('bowed-roller-helper.as-found');
    const table = page.getByRole('region', { name: /^as-left against as-found/ });
    await table.waitFor();
    expect(await table.textContent()).toMatch(/Coulomb drag[\s\S]*changed/);
    expect(await page.getByRole('group', { name: /as-found and as-left/ }).count()).toBe(1);
    // as the server compares what is kept
    await page.getByRole('button', { name: 'Keep as as-left' }).click();
    await page.getByText('identifications/bowed-roller-helper.as-left.json').waitFor();
    const compared = await server.json<{ changes: { name: string; ratio: number }[] }>(
      '/api/compare',
      200,
      post({ earlier: 'bowed-roller-helper.as-found', later: 'bowed-roller-helper.as-left' }),
    );
    const ratio = compared.changes.find((c) => c.name === 'coulomb_Nm')?.ratio ?? Number.NaN;
    const shown = await table.locator('tr', { hasText: 'Coulomb' }).locator('td').nth(4).textContent();
    expect(Number(/^[\d.]+/.exec(shown ?? '')?.[0])).toBeCloseTo(ratio, 1);
  });

  test('opens as it was made, stretches taken out and all; without its recording as it was kept', async () => {
    const { server } = workbench;
    const { segments } = await server.json<{
      segments: { kind: string; used: boolean; from_s: number; to_s: number }[];
    }>('/api/identifications/dryer-can.as-found');
    const plateau = segments.filter((s) => s.kind === 'plateau' && s.used)[2];
    const { job } = await server.json<{ job: string }>(
      '/api/identifications',
      202,
      post({
        drive: 'dryer-can',
        recording: 'dryer-can.as-found',
        options: { exclude: [[plateau?.from_s, plateau?.to_s]] },
        store: true,
        visit: '2026-03-01',
      }),
    );
    await server.ended(job);
    const address = '/identify?drive=dryer-can&identification=identifications%2Fdryer-can.2026-03-01.json';
    const page = await workbench.open(address);
    await page.waitForURL(/[?&]out=/);
    await stretch(page, /left out: taken out by the user/).waitFor();
    const kept = await server.json<{ estimates: { inertia_kgm2: { value: number } } }>(
      '/api/identifications/dryer-can.2026-03-01',
    );
    expect(Number(await value(page, 'inertia').textContent())).toBeCloseTo(
      kept.estimates.inertia_kgm2.value,
      2,
    );

    renameSync(join(server.folder, 'exports/dryer-can.as-found.csv'), join(server.folder, 'away.csv'));
    const again = await workbench.open(address);
    await again.getByText(/which this result was made from, is not in the folder/).waitFor();
    expect(await value(again, 'inertia').textContent()).toBe(await value(page, 'inertia').textContent());
    renameSync(join(server.folder, 'away.csv'), join(server.folder, 'exports/dryer-can.as-found.csv'));
  });

  test('follows a part that was marked on the trend', async () => {
    const page = await workbench.open(path);
    await value(page, 'inertia').waitFor();
    const before = await page.locator('.headline').textContent();
    const area = page.locator('.trend-area');
    const box = await area.boundingBox();
    if (box === null) throw new Error('the trend is not there');
    await page.keyboard.down('Shift');
    await page.mouse.move(box.x + 0.62 * box.width, box.y + 40);
    await page.mouse.down();
    await page.mouse.move(box.x + 0.72 * box.width, box.y + 40, { steps: 5 });
    await page.mouse.up();
    await page.keyboard.up('Shift');
    await page.getByRole('button', { name: 'Take it out' }).click();
    await page.waitForURL(/[?&]out=/);
    await expect.poll(() => page.locator('.headline').textContent()).not.toBe(before);
    await page.getByRole('button', { name: 'Undo' }).click();
    await expect.poll(() => page.locator('.headline').textContent()).toBe(before);
  });
});

describe('a long computation', () => {
  test('goes on when the page is loaded anew, and can be cancelled', async () => {
    writeFileSync(join(workbench.server.folder, 'exports', 'winder.long.csv'), exportText(700));
    const page = await workbench.open('/identify?drive=winder&recording=winder.long');
    const bar = page.locator('.job');
    await bar.waitFor();
    const jobs: string[] = [];
    page.on('response', async (r) => {
      if (r.url().endsWith('/api/identifications') && r.request().method() === 'POST')
        jobs.push(((await r.json()) as { job: string }).job);
    });
    await page.reload();
    await value(page, 'inertia').waitFor({ timeout: 60_000 });
    expect(Number(await value(page, 'inertia').textContent())).toBeCloseTo(0.05, 3);
    const [job] = jobs;
    // what was found is the job that ran already: asked for once more it is the same one, and done
    expect((await workbench.server.json<{ state: string }>(`/api/jobs/${job}`)).state).toBe('done');

    // long enough that it can be cancelled in the middle, on any machine
    writeFileSync(join(workbench.server.folder, 'exports', 'winder.longer.csv'), exportText(4000));
    const other = await workbench.open('/identify?drive=winder&recording=winder.longer');
    await other.getByRole('button', { name: 'Cancel' }).click();
    await other.getByRole('button', { name: 'Identify again' }).waitFor();
    expect(await value(other, 'inertia').count()).toBe(0);
  }, 120_000);
});

test('the delay between channels is told, and the trend is drawn with it taken out', async () => {
  const page = await workbench.open(path);
  await value(page, 'inertia').waitFor();
  // the demonstration's speed columns are a few milliseconds late
  await expect.poll(() => page.locator('.trend-box').textContent()).toMatch(/drawn \d+(\.\d+)? ms earlier/);
  const table = page.locator('table', { hasText: 'Late by' });
  expect(await table.textContent()).toMatch(/Speed at the motor.*\d\.\d/);
});

test('a recording that is not there is said not to be; the ones that are can be chosen', async () => {
  const page = await workbench.open('/identify?drive=winder&recording=winder.gone');
  await page.getByRole('heading', { name: 'There is no recording winder.gone' }).waitFor();
  await page.getByRole('combobox', { name: /^Recording/ }).selectOption('winder.as-found');
  await value(page, 'inertia').waitFor();
});

test('on paper the trend is whole, with its stretches and the places of ramps and starts', async () => {
  const page = await workbench.open(path);
  await value(page, 'inertia').waitFor();
  await page.locator('.trend canvas').first().waitFor();
  await page.emulateMedia({ media: 'print' });
  // 190 mm at 96 a inch; the window is far wider
  const box = await page.locator('.trend-box').boundingBox();
  expect(box?.width).toBeLessThan((190 / 25.4) * 96);
  expect(box?.width).toBeGreaterThan(600);
  const last = await stretch(page, /^coast-down/)
    .last()
    .boundingBox();
  expect((last?.x ?? 0) + (last?.width ?? 0)).toBeLessThan((190 / 25.4) * 96);
  expect(last?.width).toBeGreaterThan(20);
  const pairs = page.getByRole('region', { name: 'Inertia by ramp pair', exact: true });
  expect(await pairs.locator('tbody td button').first().isVisible()).toBe(true);
  expect(await page.getByRole('button', { name: /^Keep as/ }).isVisible()).toBe(false);
});

test('a recording with the torque turned round is refused, and the remedy is one click away', async () => {
  const turned = exportText().replace(
    /^([\d.]+,[-\d.]+),([-\d.]+)$/gm,
    (_, before: string, torque: string) => `${before},${-Number(torque)}`,
  );
  writeFileSync(join(workbench.server.folder, 'exports', 'rider-roller.turned.csv'), turned);
  const page = await workbench.open('/identify?drive=rider-roller&recording=rider-roller.turned');
  await page.getByText('Refused by the data').waitFor();
  expect(await page.getByRole('button', { name: /^Keep as/ }).isDisabled()).toBe(true);
  await page.getByRole('button', { name: 'Turn the sign of the torque' }).click();
  await value(page, 'inertia').waitFor();
  // the truth of the invented recording
  expect(Number(await value(page, 'inertia').textContent())).toBeCloseTo(truth.inertia, 3);
  expect(new URL(page.url()).searchParams.get('torque')).toBe('turned');
  expect(await page.getByRole('checkbox', { name: 'Turn the sign of the torque' }).isChecked()).toBe(true);
});

describe('a drive without a file', () => {
  test('is made from its nameplate', async () => {
    const page = await workbench.open('/identify?drive=spare');
    await page.getByRole('heading', { name: 'There is no drive spare' }).waitFor();
    const form = page.getByRole('form', { name: 'New drive' });
    expect(await form.getByLabel('Name of its file').inputValue()).toBe('spare');
    await form.getByLabel('Rated motor torque').fill('12,5');
    await form.getByLabel('What it moves').selectOption('driven-idler');
    await form.getByRole('button', { name: 'Make the drive file' }).click();
    await page.getByRole('heading', { name: 'Nothing is recorded of spare yet' }).waitFor();
    const text = readFileSync(join(workbench.server.folder, 'drives/spare.yaml'), 'utf8');
    expect(text).toContain('rated_torque_Nm: 12.5');
    expect(text).toContain('element: driven-idler');
  });
});

test(
  'axe-core finds nothing, light and dark',
  () =>
    expectAccessible(workbench, path, async (page) => {
      await value(page, 'inertia').waitFor();
      await page.locator('.trend canvas').first().waitFor();
    }),
  60_000,
);
