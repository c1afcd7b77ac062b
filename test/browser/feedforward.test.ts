import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { FeedForwardDocument } from '../../src/engine/project/feedforward.js';
import type { PlayedDocument } from '../../src/engine/project/feedforwardPlay.js';
import { expectAccessible, keepPicture, startWorkbench, type Workbench } from './support.js';

let workbench: Workbench;
beforeAll(async () => {
  workbench = await startWorkbench();
}, 120_000);
afterAll(() => workbench.stop());

const path = '/feed-forward?drive=pull-roll&identification=identifications%2Fpull-roll.as-found.json';
const result = '/api/identifications/pull-roll.as-found/feedforward';
const tableRows = (page: Page) => page.getByRole('region', { name: /^Values to enter/ }).locator('tbody tr');
const played = (page: Page) => page.getByRole('region', { name: /^What the web would have felt/ });
const rowsAt = async (tolerance: number): Promise<number> =>
  (
    await workbench.server.json<FeedForwardDocument & Record<string, unknown>>(
      `${result}?tolerance=${tolerance}`,
    )
  ).rows.length;

describe('table and curve', () => {
  test('follow the slider without asking the server; the address keeps its place', async () => {
    const page = await workbench.open(path);
    await tableRows(page).first().waitFor();
    await played(page).waitFor();
    const before = await rowsAt(0.01);
    expect(await tableRows(page).count()).toBe(before);
    const asked: string[] = [];
    page.on('request', (r) => asked.push(new URL(r.url()).pathname));
    const slider = page.getByRole('slider', { name: 'Straight-line error allowed' });
    await slider.focus();
    for (let k = 0; k < 15; k++) await page.keyboard.press('ArrowLeft');
    await page.waitForFunction(
      (n) => document.querySelectorAll('.columns table tbody')[0]!.children.length > n,
      before,
    );
    await page.waitForURL(/tolerance=/);
    const tolerance = Number(new URL(page.url()).searchParams.get('tolerance'));
    expect(tolerance).toBeLessThan(0.01);
    expect(await tableRows(page).count()).toBe(await rowsAt(tolerance));
    // only the recording is played anew, when the slider rests
    expect(new Set(asked.filter((a) => a.startsWith('/api/')))).toEqual(new Set([`${result}/play`]));
    await page.reload();
    await tableRows(page).first().waitFor();
    expect(await tableRows(page).count()).toBe(await rowsAt(tolerance));
  });

  test('in N·m and in % of rated, by choice and by address', async () => {
    const page = await workbench.open(path);
    await page.getByRole('radio', { name: '% of rated' }).check();
    await page.waitForURL(/unit=percent/);
    const head = page.getByRole('region', { name: /^Values to enter.* in % of rated/ }).locator('thead');
    expect(await head.textContent()).toContain('Drag %');
    const document = await workbench.server.json<FeedForwardDocument & Record<string, unknown>>(result);
    const last = tableRows(page).last().locator('td').nth(2);
    expect(Number(await last.textContent())).toBeCloseTo(document.rows.at(-1)!.torque_percent!, 2);
    await page.getByRole('radio', { name: 'N·m' }).check();
    await page.waitForFunction(() => !location.search.includes('unit='));
  });

  test('the torque for a change of speed comes with it, and a limit that it breaks is told', async () => {
    const page = await workbench.open(path);
    await page.getByLabel('Change of speed').fill('20');
    await page.keyboard.press('Enter');
    await page.getByText(/^(While speeding up|At the start).* the feed-forward asks for/).waitFor();
    expect(new URL(page.url()).searchParams.get('acceleration')).toBe('20');
  });

  test('are copied as one table for the drive’s program', async () => {
    const page = await workbench.open(path, { permissions: ['clipboard-read', 'clipboard-write'] });
    await page.getByRole('button', { name: 'Copy all with the table' }).click();
    await page.getByRole('button', { name: 'Copied' }).waitFor();
    const lines = (await page.evaluate(() => navigator.clipboard.readText())).split('\n');
    expect(lines.find((l) => l.startsWith('Inertia at the motor shaft'))?.split('\t')).toEqual([
      'Inertia at the motor shaft',
      expect.stringMatching(/^0\.1/),
      expect.stringMatching(/^0\.0/),
      'kg·m²',
    ]);
    expect(
      lines.find((l) => l.startsWith('Motor speed [rad/s]\tWeb speed [m/min]\tDrag [N·m]')),
    ).toBeDefined();
  });

  test('formulas come when they are asked for, with their source', async () => {
    const page = await workbench.open(path);
    await page.getByRole('button', { name: 'Formulas' }).click();
    await page.locator('.katex').first().waitFor();
    await page.getByText(/h after JCGM 100/).waitFor();
  });

  test('SVG and CSV of the curve', async () => {
    const page = await workbench.open(path);
    const curve = page.getByRole('region', { name: 'Table and curve' });
    const save = async (name: string): Promise<string> => {
      const waiting = page.waitForEvent('download');
      await curve.getByRole('button', { name }).click();
      return readFileSync(await (await waiting).path(), 'utf8');
    };
    expect(await save('Save as SVG')).toMatch(/^<svg[^>]*>[\s\S]*drag law/);
    const csv = await save('Save data as CSV');
    expect(csv).toContain('Torque at motor, T: drag law [N·m]');
    expect(csv.split('\r\n').length).toBeGreaterThan(120);
  });
});

