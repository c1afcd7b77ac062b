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
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { delimiter, dirname, join, resolve } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';

// The script in a clone of its own, with an npm and a compiler that only note that they were called: what is tested is when they are
// called and with which settings, not what npm does.
const script = resolve(import.meta.dirname, '../../scripts/setup.mjs');
const workbench = ['src/engine/a.ts', 'src/workbench/main.tsx', 'vite.workbench.config.ts'];
let clone: string;
const at = (path: string): string => join(clone, path);

function write(path: string, text: string): void {
  mkdirSync(dirname(at(path)), { recursive: true });
  writeFileSync(at(path), text, { mode: 0o755 });
}

const calls = (): string[] =>
  existsSync(at('calls')) ? readFileSync(at('calls'), 'utf8').trim().split('\n') : [];

/** An npm that takes some time, then lays down the tools. */
const npm = (milliseconds: number, exit = 0): string => `#!/usr/bin/env node
const { appendFileSync, cpSync } = require('node:fs');
const own = Object.keys(process.env).filter((k) => /^npm_/i.test(k)).sort().join();
appendFileSync('calls', 'npm ' + process.argv.slice(2).join(' ') + ' [' + own + ']\\n');
setTimeout(() => {
  cpSync('tools', 'node_modules', { recursive: true });
  appendFileSync('calls', 'npm done\\n');
  process.exit(${exit});
}, ${milliseconds});
`;

/** A tool that notes how it was called and writes what the real one would have made. */
const tool = (name: string, made: Record<string, string>): string => `
const { appendFileSync, mkdirSync, writeFileSync } = require('node:fs');
const { dirname } = require('node:path');
appendFileSync('calls', ['${name}', ...process.argv.slice(2)].join(' ') + '\\n');
for (const [path, text] of Object.entries(${JSON.stringify(made)})) {
  mkdirSync(dirname(path), { recursive: true });
  writeFileSync(path, text);
}
`;
const main = tool('tautline', {});
const compiler = tool('tsc', {
  'dist/cli/main.js': `${main}console.log('{}');`,
  'build/demo/make.js': 'require("node:fs").mkdirSync("demo/exports", { recursive: true })',
});
const bundler = tool('vite', { 'dist/workbench/index.html': '' });

const aptGet = `#!/usr/bin/env node
require('node:fs').appendFileSync('calls', ['apt-get', ...process.argv.slice(2)].join(' ') + '\\n');
if (process.argv[2] === 'install') require('node:fs').writeFileSync('bin/chromium', '');
`;

/** Folders in which there is Node, what the clone has, and nothing else. */
function onlyNode(): string {
  mkdirSync(at('node-only'), { recursive: true });
  if (!existsSync(at('node-only/node'))) symlinkSync(process.execPath, at('node-only/node'));
  return [at('bin'), at('node-only')].join(delimiter);
}

function start(
  env: Record<string, string> = {},
  args: readonly string[] = [],
): {
  child: ChildProcess;
  ended: Promise<{ code: number | null; text: string }>;
} {
  const path = `${at('bin')}${delimiter}${process.env.PATH}`;
  const own = Object.fromEntries(Object.entries(process.env).filter(([k]) => !/^npm_/i.test(k)));
  const child = spawn(process.execPath, [at('scripts/setup.mjs'), ...args], {
    env: { ...own, PATH: path, ...env },
  });
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
  write('tools/typescript/bin/tsc', compiler);
  write('tools/vite/bin/vite.js', bundler);
  for (const path of [
    'src/a.ts',
    'demo/make.ts',
    'demo/line.ts',
    'test/support/plant/plant.ts',
    ...workbench,
  ])
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
    'vite build --config vite.workbench.config.ts --logLevel warn',
    'tsc -p demo',
    ...['unwind', 'pull-roll', 'dryer-can'].map(
      (drive) =>
        `tautline identify demo/exports/${drive}.as-found.csv --drive demo/drives/${drive}.yaml --json`,
    ),
  ]);
  expect(readFileSync(at('demo/identifications/unwind.as-found.json'), 'utf8')).toBe('{}\n');
  const again = await setUp();
  expect(again).toEqual({ code: 0, text: '' });
  expect(calls()).toHaveLength(8);
  expect(readdirSync(at('build')).filter((name) => name.includes('lock'))).toEqual([]);
});

test('a changed source is built again, a changed lock file installed again', async () => {
  await setUp();
  appendFileSync(at('src/a.ts'), 'export {};');
  await setUp();
  expect(calls().slice(8)).toEqual(['tsc -b']);
  appendFileSync(at('src/workbench/main.tsx'), 'export {};');
  await setUp();
  expect(calls().slice(9)).toEqual(['tsc -b', expect.stringMatching(/^vite build/)]);
  write('package-lock.json', '{ }');
  await setUp();
  expect(
    calls()
      .slice(11)
      .map((c) => c.split(' ')[0]),
  ).toEqual(['npm', 'npm', 'tsc', 'vite', 'tsc']);
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

test('what was made of the demo line by hand is not touched again', async () => {
  await setUp();
  rmSync(at('demo/identifications/unwind.as-found.json'));
  write('package-lock.json', '{ }');
  await setUp();
  expect(existsSync(at('demo/identifications/unwind.as-found.json'))).toBe(false);
});

describe('a browser, for the tests', () => {
  const setUpTests = (env: Record<string, string>) => start(env, ['--browser']).ended;

  test('is installed where that is possible', async () => {
    write('bin/apt-get', aptGet);
    const { code } = await setUpTests({ PATH: onlyNode() });
    // without the rights to install, the same as without a package manager
    if (process.getuid?.() !== 0) expect(code).toBe(2);
    else {
      expect(code).toBe(0);
      expect(calls().slice(-2)).toEqual([
        'apt-get update -q',
        'apt-get install -qy --no-install-recommends chromium',
      ]);
      expect(await setUpTests({ PATH: onlyNode() })).toEqual({ code: 0, text: '' });
    }
  });

  test('that cannot be had is said, with what to do', async () => {
    const { code, text } = await setUpTests({ PATH: onlyNode() });
    expect(code).toBe(2);
    expect(text).toMatch(/need Chromium.*\nnext: install Chromium, or name one in .*CHROMIUM/);
  });

  test('can be named, and has to be there then', async () => {
    expect((await setUpTests({ PATH: onlyNode(), CHROMIUM: process.execPath })).code).toBe(0);
    const { code, text } = await setUpTests({ PATH: onlyNode(), CHROMIUM: '/nowhere/chromium' });
    expect(code).toBe(2);
    expect(text).toContain('CHROMIUM is /nowhere/chromium, which is not there');
  });
});
