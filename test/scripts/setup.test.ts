import { type ChildProcess, spawn } from 'node:child_process';
import {
  appendFileSync,
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { delimiter, dirname, join, resolve } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';

// The script in a clone of its own, with an npm and a compiler that only note that they were called: what is tested is when they are
// called and with which settings, not what npm does.
const script = resolve(import.meta.dirname, '../../scripts/setup.mjs');
let clone: string;
const at = (path: string): string => join(clone, path);

function write(path: string, text: string): void {
  mkdirSync(dirname(at(path)), { recursive: true });
  writeFileSync(at(path), text, { mode: 0o755 });
}

const calls = (): string[] =>
  existsSync(at('calls')) ? readFileSync(at('calls'), 'utf8').trim().split('\n') : [];

/** An npm that takes some time, then lays down a compiler. */
const npm = (milliseconds: number, exit = 0): string => `#!/usr/bin/env node
const { appendFileSync, mkdirSync, writeFileSync } = require('node:fs');
const own = Object.keys(process.env).filter((k) => /^npm_/i.test(k)).sort().join();
appendFileSync('calls', 'npm ' + process.argv.slice(2).join(' ') + ' [' + own + ']\\n');
setTimeout(() => {
  mkdirSync('node_modules/typescript/bin', { recursive: true });
  writeFileSync('node_modules/typescript/bin/tsc', \`
    const { appendFileSync, mkdirSync, writeFileSync } = require('node:fs');
    appendFileSync('calls', 'tsc ' + process.argv.slice(2).join(' ') + '\\\\n');
    mkdirSync('dist/cli', { recursive: true });
    writeFileSync('dist/cli/main.js', '');
    mkdirSync('build/demo', { recursive: true });
    writeFileSync('build/demo/make.js', 'require("node:fs").mkdirSync("demo/exports", { recursive: true })');
  \`);
  appendFileSync('calls', 'npm done\\n');
  process.exit(${exit});
}, ${milliseconds});
`;

function start(env: Record<string, string> = {}): {
  child: ChildProcess;
  ended: Promise<{ code: number | null; text: string }>;
} {
  const path = `${at('bin')}${delimiter}${process.env.PATH}`;
  const own = Object.fromEntries(Object.entries(process.env).filter(([k]) => !/^npm_/i.test(k)));
  const child = spawn(process.execPath, [at('scripts/setup.mjs')], { env: { ...own, PATH: path, ...env } });
  let text = '';
  child.stderr.on('data', (chunk) => (text += chunk));
  return { child, ended: new Promise((done) => child.on('close', (code) => done({ code, text }))) };
}
const setUp = (env?: Record<string, string>) => start(env).ended;

async function until(condition: () => boolean): Promise<void> {
  for (let waited = 0; !condition(); waited += 20) {
    if (waited > 10_000) throw new Error('waited for 10 s');
    await new Promise((done) => setTimeout(done, 20));
  }
}

beforeEach(() => {
  clone = mkdtempSync(join(tmpdir(), 'tautline-setup-'));
  mkdirSync(at('scripts'));
  write('package.json', '{}');
  copyFileSync(script, at('scripts/setup.mjs'));
  write('bin/npm', npm(0));
  for (const path of ['src/a.ts', 'demo/make.ts', 'demo/line.ts', 'test/support/plant/plant.ts'])
    write(path, '');
  for (const path of ['package-lock.json', 'tsconfig.base.json', 'tsconfig.json', 'demo/tsconfig.json'])
    write(path, '{}');
});
afterEach(() => rmSync(clone, { recursive: true, force: true }));

test('a bare clone gets packages, build and demo; the second time nothing is left to do', async () => {
  expect((await setUp()).code).toBe(0);
  expect(calls().map((c) => c.split(' [')[0])).toEqual([
    'npm ci --include=dev --no-audit --no-fund',
    'npm done',
    'tsc -b',
    'tsc -p demo',
  ]);
  const again = await setUp();
  expect(again).toEqual({ code: 0, text: '' });
  expect(calls()).toHaveLength(4);
  expect(readdirSync(at('build')).filter((name) => name.includes('lock'))).toEqual([]);
});

test('a changed source is built again, a changed lock file installed again', async () => {
  await setUp();
  appendFileSync(at('src/a.ts'), 'export {};');
  await setUp();
  expect(calls().slice(4)).toEqual(['tsc -b']);
  write('package-lock.json', '{ }');
  await setUp();
  expect(
    calls()
      .slice(5)
      .map((c) => c.split(' ')[0]),
  ).toEqual(['npm', 'npm', 'tsc', 'tsc']);
});

test('the outer npm hands down no setting but how to reach the registry', async () => {
  await setUp({
    npm_config_omit: 'dev',
    npm_config_registry: 'http://127.0.0.1:9/',
    npm_lifecycle_event: 'prestart',
    npm_package_name: 'tautline',
    npm_config_ignore_scripts: 'true',
  });
  expect(calls()[0]).toMatch(/ \[npm_config_registry\]$/);
});

test('a broken install is said, and repeated the next time', async () => {
  write('bin/npm', npm(0, 7));
  const broken = await setUp();
  expect(broken.code).toBe(2);
  expect(broken.text).toMatch(/installing packages.* failed \(7\)\nnext: /);
  expect(broken.text).not.toMatch(/\n\s+at /);
  expect(existsSync(at('build/.setup-lock'))).toBe(false);
  write('bin/npm', npm(0));
  expect((await setUp()).code).toBe(0);
  expect(calls().filter((c) => c.startsWith('npm ci'))).toHaveLength(2);
});

test('of two at once one works and the other waits', async () => {
  write('bin/npm', npm(500));
  const [a, b] = await Promise.all([setUp(), setUp()]);
  expect([a?.code, b?.code]).toEqual([0, 0]);
  expect(calls().filter((c) => c.startsWith('npm ci'))).toHaveLength(1);
  expect(`${a?.text}${b?.text}`).toContain('waiting for it');
});

test('after kill -9 the next one waits for the npm left behind, then takes over', async () => {
  write('bin/npm', npm(800));
  const { child, ended } = start();
  await until(
    () => calls().length > 0 && /^\d+ \d+$/.test(readFileSync(at('build/.setup-lock/pid'), 'utf8')),
  );
  child.kill('SIGKILL');
  await ended;
  const [a, b] = await Promise.all([setUp(), setUp()]);
  expect([a?.code, b?.code]).toEqual([0, 0]);
  const order = calls().map((c) => c.split(' ').slice(0, 2).join(' '));
  expect(order.slice(0, 4)).toEqual(['npm ci', 'npm done', 'npm ci', 'npm done']);
  expect(order.filter((c) => c === 'npm ci')).toHaveLength(2);
});
