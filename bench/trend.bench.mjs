// The trend of a recording of 10 million samples x 10 channels in a real browser. Goals: first draw in under 500 ms once it is ready, a frame
// every 18 ms or better while it is panned. The browser draws without a graphics card here, so frames are slower than on a usual laptop.
// BENCH_ROWS for fewer rows. Needs Chromium (CHROMIUM, else /usr/bin/chromium) and a built program with its demonstration line.
import { cpSync, existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { DuckDBInstance } from '@duckdb/node-api';
import { chromium } from 'playwright-core';
import { startServer } from '../dist/server/startServer.js';

const root = resolve(import.meta.dirname, '..');
const executablePath = process.env.CHROMIUM ?? '/usr/bin/chromium';
if (!existsSync(executablePath)) {
  console.log(`left out: there is no Chromium at ${executablePath}; name one in CHROMIUM`);
  process.exit(0);
}
const rows = Number(process.env.BENCH_ROWS ?? 10_000_000);
const folder = mkdtempSync(join(tmpdir(), 'tautline-bench-'));
cpSync(join(root, 'demo'), folder, {
  recursive: true,
  filter: (path) => !/\.ts$|tsconfig|\.tautline/.test(path),
});

const at = (values, share) => [...values].sort((a, b) => a - b)[Math.floor(share * (values.length - 1))];
const summary = (values) =>
  `median ${at(values, 0.5).toFixed(1)}, 95 % under ${at(values, 0.95).toFixed(1)}, worst ${Math.max(...values).toFixed(1)} ms of ${values.length}`;

const channels = ['Speed act [rpm]', 'Speed set [rpm]', 'Torque act [N.m]', 'Tension [N]', 'Diameter [mm]'];
const others = ['Temp 1 [°C]', 'Temp 2 [°C]', 'Current limit [A]', 'Pressure [bar]', 'Oven [°C]'];
const database = await DuckDBInstance.create(':memory:');
const connection = await database.connect();
await connection.run(
  `COPY (SELECT r / 1000.0 AS "Time [s]", ${[...channels, ...others]
    .map((c, k) => `${100 * (k + 1)} + ${10 * (k + 1)} * sin(r / ${7000 * (k + 1)}.0) + random() AS "${c}"`)
    .join(
      ', ',
    )} FROM range(${rows}) t(r)) TO '${join(folder, 'exports', 'winder.long.parquet')}' (FORMAT parquet)`,
);
connection.closeSync();

const server = await startServer({ folder, programVersion: 'bench' });
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
try {
  const from = performance.now();
  const ready = await fetch(`http://127.0.0.1:${server.port}/api/recordings/winder.long`, {
    headers: { authorization: `Bearer ${server.token}` },
  });
  if (!ready.ok) throw new Error(await ready.text());
  const { columns } = await ready.json();
  console.log(
    `${rows} samples x ${columns.length} columns made ready: ${((performance.now() - from) / 1000).toFixed(1)} s (once)`,
  );

  const context = await browser.newContext({ viewport: { width: 1280, height: 720 } });
  // what is drawn, and how long a frame's own work takes, seen from outside
  await context.addInitScript(() => {
    globalThis.fills = [];
    globalThis.work = [];
    const { fill } = CanvasRenderingContext2D.prototype;
    CanvasRenderingContext2D.prototype.fill = function (...args) {
      globalThis.fills.push(performance.now());
      return fill.apply(this, args);
    };
    const frame = globalThis.requestAnimationFrame.bind(globalThis);
    globalThis.requestAnimationFrame = (act) =>
      frame((now) => {
        const begun = performance.now();
        act(now);
        // uPlot draws in a microtask behind the frame's callback
        queueMicrotask(() => queueMicrotask(() => globalThis.work.push(performance.now() - begun)));
      });
  });
  const page = await context.newPage();
  await page.goto(server.url);
  const shown = columns.filter((c) => c.kind === 'number' && c.role !== 'time');
  const link = (file) =>
    `/recordings?${new URLSearchParams([['recording', file], ...(file.includes('long') ? shown.map((c) => ['channel', c.role ?? c.header]) : [])])}`;

  const first = [];
  for (let k = 0; k < 5; k++) {
    await page.goto(new URL('/recordings?recording=exports/unwind.as-found.csv', server.url).href);
    await page.locator('.trend-area').waitFor();
    first.push(
      await page.evaluate(
        ({ address, count }) =>
          new Promise((done) => {
            globalThis.fills = [];
            const begun = performance.now();
            history.pushState(null, '', address);
            const look = () => {
              if (globalThis.fills.length >= count) done(globalThis.fills[count - 1] - begun);
              else setTimeout(look, 2);
            };
            look();
          }),
        { address: link('exports/winder.long.parquet'), count: shown.length },
      ),
    );
  }
  console.log(`first draw, ${shown.length} channels, from another recording: ${summary(first)}`);

  for (const [name, share] of [
    ['a tenth', 0.1],
    ['one second', 1000 / rows],
  ]) {
    const length = (rows / 1000) * share;
    const start = 0.4 * (rows / 1000);
    await page.goto(
      new URL(`${link('exports/winder.long.parquet')}&from=${start}&to=${start + length}`, server.url).href,
    );
    await page.locator('.trend-area').waitFor();
    await page.waitForTimeout(1500);
    const box = await page.locator('.trend-area').boundingBox();
    const [x, y] = [box.x + box.width / 2, box.y + 40];
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.evaluate(() => {
      globalThis.work = [];
      globalThis.frames = [];
      globalThis.isPanning = true;
      let last;
      const next = (now) => {
        if (last !== undefined) globalThis.frames.push(now - last);
        last = now;
        if (globalThis.isPanning) requestAnimationFrame(next);
      };
      requestAnimationFrame(next);
    });
    for (let k = 1; k <= 120; k++) await page.mouse.move(x - 4 * k + 300 * Math.sin(k / 9), y);
    const { frames, work } = await page.evaluate(() => {
      globalThis.isPanning = false;
      return { frames: globalThis.frames, work: globalThis.work.filter((ms) => ms > 0.3) };
    });
    await page.mouse.up();
    console.log(
      `panning over ${name}, frame to frame: ${summary(frames)}; work of a frame: ${summary(work)}`,
    );
  }
} finally {
  await browser.close();
  await server.close();
  rmSync(folder, { recursive: true, force: true });
}
