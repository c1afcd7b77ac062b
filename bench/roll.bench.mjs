// Winding a roll lap by lap, every lap on its own, modulus at mid-increment: time a cell, for rolls of several sizes, and against the bare latency
// chain of the recurrence (one division and one subtraction a cell), which no code for one roll can beat. Goal: 10,000 laps under 1.0 s.
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

/** ns a step of x = 1/(b − a·x), each waiting for the one before. */
function chain() {
  const steps = 5e7;
  let x = 0.3;
  const from = performance.now();
  for (let k = 0; k < steps; k++) x = 1 / (2.0001 - 0.9999 * x);
  const ns = ((performance.now() - from) * 1e6) / steps;
  return x > 0 ? ns : Number.NaN;
}

windRoll({ ...film, laps: 1000 });
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
