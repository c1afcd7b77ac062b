// The workbench in a real browser: first view of the demonstration line once the server is up (goal: under 1 s), a drag of one of 60 rollers
// and of a schedule's handle (goals: 60 frames a second; under 50 ms a step), a stretch taken out of a recording until its result is drawn (goal:
// under 300 ms), and the size of the script (goal: under 250 kB before lazy parts).
// Needs Chromium (CHROMIUM, else /usr/bin/chromium) and a built program with its demonstration line (`npm run bench` sees to both but the browser).
import { spawn } from 'node:child_process';
import { cpSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { gzipSync } from 'node:zlib';
import { chromium } from 'playwright-core';

const root = resolve(import.meta.dirname, '..');
const executablePath = process.env.CHROMIUM ?? '/usr/bin/chromium';
if (!existsSync(executablePath)) {
  console.log(`left out: there is no Chromium at ${executablePath}; name one in CHROMIUM`);
  process.exit(0);
}
const middle = (values) => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)];
const summary = (values) => `median ${middle(values).toFixed(1)}, worst ${Math.max(...values).toFixed(1)} ms`;

const folder = mkdtempSync(join(tmpdir(), 'tautline-bench-'));
cpSync(join(root, 'demo'), folder, { recursive: true, filter: (path) => !/\.ts$|tsconfig/.test(path) });

async function serve() {
  const child = spawn(process.execPath, [join(root, 'dist/cli/main.js'), 'serve', folder]);
  const url = await new Promise((done) =>
    child.stdout.on('data', (chunk) => {
      const found = /http\S+/.exec(String(chunk));
      if (found) done(found[0]);
    }),
  );
  return { url, stop: () => child.kill() };
}

const browser = await chromium.launch({
  executablePath,
  args: [
    '--no-sandbox',
    '--disable-gpu',
    '--disable-quic',
    '--no-first-run',
    '--disable-background-networking',
  ],
});
const newPage = async () => (await browser.newContext({ viewport: { width: 1280, height: 720 } })).newPage();

// The first view: server just up, nothing asked of it yet, nothing in the browser's store.
const first = [];
for (let k = 0; k < 5; k++) {
  const server = await serve();
  const page = await newPage();
  const from = performance.now();
  await page.goto(server.url);
  await page.locator('table.grid tbody tr').first().waitFor();
  first.push(performance.now() - from);
  await page.context().close();
  server.stop();
}
console.log(`first view, server just up: ${summary(first)}`);

const server = await serve();
/** Drags something about in steps of one frame and tells how long each step took until it was drawn. */
async function dragged(page, selector, [dx, dy]) {
  const box = await page.locator(selector).boundingBox();
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.evaluate(() => {
    globalThis.frames = [];
    let last = performance.now();
    const next = (now) => {
      globalThis.frames.push(now - last);
      last = now;
      requestAnimationFrame(next);
    };
    requestAnimationFrame(next);
  });
  for (let k = 1; k <= 60; k++) await page.mouse.move(x + dx * Math.sin(k / 5), y + dy * Math.sin(k / 5));
  const frames = await page.evaluate(() => globalThis.frames);
  await page.mouse.up();
  return frames.slice(2);
}

const plot = await newPage();
await plot.goto(server.url);
await plot.goto(`${new URL(server.url).origin}/programs`);
await plot.locator('.plot .handle').first().waitFor();
console.log(
  `a schedule dragged, frame: ${summary(await dragged(plot, '[data-handle="tension end"]', [0, 15]))}`,
);

const identify = await newPage();
await identify.goto(server.url);
await identify.goto(`${new URL(server.url).origin}/identify?drive=winder`);
await identify.locator('.headline[aria-busy="false"]').waitFor();
/** Clicks a plateau that is used and tells how long it took until the numbers that follow from it were drawn. */
const takenOut = () =>
  identify.evaluate(async () => {
    const plateaus = [...document.querySelectorAll('.stretch.plateau:not(.hatched)')];
    const is = (busy) => document.querySelector('.headline')?.getAttribute('aria-busy') === String(busy);
    const until = (found) =>
      new Promise((done) => {
        const look = () => (found() ? requestAnimationFrame(done) : requestAnimationFrame(look));
        look();
      });
    const from = performance.now();
    plateaus[plateaus.length >> 1].click();
    await until(() => is(true));
    await until(() => is(false));
    return performance.now() - from;
  });
const taken = [];
for (let k = 0; k < 10; k++) {
  taken.push(await takenOut());
  await identify.waitForTimeout(300);
}
// the first ones are compiled while they run
console.log(`a stretch taken out of a recording, until its result is drawn: ${summary(taken.slice(2))}`);

const rollers = Array.from({ length: 58 }, (_, k) => ({
  name: `idler ${k}`,
  kind: 'idler',
  centre_m: [k, k % 2 === 0 ? 0.5 : 0],
  diameter_m: 0.16,
  turns: k % 2 === 0 ? 'clockwise' : 'counter-clockwise',
}));
const end = { diameter_m: 0.8, core_diameter_m: 0.1, full_diameter_m: 0.8 };
writeFileSync(
  join(folder, 'line.yaml'),
  JSON.stringify({
    schema: 'tautline/line@1',
    name: 'bench (invented)',
    invented: true,
    web_width_m: 1,
    speed: { top_m_per_s: 5, acceleration_m_per_s2: 0.5, stop_m_per_s2: 0.5 },
    sections: [
      {
        name: 'unwind',
        kind: 'unwind',
        centre_m: [-1, 0],
        ...end,
        turns: 'counter-clockwise',
        tension_N_per_m: 200,
      },
      ...rollers,
      {
        name: 'winder',
        kind: 'winder',
        type: 'centre',
        centre_m: [58.5, 0.5],
        ...end,
        turns: 'clockwise',
        tension_N_per_m: 200,
      },
    ],
  }),
);
const line = await newPage();
await line.goto(server.url);
await line.goto(`${new URL(server.url).origin}/line`);
await line.locator('[data-roller="idler 30"]').waitFor();
console.log(
  `one of 60 rollers dragged, frame: ${summary(await dragged(line, '[data-roller="idler 30"]', [4, 6]))}`,
);

const manifest = JSON.parse(readFileSync(join(root, 'dist/workbench/.vite/manifest.json'), 'utf8'));
const entry = Object.keys(manifest).find((key) => manifest[key].isEntry);
const needed = new Set();
const need = (key) => {
  if (needed.has(key)) return;
  needed.add(key);
  for (const other of manifest[key].imports ?? []) need(other);
};
need(entry);
const bytes = [...needed].reduce(
  (sum, key) => sum + gzipSync(readFileSync(join(root, 'dist/workbench', manifest[key].file))).length,
  0,
);
console.log(`script before lazy parts: ${(bytes / 1000).toFixed(1)} kB gzip`);

await browser.close();
server.stop();
rmSync(folder, { recursive: true, force: true });
