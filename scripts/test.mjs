// Everything that `npm test` checks, one line a step; stops at the first step that fails.
import { spawnSync } from 'node:child_process';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const bin = (...parts) => join(root, 'node_modules', ...parts);

const steps = [
  ['types', [bin('typescript', 'bin', 'tsc'), '-b']],
  ['types of tests', [bin('typescript', 'bin', 'tsc'), '-p', 'test']],
  ['lint', [bin('@biomejs', 'biome', 'bin', 'biome'), 'check', '.']],
  [
    'architecture',
    [
      bin('dependency-cruiser', 'bin', 'dependency-cruise.mjs'),
      'src',
      'test',
      '--config',
      '.dependency-cruiser.cjs',
      '--output-type',
      'err',
    ],
  ],
  ['tests', [bin('vitest', 'vitest.mjs'), 'run', ...process.argv.slice(2)]],
];

const started = Date.now();
for (const [name, args] of steps) {
  const from = Date.now();
  const result = spawnSync(process.execPath, args, {
    cwd: root,
    stdio: ['ignore', 'pipe', 'pipe'],
    encoding: 'utf8',
    maxBuffer: 1 << 28,
  });
  const seconds = ((Date.now() - from) / 1000).toFixed(1);
  if (result.status !== 0) {
    process.stdout.write(result.stdout ?? '');
    process.stderr.write(result.stderr ?? '');
    console.error(`✗ ${name} (${seconds} s)`);
    process.exit(1);
  }
  if (name === 'tests') process.stdout.write(result.stdout.split('\n').slice(-12).join('\n'));
  console.log(`✓ ${name} (${seconds} s)`);
}
console.log(`all checks passed in ${((Date.now() - started) / 1000).toFixed(0)} s`);
