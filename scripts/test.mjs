// Everything that `npm test` checks, one line a step; stops at the first step that fails. `--static` leaves the tests out;
// other arguments go to vitest, so `npm test -- test/engine/units` runs a part of them.
import { spawnSync } from 'node:child_process';
import { readFileSync, rmSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const bin = (...parts) => join(root, 'node_modules', ...parts);
const args = process.argv.slice(2);
const staticOnly = args.includes('--static');
const results = join(root, 'build', 'test-results.json');

const tsc = bin('typescript', 'bin', 'tsc');
const cruiser = bin('dependency-cruiser', 'bin', 'dependency-cruise.mjs');
const steps = [
  ['types', tsc, '-b'],
  ['types of tests', tsc, '-p', 'test'],
  ['lint', bin('@biomejs', 'biome', 'bin', 'biome'), 'check', '.'],
  ['direction of imports', cruiser, 'src', 'test', '--config', '.dependency-cruiser.cjs'],
];
const tests = [
  'tests',
  bin('vitest', 'vitest.mjs'),
  'run',
  '--reporter=default',
  '--reporter=json',
  `--outputFile.json=${results}`,
  ...args,
];

function runStep([name, ...command]) {
  const from = Date.now();
  // Tests may take minutes: their lines are shown as they come, those of the other steps only when they fail.
  const stdio = name === 'tests' ? 'inherit' : 'pipe';
  const step = spawnSync(process.execPath, command, {
    cwd: root,
    stdio,
    encoding: 'utf8',
    maxBuffer: 1 << 28,
  });
  const seconds = ((Date.now() - from) / 1000).toFixed(1);
  if (step.status === 0) {
    console.log(`✓ ${name} (${seconds} s)`);
    return;
  }
  process.stdout.write(step.stdout ?? '');
  process.stderr.write(step.stderr ?? '');
  const ended = step.error?.message ?? (step.signal ? `ended by ${step.signal}` : `exit ${step.status}`);
  console.error(`✗ ${name} (${seconds} s, ${ended})`);
  process.exit(1);
}

for (const step of steps) runStep(step);
if (!staticOnly) {
  rmSync(results, { force: true });
  runStep(tests);
  const { numPassedTests, numFailedTests, numPendingTests } = JSON.parse(readFileSync(results, 'utf8'));
  if (numPassedTests === 0) {
    console.error('✗ no test ran');
    process.exit(1);
  }
  console.log(`${numPassedTests} passed, ${numFailedTests} failed, ${numPendingTests} skipped`);
}