describe('a recording played through it', () => {
  test('shows what the server states, and a stretch on its own', async () => {
    const page = await workbench.open(path);
    await played(page).waitFor();
    const { summary, forcePerTorque_per_m } = await workbench.server.json<
      PlayedDocument & Record<string, unknown>
    >(`${result}/play?recording=pull-roll.as-found&tolerance=0.01`);
    const rows = played(page).locator('tbody tr');
    expect(await rows.count()).toBe(summary.length);
    for (const [k, s] of summary.entries()) {
      const cells = await rows.nth(k).locator('td').allTextContents();
      expect(cells[0]).toMatch(new RegExp(`^${s.count} × `));
      expect(Number(cells[2])).toBeCloseTo(
        Number((s.without.peak_Nm * forcePerTorque_per_m!).toPrecision(3)),
        6,
      );
      expect(Number(cells[5])).toBeCloseTo(Number((s.with.rms_Nm * forcePerTorque_per_m!).toPrecision(3)), 6);
    }
    // the web would have felt a tenth of it at most, in all that is not a start
    for (const s of summary.filter((x) => x.kind === 'ramp' || x.kind === 'running'))
      expect(s.with.rms_Nm).toBeLessThan(0.1 * s.without.rms_Nm);
    const plot = page.getByRole('group', { name: /^What the web would have felt/ });
    expect(await plot.locator('path.line.reference').count()).toBeGreaterThan(0);
    expect(await plot.locator('path.line.model.tension').count()).toBeGreaterThan(0);
    await page.getByText(/made from this very recording/).waitFor();
    await keepPicture(page, 'feed-forward');
    // the cursor by keys, and the stretch under it
    await plot.focus();
    await page.keyboard.press('End');
    await page.getByText(/Time, t \[s\]: 16/).waitFor();
    for (let k = 0; k < 5; k++) await page.keyboard.press('ArrowLeft');
    await page.keyboard.press('Enter');
    await page.waitForURL(/from=.*to=/);
    await page.getByRole('button', { name: 'Whole recording' }).click();
    await page.waitForFunction(() => !location.search.includes('from='));
  });

  test('another recording, and one that cannot be played, with its next step', async () => {
    const page = await workbench.open(`${path}&recording=nothing`);
    await page.getByText(/there is no recording nothing/i).waitFor();
    await page.getByText(/^Next: ask for a recording/).waitFor();
  });

  test('a turned torque is told', async () => {
    const page = await workbench.open(path);
    await played(page).waitFor();
    await page.getByLabel('Turn the sign of the torque').check();
    await page.getByText(/opposite sign of what motion and drag ask for/).waitFor();
    await page.waitForURL(/torque=turned/);
  });
});

describe('when there is nothing to show, or it no longer holds', () => {
  test('a drive that is not identified says why, and what to do', async () => {
    const page = await workbench.open('/feed-forward?drive=winder');
    await page.getByRole('heading', { name: 'Nothing is known of winder yet' }).waitFor();
    await page.getByText(/recorded and not identified yet/).waitFor();
    await page.getByText(/Next: /).waitFor();
  });

  test('a roll has torques and no web force, and says so', async () => {
    const page = await workbench.open('/feed-forward?drive=unwind');
    await page.getByText(/not stated as force: the drive file gives no roller_diameter_m/).waitFor();
    await page.getByText(/as torque at the motor: the drive file gives no roller diameter/).waitFor();
  });

  test('a changed drive file makes it stale, while it is looked at', async () => {
    const page = await workbench.open('/feed-forward?drive=dryer-can');
    await tableRows(page).first().waitFor();
    expect(await page.getByText(/No longer holds/).count()).toBe(0);
    const file = join(workbench.server.folder, 'drives/dryer-can.yaml');
    const text = readFileSync(file, 'utf8');
    expect(text).toMatch(/gear_ratio: 18/);
    writeFileSync(file, text.replace('gear_ratio: 18', 'gear_ratio: 17'));
    await page.getByText(/No longer holds: drives\/dryer-can.yaml: gear_ratio was 18, is 17/).waitFor();
    writeFileSync(file, text);
    await page.getByText(/No longer holds/).waitFor({ state: 'detached' });
  });

  test('the board leads here', async () => {
    const page = await workbench.open('/');
    await page.getByRole('link', { name: 'Feed-forward' }).click();
    await page.getByRole('heading', { name: 'Feed-forward', level: 1 }).waitFor();
    await tableRows(page).first().waitFor();
  });
});

test('axe-core finds nothing, light and dark', async () => {
  await expectAccessible(workbench, `${path}&acceleration=0.5`, async (page) => {
    await played(page).waitFor();
    await page.getByText('stretches, one by one').click();
  });
  await expectAccessible(workbench, '/feed-forward?drive=winder', (page) =>
    page.getByRole('heading', { name: 'Nothing is known of winder yet' }).waitFor(),
  );
});
