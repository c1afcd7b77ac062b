// A recording of 10 million samples x 4 columns made ready for drawing once, then drawn: the whole of it, and a stretch of one second. Goals:
// a whole view in under 500 ms once it is ready, and every view while panning in under 18 ms, both with the way over HTTP.
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DuckDBInstance } from '@duckdb/node-api';
import { startServer } from '../dist/server/startServer.js';

const rows = Number(process.env.BENCH_ROWS ?? 10_000_000);
const folder = mkdtempSync(join(tmpdir(), 'tautline-bench-'));
try {
  mkdirSync(join(folder, 'exports'));
  writeFileSync(join(folder, 'line.yaml'), '');
  const database = await DuckDBInstance.create(':memory:');
  const connection = await database.connect();
  await connection.run(
    `COPY (SELECT r / 1000.0 AS "Time [s]", 100 * sin(r / 5000.0) + random() AS "Speed act [rad/s]",
       2 + random() AS "Torque act [N.m]", random() AS "Tension [N]" FROM range(${rows}) t(r))
     TO '${join(folder, 'exports', 'big.parquet')}' (FORMAT parquet)`,
  );
  connection.closeSync();
  const server = await startServer({ folder, programVersion: 'bench' });
  const get = async (path) => {
    const from = performance.now();
    const answer = await fetch(`http://127.0.0.1:${server.port}${path}`, {
      headers: { authorization: `Bearer ${server.token}` },
    });
    if (!answer.ok) throw new Error(await answer.text());
    const bytes = (await answer.arrayBuffer()).byteLength;
    return { ms: performance.now() - from, bytes };
  };
  const ready = await get('/api/recordings/big');
  console.log(`${rows} samples x 4 columns made ready: ${(ready.ms / 1000).toFixed(1)} s (once)`);
  const trace = '/api/recordings/big/trace?channel=motor-torque&buckets=1500';
  const measure = async (name, query) => {
    const times = [];
    for (let k = 0; k < 40; k++) times.push((await get(`${trace}${query(k)}`)).ms);
    const [first] = times;
    times.sort((a, b) => a - b);
    console.log(
      `${name}: first ${first.toFixed(1)} ms, median ${times[20].toFixed(1)} ms, slowest ${times[39].toFixed(1)} ms`,
    );
  };
  await measure('whole recording', () => '');
  await measure(
    'panning over a tenth',
    (k) => `&from=${(k * rows) / 60_000}&to=${(k * rows) / 60_000 + rows / 10_000}`,
  );
  await measure('panning over one second', (k) => `&from=${100 + 0.1 * k}&to=${101 + 0.1 * k}`);
  await server.close();
} finally {
  rmSync(folder, { recursive: true, force: true });
}
