// Makes a fresh clone ready: checks Node, installs what is missing, builds what changed, records the invented demo and does half of its
// job. Built-in modules only, since it runs before anything is installed. Used by `npm start` (prestart) and `npm test` (pretest, which
// asks for a browser too).
import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  closeSync,
  existsSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { delimiter, dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const at = (...parts) => join(root, ...parts);

class SetupError extends Error {
  constructor(message, next) {
    super(message);
    this.next = next;
  }
}

function checkNode() {
  if (Number(process.versions.node.split('.')[0]) < 20)
    throw new SetupError(`Node ${process.versions.node} is too old`, 'install Node 20 or newer');
}

// Two commands at once on a bare clone would install over each other: making a folder is atomic on every system, so it is the lock.
const lock = at('build', '.setup-lock');
const lockOwner = join(lock, 'pid');

function takeLock() {
  for (let waited = 0; ; waited++) {
    try {
      mkdirSync(dirname(lock), { recursive: true });
      mkdirSync(lock);
      writeFileSync(lockOwner, String(process.pid));
      return;
    } catch (error) {
      if (error.code !== 'EEXIST')
        throw new SetupError(
          `${root} cannot be written to (${error.code})`,
          'clone into a folder of your own',
        );
    }
    if (waited === 0) console.error('set-up: another set-up is at work here; waiting for it');
    if (waited === 2400)
      throw new SetupError('another set-up has been at work for 10 minutes', `remove ${lock} if none is`);
    removeDeadLock();
    Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 250);
  }
}

const isAlive = (pid) => {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return error.code !== 'ESRCH';
  }
};

// A set-up that was killed leaves its lock behind, and perhaps the npm that it started still at work: only when both are gone is
// the lock dead. Of two that find it so, only one can rename it to the same name, so neither can remove the lock that the
// other has just made.
function removeDeadLock() {
  let pids;
  try {
    pids = readFileSync(lockOwner, 'utf8').trim().split(/\s+/).map(Number);
    if (pids.some(isAlive)) return;
    renameSync(lock, `${lock}.dead-${pids.join('-')}`);
  } catch (error) {
    // Without its numbers it is just starting, or was killed in that moment; any other fault: the other one was first.
    const unborn = pids === undefined && error.code === 'ENOENT' && existsSync(lock);
    if (unborn && Date.now() - statSync(lock).mtimeMs > 30_000)
      rmSync(lock, { recursive: true, force: true });
  }
}

function releaseLock() {
  for (const name of readdirSync(dirname(lock)))
    if (name.startsWith('.setup-lock')) rmSync(join(dirname(lock), name), { recursive: true, force: true });
}

// npm hands its own settings down to the npm that it starts, such as omit=dev: only how to reach the registry may pass.
// The tests' own NODE_ENV would build a workbench for development.
function cleanEnvironment() {
  const keep = /^npm_config_(registry|cache|proxy|https_proxy|noproxy|cafile|userconfig|globalconfig)$/i;
  const isOwn = (k) => (!/^npm_/i.test(k) && k !== 'NODE_ENV') || keep.test(k);
  return Object.fromEntries(Object.entries(process.env).filter(([k]) => isOwn(k)));
}

async function run(what, command, args, output = 'inherit') {
  console.error(`set-up: ${what}`);
  const shell = process.platform === 'win32'; // npm is a .cmd there
  const child = spawn(command, args, {
    cwd: root,
    stdio: ['inherit', output, 'inherit'],
    env: cleanEnvironment(),
    shell,
  });
  if (child.pid !== undefined) writeFileSync(lockOwner, `${process.pid} ${child.pid}`);
  const outcome = await new Promise((resolve) => {
    child.on('error', (error) => resolve(error.message));
    child.on('exit', (code, signal) => resolve(signal ?? code));
  });
  writeFileSync(lockOwner, String(process.pid));
  if (outcome !== 0)
    throw new SetupError(
      `${what} failed (${outcome})`,
      'read the lines above, then give the same command again',
    );
}

const compile = (what, ...args) =>
  run(what, process.execPath, [at('node_modules', 'typescript', 'bin', 'tsc'), ...args]);

function* filesUnder(path) {
  if (statSync(path).isDirectory())
    for (const name of readdirSync(path).sort()) yield* filesUnder(join(path, name));
  else yield path;
}

/** Checksum of everything that a step rests on. */
function fingerprint(...paths) {
  const hash = createHash('sha256').update(process.version);
  for (const path of paths.flatMap((p) => [...filesUnder(at(p))]))
    hash
      .update(`${path.slice(root.length)}\0`)
      .update(readFileSync(path))
      .update('\0');
  return hash.digest('hex');
}

