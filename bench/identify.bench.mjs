// From file to JSON: a 10-minute recording at 1 kHz (600,000 rows, 4 columns, seeded, invented) through the command line, next to
// DuckDB's read_csv of the same file in the same run. Goal: under 2 s wall on two idle cores.
import { spawnSync } from 'node:child_process';
import { closeSync, mkdtempSync, openSync, rmSync, statSync, writeFileSync, writeSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { DuckDBInstance } from '@duckdb/node-api';

const cli = join(dirname(dirname(fileURLToPath(import.meta.url))), 'dist', 'cli', 'main.js');
const folder = mkdtempSync(join(tmpdir(), 'tautline-bench-'));
const runs = 5;
const truth = { inertia: 0.45, coulomb: 1.5, viscous: 0.004, quadratic: 2e-5 };

// Mulberry32 (public domain, constants from memory): the same bytes at every run.
function random(seed) {
  let a = seed;
  return () => {
    a = (a + 0x6d2b79f5) | 0;
    let t = Math.imul(a ^ (a >>> 15), a | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** A staircase up and down: speed [rad/s] and acceleration [rad/s²] in closed form. */
function profile() {
  const levels = [15, 30, 55, 80, 110, 135, 160, 135, 110, 80, 55, 30, 15, 0];
  const pieces = [{ until: 2, from: 0, slope: 0, start: 0 }];
  let t = 2;
  let w = 0;
  for (const level of levels) {
    const slope = Math.sign(level - w) * 6.6;
    const ramp = Math.abs(level - w) / 6.6;
    pieces.push(
      { until: t + ramp, from: w, slope, start: t },
      { until: t + ramp + 38, from: level, slope: 0, start: t + ramp },
    );
    t += ramp + 38;
    w = level;
  }
  return pieces;
}

function write(path) {
  const uniform = random(20261125);
  const noise = () => uniform() + uniform() + uniform() - 1.5;
  const pieces = profile();
  const file = openSync(path, 'w');
  writeSync(file, 'Time [s],Speed ref [rad/s],Speed act [rad/s],Torque act [N.m]\n');
  let p = 0;
  let chunk = '';
  for (let i = 0; i < 600_000; i++) {
    const t = i / 1000;
    while (p + 1 < pieces.length && t >= pieces[p].until) p++;
    const { from, slope, start } = pieces[p];
    const w = t < pieces[p].until ? from + slope * (t - start) : 0;
    const a = t < pieces[p].until ? slope : 0;
    const drag = w > 0 ? truth.coulomb + truth.viscous * w + truth.quadratic * w * w : 0;
    const torque = truth.inertia * a + drag + 0.1 * noise();
    chunk += `${t.toFixed(3)},${w.toFixed(4)},${(w + 0.03 * noise()).toFixed(4)},${torque.toFixed(4)}\n`;
    if (chunk.length > 1 << 20) {
      writeSync(file, chunk);
      chunk = '';
    }
  }
  writeSync(file, chunk);
  closeSync(file);
}

const median = (values) => [...values].sort((a, b) => a - b)[values.length >> 1];

try {
  const csv = join(folder, 'recording.csv');
  const drive = join(folder, 'drive.yaml');
  write(csv);
  writeFileSync(
    drive,
    'schema: tautline/drive@1\nname: bench\nelement: driven-idler\nrated_torque_Nm: 20\ngear_ratio: 2\nroller_diameter_m: 0.2\nmax_motor_speed_rad_per_s: 160\n',
  );
  const db = await (await DuckDBInstance.create(':memory:', { threads: '2' })).connect();
  const own = [];
  const duck = [];
  let estimates;
  for (let k = 0; k <= runs; k++) {
    const from = performance.now();
    const child = spawnSync(process.execPath, [cli, 'identify', csv, '--drive', drive, '--json'], {
      encoding: 'utf8',
      maxBuffer: 1 << 28,
    });
    const between = performance.now();
    await db.run(`create or replace table t as select * from read_csv('${csv}')`);
    const to = performance.now();
    if (child.status !== 0) throw new Error(child.stderr);
    ({ estimates } = JSON.parse(child.stdout));
    // The first run warms the file cache and is not counted.
    if (k > 0) {
      own.push(between - from);
      duck.push(to - between);
    }
  }
  const seconds = (ms) => (ms / 1000).toFixed(2);
  console.log(
    `600,000 rows, ${(statSync(csv).size / 1e6).toFixed(0)} MB, median of ${runs} (lowest to highest)`,
  );
  console.log(
    `identify, file to JSON  ${seconds(median(own))} s (${seconds(Math.min(...own))} to ${seconds(Math.max(...own))})`,
  );
  console.log(
    `DuckDB read_csv only    ${seconds(median(duck))} s (${seconds(Math.min(...duck))} to ${seconds(Math.max(...duck))})`,
  );
  console.log(`ratio                   ${(median(own) / median(duck)).toFixed(1)}`);
  console.log(
    `inertia off by          ${(100 * (estimates.inertia_kgm2.value / truth.inertia - 1)).toFixed(3)} %`,
  );
} finally {
  rmSync(folder, { recursive: true, force: true });
}
