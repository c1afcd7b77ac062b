// Makes a fresh clone ready: checks Node, installs what is missing, builds what changed. Built-in modules only, since it
// runs before anything is installed. Used by `npm start` (prestart) and `npm test` (pretest).
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const at = (...parts) => join(root, ...parts);

function fail(message, next) {
  console.error(`set-up: ${message}\nnext: ${next}`);
  process.exit(2);
}

const [major] = process.versions.node.split('.').map(Number);
if (major < 20) fail(`Node ${process.versions.node} is too old`, 'install Node 20 or newer');

// Two commands at once on a bare clone would install over each other: a folder is a lock that every system makes atomically.
const lock = at('.setup-lock');
function takeLock() {
  for (let waited = 0; ; waited++) {
    try {
      mkdirSync(lock);
      writeFileSync(join(lock, 'pid'), String(process.pid));
      return;
    } catch (error) {
      if (error.code !== 'EEXIST')
        fail(`${root} is not writable (${error.code})`, 'clone into a folder of your own');
      if (ownerIsGone()) rmSync(lock, { recursive: true, force: true });
      else if (waited === 0) console.error('set-up: another set-up is running here; waiting for it');
      if (waited > 600) fail('another set-up has been running for 10 minutes', `remove ${lock} if none is`);
      Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 1000);
    }
  }
}
function ownerIsGone() {
  try {
    process.kill(Number(readFileSync(join(lock, 'pid'), 'utf8')), 0);
    return false;
  } catch (error) {
    // Without a pid file the owner is just starting, or died at once: after a while it is gone.
    if (error.code === 'ENOENT') return existsSync(lock) && Date.now() - statSync(lock).mtimeMs > 30_000;
    return error.code === 'ESRCH';
  }
}

// The outer npm's own settings would steer the inner one: only registry and cache may pass.
function cleanEnvironment() {
  const keep =
    /^npm_config_(registry|cache|proxy|https_proxy|noproxy|cafile|userconfig|globalconfig|nodedir)$/i;
  return Object.fromEntries(Object.entries(process.env).filter(([k]) => !/^npm_/i.test(k) || keep.test(k)));
}

function run(command, args, what) {
  const result = spawnSync(command, args, {
    cwd: root,
    stdio: 'inherit',
    env: cleanEnvironment(),
    shell: process.platform === 'win32',
  });
  if (result.status !== 0) {
    rmSync(lock, { recursive: true, force: true });
    fail(`${what} failed`, 'read the lines above; then run the command again');
  }
}

function install() {
  const stamp = at('node_modules', '.tautline-stamp');
  const wanted = createHash('sha256')
    .update(readFileSync(at('package-lock.json')))
    .update(process.version)
    .digest('hex');
  if (existsSync(stamp) && readFileSync(stamp, 'utf8') === wanted) return;
  console.error('set-up: installing dependencies (once)');
  run('npm', ['ci', '--include=dev', '--no-audit', '--no-fund'], 'npm ci');
  // Written last, so that a broken install repeats.
  writeFileSync(stamp, wanted);
}

function newest(folder) {
  let time = 0;
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    const path = join(folder, entry.name);
    time = Math.max(time, entry.isDirectory() ? newest(path) : statSync(path).mtimeMs);
  }
  return time;
}

function build() {
  const stamp = at('dist', '.built');
  const sources = Math.max(newest(at('src')), statSync(at('tsconfig.base.json')).mtimeMs);
  if (existsSync(stamp) && statSync(stamp).mtimeMs > sources && existsSync(at('dist', 'cli', 'main.js')))
    return;
  console.error('set-up: building');
  run(process.execPath, [at('node_modules', 'typescript', 'bin', 'tsc'), '-b'], 'the build');
  writeFileSync(stamp, '');
}

function demo() {
  const truth = at('demo', 'truth.json');
  const sources = Math.max(newest(at('test', 'support', 'plant')), statSync(at('demo', 'make.ts')).mtimeMs);
  const exportsFolder = at('demo', 'exports');
  if (
    existsSync(truth) &&
    existsSync(exportsFolder) &&
    readdirSync(exportsFolder).length > 0 &&
    newest(exportsFolder) > sources
  )
    return;
  console.error('set-up: recording the invented demo line');
  run(process.execPath, [at('node_modules', 'typescript', 'bin', 'tsc'), '-p', 'demo'], 'compiling the demo');
  run(process.execPath, [at('build', 'demo', 'make.js')], 'the demo');
}

takeLock();
try {
  install();
  build();
  demo();
} finally {
  rmSync(lock, { recursive: true, force: true });
}