/**
 * Runs a step unless what it makes is there and its stamp says that it was made of the same input. The stamp is written last, so a
 * broken step repeats.
 */
async function unlessDone(stamp, result, wanted, step) {
  if (existsSync(result) && existsSync(stamp) && readFileSync(stamp, 'utf8') === wanted) return;
  rmSync(stamp, { force: true });
  await step();
  writeFileSync(stamp, wanted);
}

async function setUp() {
  await unlessDone(
    at('node_modules', '.tautline-stamp'),
    at('node_modules', 'typescript'),
    fingerprint('package-lock.json'),
    () => run('installing packages (once)', 'npm', ['ci', '--include=dev', '--no-audit', '--no-fund']),
  );
  await unlessDone(
    at('dist', '.tautline-stamp'),
    at('dist', 'cli', 'main.js'),
    fingerprint('src', 'tsconfig.base.json', 'tsconfig.json', 'package-lock.json'),
    () => compile('building', '-b'),
  );
  await unlessDone(
    at('dist', '.workbench-stamp'),
    at('dist', 'workbench', 'index.html'),
    fingerprint('src/engine', 'src/workbench', 'vite.workbench.config.ts', 'package-lock.json'),
    () =>
      run('building the workbench', process.execPath, [
        at('node_modules', 'vite', 'bin', 'vite.js'),
        ...['build', '--config', 'vite.workbench.config.ts', '--logLevel', 'warn'],
      ]),
  );
  await unlessDone(
    at('build', '.demo-stamp'),
    at('demo', 'exports'),
    fingerprint(
      'demo/make.ts',
      'demo/line.ts',
      'demo/tsconfig.json',
      'test/support/plant',
      'package-lock.json',
    ),
    async () => {
      await compile('compiling the demo', '-p', 'demo');
      await run('recording the invented demo line', process.execPath, [at('build', 'demo', 'make.js')]);
    },
  );
  await identifyHalfOfTheDemo();
  if (process.argv.includes('--browser')) await installBrowser();
}

/** The workbench opens on a line whose job is half done. Once only: what a user makes of it then is not touched again. */
async function identifyHalfOfTheDemo() {
  const results = at('demo', 'identifications');
  if (existsSync(results)) return;
  const made = at('build', 'identifications');
  rmSync(made, { recursive: true, force: true });
  mkdirSync(made, { recursive: true });
  for (const drive of ['unwind', 'pull-roll', 'dryer-can']) {
    const file = openSync(join(made, `${drive}.as-found.json`), 'w');
    const recording = join('demo', 'exports', `${drive}.as-found.csv`);
    const stated = ['--drive', join('demo', 'drives', `${drive}.yaml`), '--json'];
    try {
      await run(
        `identifying the ${drive} of the demo line`,
        process.execPath,
        [at('dist', 'cli', 'main.js'), 'identify', recording, ...stated],
        file,
      );
    } finally {
      closeSync(file);
    }
  }
  renameSync(made, results);
}

const isThere = (command) =>
  (process.env.PATH ?? '').split(delimiter).some((folder) => existsSync(join(folder, command)));

/** The browser tests need a Chromium: of the system, or at CHROMIUM. Without one they would not run, so the set-up fails. */
async function installBrowser() {
  const { CHROMIUM } = process.env;
  if (CHROMIUM !== undefined) {
    if (existsSync(CHROMIUM)) return;
    throw new SetupError(
      `CHROMIUM is ${CHROMIUM}, which is not there`,
      'let it name a Chromium, or unset it',
    );
  }
  if (isThere('chromium')) return;
  const wanted = 'install Chromium, or name one in the environment variable CHROMIUM';
  if (process.getuid?.() !== 0 || !isThere('apt-get'))
    throw new SetupError('the browser tests need Chromium, and there is none', wanted);
  await run('looking for packages', 'apt-get', ['update', '-q']);
  await run('installing Chromium (once)', 'apt-get', [
    'install',
    '-qy',
    '--no-install-recommends',
    'chromium',
  ]);
  if (!isThere('chromium')) throw new SetupError('Chromium was installed, but is not there', wanted);
}

try {
  checkNode();
  takeLock();
  try {
    await setUp();
  } finally {
    releaseLock();
  }
} catch (error) {
  if (!(error instanceof SetupError)) throw error;
  console.error(`set-up: ${error.message}\nnext: ${error.next}`);
  process.exitCode = 2;
}
