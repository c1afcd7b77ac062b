import { execFileSync } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core';
import { expect } from 'vitest';
import { startServer, type TestServer } from '../server/support.js';

// A real Chromium on a real server with a folder of its own. One browser a test file, one window (context) a visitor.
const root = resolve(import.meta.dirname, '../..');

export interface Workbench {
  readonly server: TestServer;
  readonly browser: Browser;
  /** A page at an address, signed in, in a window of its own. */
  open(path?: string, options?: Parameters<Browser['newContext']>[0]): Promise<Page>;
  stop(): Promise<void>;
}

let isBuilt = false;

/** A copy of a demonstration line as `npm start` opens it: everything recorded, half of it identified. */
export function demoFolder(demo = 'demo'): string {
  const folder = mkdtempSync(join(tmpdir(), 'tautline-workbench-'));
  cpSync(join(root, demo), folder, {
    recursive: true,
    filter: (path) => !/\.tautline$|\.ts$|tsconfig\.json$/.test(path),
  });
  return folder;
}

/** The built workbench on a folder, the demonstration line where none is stated, and a browser. Errors in a page fail the test that opened it, at {@link Workbench.stop} at the latest. */
export async function startWorkbench(options: Parameters<typeof startServer>[0] = {}): Promise<Workbench> {
  // does nothing when everything is built from the sources as they are
  if (!isBuilt) execFileSync(process.execPath, [join(root, 'scripts/setup.mjs')], { stdio: 'pipe' });
  isBuilt = true;
  const server = await startServer({ folder: demoFolder(), ...options });
  const browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: [
      '--no-sandbox',
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
    ],
  });
  const faults: string[] = [];
  const windows: BrowserContext[] = [];
  const open: Workbench['open'] = async (path = '/', contextOptions = {}) => {
    const context = await browser.newContext({ viewport: { width: 1280, height: 720 }, ...contextOptions });
    windows.push(context);
    const page = await context.newPage();
    page.on('pageerror', (error) => faults.push(`${page.url()}: ${error.message}`));
    // what the content policy refuses is told here
    page.on('console', (message) => {
      if (message.type() === 'error' && !message.text().startsWith('Failed to load resource'))
        faults.push(`${page.url()}: ${message.text()}`);
    });
    await page.goto(server.url);
    if (path !== '/') await page.goto(new URL(path, server.url).href);
    return page;
  };
  return {
    server,
    browser,
    open,
    stop: async () => {
      for (const window of windows) await window.close();
      await browser.close();
      await server.stop();
      expect(faults).toEqual([]);
    },
  };
}

const axeFile = createRequire(import.meta.url).resolve('axe-core/axe.min.js');

/** What axe-core finds wrong in a page as it stands: rule and places. */
export async function axeViolations(page: Page): Promise<string[]> {
  // set by the test's own means: the content policy of the page refuses a script from elsewhere
  await page.evaluate(readFileSync(axeFile, 'utf8'));
  return page.evaluate(async () => {
    const { axe } = globalThis as unknown as {
      axe: {
        run(): Promise<{
          violations: { id: string; nodes: { target: string[]; failureSummary: string }[] }[];
        }>;
      };
    };
    const { violations } = await axe.run();
    return violations.flatMap((v) =>
      v.nodes.map((n) => `${v.id}: ${n.target.join(' ')} ${n.failureSummary}`),
    );
  });
}

/** A view in light and in dark: axe-core finds nothing in either. `isThere` waits until it shows what it has. */
export async function expectAccessible(
  workbench: Workbench,
  path: string,
  isThere: (page: Page) => Promise<unknown>,
): Promise<void> {
  for (const colorScheme of ['light', 'dark'] as const) {
    const page = await workbench.open(path, { colorScheme });
    await isThere(page);
    expect(await axeViolations(page), `${path}, ${colorScheme}`).toEqual([]);
    await page.context().close();
  }
}

/** A picture of a view for the README, written only when asked for: PICTURES=1 npm test -- test/browser. */
export async function keepPicture(page: Page, name: string): Promise<void> {
  if (process.env.PICTURES === undefined) return;
  await page.screenshot({ path: join(root, 'docs/images', `workbench-${name}.png`) });
}
