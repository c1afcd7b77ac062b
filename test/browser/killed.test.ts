import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { parse } from 'yaml';
import { served } from '../server/support.js';
import { demoFolder, startWorkbench, type Workbench } from './support.js';

// The server as a process of its own, so that it can be killed; the browser of the other tests.
let workbench: Workbench;
let folder: string;
let home: string;
beforeAll(async () => {
  workbench = await startWorkbench();
  folder = demoFolder();
  home = mkdtempSync(join(tmpdir(), 'tautline-home-'));
}, 120_000);
afterAll(async () => {
  await workbench.stop();
  for (const path of [folder, home]) rmSync(path, { recursive: true, force: true });
});

const height = (): number => {
  const { sections } = parse(readFileSync(join(folder, 'line.yaml'), 'utf8')) as {
    sections: { name: string; centre_m: [number, number] }[];
  };
  return sections.find((s) => s.name === 'idler 1')?.centre_m[1] ?? Number.NaN;
};

test('killed again and again while a page saves: the file is whole, the page goes on by itself, nothing is lost', async () => {
  let server = await served(folder, home);
  const { port } = new URL(server.origin);
  const page = await (await workbench.browser.newContext()).newPage();
  await page.goto(server.url as string);
  await page.goto(`${server.origin}/line?section=idler+1`);
  const y = page.getByLabel('Centre, y');
  await y.waitFor();
  for (let k = 1; k <= 3; k++) {
    const wanted = 1.5 + k / 1000;
    await y.fill(String(wanted));
    await y.press('Enter');
    // the kill meets the save at another moment each time
    const saving = page.keyboard.press('Control+s');
    await page.waitForTimeout(8 * (k - 1));
    await server.end('SIGKILL');
    await saving;
    await page.locator('.offline').waitFor();
    expect([1.6, wanted - 0.001, wanted]).toContainEqual(expect.closeTo(height(), 9));
    server = await served(folder, home, ['--port', port]);
    await page.locator('.offline').waitFor({ state: 'hidden' });
    // what was typed is still here; it is saved now, if it was not before
    expect(Number(await y.inputValue())).toBeCloseTo(wanted, 9);
    await expect
      .poll(
        async () => {
          await page.keyboard.press('Control+s');
          return height();
        },
        { timeout: 10_000 },
      )
      .toBeCloseTo(wanted, 9);
    await page.getByText('As on disk').waitFor();
  }
  await page.context().close();
  await server.end('SIGTERM');
});
