// Text import against DuckDB's read_csv on the same file in the same run, and peak memory of streaming 40 million rows.
// Run after the build: node bench/import.bench.mjs [rows] [rows of the streaming part]
// The file is invented, made from a fixed seed, and lies in a temporary folder that is removed at the end.
import { execFileSync } from 'node:child_process';
import { closeSync, mkdirSync, mkdtempSync, openSync, readSync, rmSync, statSync, writeSync } from 'node:fs';
import { cpus, loadavg, tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { DuckDBInstance, version as duckdbVersion } from '@duckdb/node-api';
import { importRecording } from '../dist/node/store/importRecording.js';
import { readTextTable } from '../dist/node/text/readTextTable.js';
import { streamTextTable } from '../dist/node/text/streamTextTable.js';

const rounds = 5;
const header = 'time [s],n_ref [rpm],n_act [rpm],torque [%],tension [N],v_line [m/s],current [A],enabled\n';

/** Linear congruential generator, 32 bits (Numerical Recipes constants, from memory): uniform in [0, 1). */
function generator(seed) {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 4294967296;
  };
}

function writeTable(path, rows) {
  const random = generator(20260312);
  const file = openSync(path, 'w');
  let text = header;
  for (let i = 0; i < rows; i++) {
    const speed = 1500 * random();
    text += `${(i / 1000).toFixed(3)},${speed.toFixed(3)},${(speed + random()).toFixed(3)},${(200 * random() - 100).toFixed(4)},`;
    text += `${(800 * random()).toFixed(3)},${(20 * random()).toFixed(5)},${(30 * random() - 15).toFixed(5)},${random() < 0.5 ? 0 : 1}\n`;
    if (text.length > 1e6) {
      writeSync(file, text);
      text = '';
    }
  }
  writeSync(file, text);
  closeSync(file);
}

/** A file of `times` as many rows: the rows of `from` again and again behind one header. */
function repeatTable(from, to, times) {
  const input = openSync(from, 'r');
  const output = openSync(to, 'w');
  const buffer = Buffer.alloc(1 << 22);
  writeSync(output, header);
  for (let k = 0; k < times; k++) {
    let position = header.length;
    for (let got = 0; (got = readSync(input, buffer, 0, buffer.length, position)) > 0; position += got) {
      for (let done = 0; done < got; ) done += writeSync(output, buffer, done, got - done);
    }
  }
  closeSync(input);
  closeSync(output);
}

const seconds = async (work) => {
  const began = performance.now();
  const result = await work();
  return { s: (performance.now() - began) / 1000, result };
};
const median = (a) => [...a].sort((x, y) => x - y)[a.length >> 1];
const print = (line) => process.stdout.write(`${line}\n`);

async function compare(path, rows) {
  const instance = await DuckDBInstance.create(':memory:');
  const connection = await instance.connect();
  const ours = [];
  const theirs = [];
  for (let k = 0; k < rounds; k++) {
    const own = await seconds(() => readTextTable(path));
    const sql = `create or replace table t as select * from read_csv('${path}')`;
    const duck = await seconds(() => connection.run(sql));
    const reader = await connection.runAndReadAll('select count(*), sum("torque [%]") from t');
    const [count, sum] = reader.getRows()[0];
    const ownSum = own.result.columns[3].values.reduce((a, b) => a + b, 0);
    if (own.result.rows !== rows || Number(count) !== rows || Math.abs(ownSum - sum) > 1e-6 * rows) {
      throw new Error(
        `the two do not agree: ${own.result.rows} rows, sum ${ownSum}; ${count} rows, sum ${sum}`,
      );
    }
    ours.push(own.s);
    theirs.push(duck.s);
    print(`  round ${k + 1}: own ${own.s.toFixed(2)} s, DuckDB ${duck.s.toFixed(2)} s`);
  }
  const ratio = median(ours) / median(theirs);
  print(
    `  median: own ${median(ours).toFixed(2)} s, DuckDB ${median(theirs).toFixed(2)} s, ratio ${ratio.toFixed(2)} (goal: at most 1)`,
  );
}

if (process.argv[2] === '--stream') {
  // in a process of its own, so that the peak is that of the import alone
  const { s, result } = await seconds(() => streamTextTable(process.argv[3], {}, () => {}));
  print(JSON.stringify({ s, rows: result.rows, peak_MB: process.resourceUsage().maxRSS / 1024 }));
} else if (process.argv[2] === '--store') {
  const { s, result } = await seconds(() =>
    importRecording(process.argv[3], process.argv[4], { imported: '2026-01-01' }),
  );
  print(
    JSON.stringify({ s, rows: result.document.source.rows, peak_MB: process.resourceUsage().maxRSS / 1024 }),
  );
} else {
  const rows = Number(process.argv[2] ?? 5e6);
  const streamed = Number(process.argv[3] ?? 40e6);
  const folder = mkdtempSync(join(tmpdir(), 'tautline-bench-'));
  try {
    const path = join(folder, 'table.csv');
    print(
      `${cpus().length} x ${cpus()[0].model}, Node ${process.version}, DuckDB ${duckdbVersion()}, load ${loadavg()[0].toFixed(1)}`,
    );
    writeTable(path, rows);
    // before the comparison: on Linux a new process starts with its parent's peak as its own
    const long = join(folder, 'long.csv');
    repeatTable(path, long, Math.round(streamed / rows));
    const out = execFileSync(process.execPath, [fileURLToPath(import.meta.url), '--stream', long], {
      encoding: 'utf8',
    });
    const { s, rows: read, peak_MB } = JSON.parse(out);
    print(
      `streaming ${read} rows, ${(statSync(long).size / 1e9).toFixed(1)} GB: ${s.toFixed(1)} s, peak ${peak_MB.toFixed(0)} MB (goal: below 1500 MB)`,
    );
    const line = join(folder, 'line');
    mkdirSync(line);
    const stored = JSON.parse(
      execFileSync(process.execPath, [fileURLToPath(import.meta.url), '--store', long, line], {
        encoding: 'utf8',
      }),
    );
    print(
      `import of ${stored.rows} rows into a line folder (Parquet): ${stored.s.toFixed(0)} s, peak ${stored.peak_MB.toFixed(0)} MB (goal: below 1500 MB)`,
    );
    rmSync(long);
    print(
      `text import of ${rows} rows x 8 columns, ${(statSync(path).size / 1e6).toFixed(0)} MB, into memory with SHA-256:`,
    );
    await compare(path, rows);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
