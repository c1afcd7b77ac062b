// Runs the benchmarks of bench/ one after another, with what a reader needs to judge the numbers. `npm run bench -- import` runs those
// whose name contains the word.
import { spawnSync } from 'node:child_process';
import { readdirSync } from 'node:fs';
import { cpus, loadavg, release, totalmem, type } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const folder = join(dirname(dirname(fileURLToPath(import.meta.url))), 'bench');
const wanted = process.argv[2] ?? '';
const benches = readdirSync(folder)
  .filter((name) => name.endsWith('.bench.mjs') && name.includes(wanted))
  .sort();
if (benches.length === 0) {
  console.error(
    `no benchmark is called like "${wanted}"\nnext: choose one of ${readdirSync(folder).join(', ')}`,
  );
  process.exit(2);
}

const gigabytes = (totalmem() / 2 ** 30).toFixed(0);
console.log(
  `${cpus().length} × ${cpus()[0]?.model ?? 'unknown processor'}, ${gigabytes} GiB, ${type()} ${release()}`,
);
console.log(`Node ${process.versions.node}, load before ${loadavg()[0].toFixed(2)}`);
for (const bench of benches) {
  console.log(`\n# ${bench}`);
  const { status } = spawnSync(process.execPath, [join(folder, bench)], { stdio: 'inherit' });
  if (status !== 0) process.exitCode = 1;
}
