// Winding a roll lap by lap, every lap on its own, modulus at mid-increment: time a cell, for rolls of several sizes, and against the bare latency
// chain of the recurrence (a product and a sum a cell, for shape and slope), which no code for one roll can beat. Goals: 10,000 laps under 1.0 s, with the
// moving window under 0.15 s. Beside it the same scheme as a NumPy/LAPACK loop (bench/roll_numpy.py), when python3 has them; goals: 3 and 15 times faster.
import { spawnSync } from 'node:child_process';
import { alwaysWindow } from '../dist/engine/roll/stress/chooseWindow.js';
import { stackModulus } from '../dist/engine/roll/stress/stackModulus.js';
import { windRoll } from '../dist/engine/roll/stress/windRoll.js';

const film = {
  caliper: 25e-6,
  coreRadius: 0.0445,
  modulus: 4.5e9,
  poisson: 0.01,
  stack: stackModulus({ law: 'exponential', k1: 3000, k2: 120 }),
  coreStiffness: 1.11979e10,
  woundOn: () => 125,
};

/** ns a step of f, s = c·f + h·s, e·f + c·s, each waiting for the one before. */
function chain() {
  const steps = 5e7;
  let [f, s] = [1, 1];
  const from = performance.now();
  for (let k = 0; k < steps; k++) {
    const before = f;
    f = 0.6 * f + 0.4 * s;
    s = 0.4 * before + 0.6 * s;
  }
  const ns = ((performance.now() - from) * 1e6) / steps;
  return f + s > 0 ? ns : Number.NaN;
}

windRoll({ ...film, laps: 1000 });
windRoll({ ...film, laps: 2000, window: alwaysWindow(2000) });
const latency = Math.min(chain(), chain(), chain());
console.log(`latency chain: ${latency.toFixed(1)} ns a step`);
for (const laps of [2000, 5000, 10000])
  for (const update of ['mid-increment', 'explicit', 'corrected']) {
    const times = Array.from({ length: 3 }, () => {
      const from = performance.now();
      windRoll({ ...film, laps, update });
      return performance.now() - from;
    });
    const best = Math.min(...times);
    const ns = (best * 1e6) / (0.5 * laps * (laps + 1));
    console.log(
      `${String(laps).padStart(6)} laps, ${update.padEnd(13)}: ${best.toFixed(0).padStart(5)} ms, ${ns.toFixed(1)} ns a cell of the whole triangle, ${(ns / latency).toFixed(2)} × the latency chain`,
    );
  }

const best = (run) =>
  Math.min(
    ...Array.from({ length: 3 }, () => {
      const from = performance.now();
      run();
      return performance.now() - from;
    }),
  );
const full = best(() => windRoll({ ...film, laps: 10000 }));
const windowed = best(() => windRoll({ ...film, laps: 10000, window: alwaysWindow(10000) }));
console.log(
  ` 10000 laps, window 64/8: ${windowed.toFixed(0)} ms, ${(full / windowed).toFixed(1)} times faster than every lap`,
);
const python = spawnSync('python3', [new URL('roll_numpy.py', import.meta.url).pathname], {
  encoding: 'utf8',
});
if (python.status !== 0) console.log('no NumPy and SciPy for python3: not compared');
else {
  const ms = Number(python.stdout);
  console.log(
    `NumPy/LAPACK loop: ${ms.toFixed(0)} ms, ${(ms / full).toFixed(1)} times every lap here, ${(ms / windowed).toFixed(1)} times the window`,
  );
}
