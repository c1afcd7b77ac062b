// What the roll view computes: the whole prediction of a roll of 2,000 laps when a slider moves (goal: under 100 ms), and the design of the demonstration roll's schedules
// (goal: under 10 s), each against the bare windings in the same run.
import { readFileSync } from 'node:fs';
import { designSchedule } from '../dist/engine/program/roll/design/designSchedule.js';
import { predictRoll } from '../dist/engine/program/roll/predictRoll.js';
import { rollBuild } from '../dist/engine/program/roll/rollBuild.js';
import { toDesignLimits } from '../dist/engine/project/roll/designLimitsDocument.js';
import { toDesignTarget } from '../dist/engine/project/roll/rollDocument.js';
import { chooseWindow, windowForMany } from '../dist/engine/roll/stress/chooseWindow.js';
import { windRoll } from '../dist/engine/roll/stress/windRoll.js';
import { parseRoll } from '../dist/node/lineFolder/readRoll.js';

const file = new URL('../demo/rolls/coated-paper-80.yaml', import.meta.url);
const { document, input } = parseRoll(readFileSync(file, 'utf8'), 'roll.yaml');

/** Least time of several runs [ms]. */
const best = (runs, run) =>
  Math.min(
    ...Array.from({ length: runs }, () => {
      const from = performance.now();
      run();
      return performance.now() - from;
    }),
  );
const line = (name, time, winding) =>
  console.log(
    `${name.padEnd(42)}: ${time.toFixed(1).padStart(7)} ms, ${(time / winding).toFixed(2)} × the bare winding`,
  );

const slid = { ...input, laps: 2000 };
const { winding } = rollBuild(slid);
const bareOf = () => best(5, () => windRoll({ ...winding, window: chooseWindow(winding) }));
bareOf();
const bare = Math.min(bareOf(), bareOf());
console.log(`bare winding of ${winding.laps} laps, every lap followed: ${bare.toFixed(1)} ms`);
const parts = [
  ['prediction', slid],
  ['  without the steps after winding', { ...slid, afterWinding: undefined }],
  [
    '  nor slip (no friction stated)',
    {
      ...slid,
      afterWinding: undefined,
      web: { ...slid.web, friction: undefined },
      woundOn: { nipCoefficient: { value: slid.web.friction, provenance: 'measured' } },
    },
  ],
];
for (const [name, roll] of parts) {
  predictRoll(roll);
  line(
    name,
    best(7, () => predictRoll(roll)),
    bare,
  );
}
line(
  'a winding of the band and the design',
  best(7, () => windRoll({ ...winding, window: windowForMany(winding.laps) })),
  bare,
);

const { winding: whole } = rollBuild(input);
const many = best(5, () => windRoll({ ...whole, window: windowForMany(whole.laps) }));
const design = best(2, () => designSchedule(input, toDesignTarget(document), toDesignLimits(document)));
console.log(
  `design of the demonstration roll, ${whole.laps} laps: ${(design / 1e3).toFixed(2)} s, ${(design / many).toFixed(0)} windings of ${many.toFixed(1)} ms (goal: under 10 s)`,
);
