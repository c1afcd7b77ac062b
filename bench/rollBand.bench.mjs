// How sure a roll is: the demonstration roll with 2,000 laps wound 1,000 times, its web drawn from its stack test, on one core and on two threads. Goal: under 30 s on
// two idle cores. Beside it 1,000 times what one winding takes in the same run, the least that a band can cost; the rest is drawing, slip cases and quantiles.
import { readFileSync } from 'node:fs';
import { isMainThread, parentPort, Worker, workerData } from 'node:worker_threads';
import { rollBand } from '../dist/engine/program/roll/rollBand.js';
import { rollBuild } from '../dist/engine/program/roll/rollBuild.js';
import { windowForMany } from '../dist/engine/roll/stress/chooseWindow.js';
import { windRoll } from '../dist/engine/roll/stress/windRoll.js';
import { parseRoll } from '../dist/node/lineFolder/readRoll.js';

const file = new URL('../demo/rolls/coated-paper-80.yaml', import.meta.url);
const roll = { ...parseRoll(readFileSync(file, 'utf8'), 'roll.yaml').input, laps: 2000 };
const rolls = 1000;

if (!isMainThread) {
  rollBand(roll, { rolls: rolls / 2, seed: workerData });
  parentPort.postMessage('done');
} else {
  const seconds = async (run) => {
    const from = performance.now();
    await run();
    return (performance.now() - from) / 1e3;
  };
  const { winding } = rollBuild(roll);
  const window = windowForMany(winding.laps);
  const wind = () => windRoll({ ...winding, window });
  const single = async () => {
    const times = [];
    for (let k = 0; k < 20; k++) times.push(await seconds(wind));
    return Math.min(...times);
  };
  rollBand(roll, { rolls: 20 });
  const one = Math.min(await single(), await single());
  const alone = await seconds(() => rollBand(roll, { rolls }));
  const two = await seconds(() =>
    Promise.all(
      [1, 2].map(
        (seed) =>
          new Promise((resolve, reject) => {
            new Worker(new URL(import.meta.url), { workerData: seed })
              .on('message', resolve)
              .on('error', reject);
          }),
      ),
    ),
  );
  const share = (t) => (t / (rolls * one)).toFixed(2);
  console.log(
    `one winding of 2000 laps, window ${window.fine}/${window.thinning}: ${(1e3 * one).toFixed(1)} ms`,
  );
  console.log(
    `band of ${rolls} rolls, one core:    ${alone.toFixed(1)} s, ${share(alone)} × ${rolls} windings`,
  );
  console.log(
    `band of ${rolls} rolls, two threads: ${two.toFixed(1)} s, ${share(two)} × ${rolls} windings, ${(alone / two).toFixed(2)} times faster (goal: under 30 s)`,
  );
}
