/**
 * Writes the invented demonstration line: line.yaml, drives, exports as ugly as drives write them, and truth.json.
 * Use: node build/demo/make.js [folder]. Same seed, same bytes. The exports are not kept in version control.
 */
import { mkdirSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { record, toCsv } from '../test/support/plant/plant.js';
import { Random } from '../test/support/plant/random.js';
import { buildRig, dragTruth } from '../test/support/plant/rig.js';
import { fullTest } from '../test/support/plant/scripts.js';
import { type DemoDrive, demoDrives, filmRollYaml, lineYaml, productYaml, rollYaml } from './line.js';

const seed = 2026;

/** Nine digits: more than any fit shows, and without the last bits of binary arithmetic. */
const rounded = (values: object): object =>
  Object.fromEntries(
    Object.entries(values).map(([k, v]) => [k, typeof v === 'number' ? Number(v.toPrecision(9)) : v]),
  );

const driveYaml = (drive: DemoDrive['drive']): string =>
  `# INVENTED drive of the demonstration line.\n${Object.entries(drive)
    .map(([key, value]) => `${key}: ${value}\n`)
    .join('')}`;

/** Files of the demo by path, in the order in which they are written. */
export function* demoFiles(): Generator<readonly [path: string, text: string]> {
  yield ['line.yaml', lineYaml];
  yield ['products/coated-paper-80.yaml', productYaml];
  yield ['rolls/coated-paper-80.yaml', rollYaml];
  yield ['rolls/film-25.yaml', filmRollYaml];
  const truth: object[] = [];
  for (const demo of demoDrives) {
    const drivePath = `drives/${demo.file}.yaml`;
    yield [drivePath, driveYaml(demo.drive)];
    for (const { visit, friction } of demo.visits) {
      const exported = `exports/${demo.file}.${visit}.csv`;
      // The machine's own numbers are the same at every visit; only its friction changes.
      const rig = buildRig(new Random(demo.file, seed), demo.drive, demo.inertia, friction, demo.rampTime);
      const random = new Random(exported, seed);
      const phases = fullTest(rig, random);
      const plant = record(visit, seed, { rig, phases, layout: demo.layout, expects: {} }, random);
      yield [exported, toCsv(plant, demo.style)];
      truth.push({
        drive: drivePath,
        visit,
        export: exported,
        truth: rounded({ inertia_kgm2: demo.inertia, ...dragTruth(friction), offset_Nm: rig.offset }),
      });
    }
  }
  const label =
    'INVENTED truth of invented machines, all at the motor shaft: what a good identification finds again';
  yield ['truth.json', `${JSON.stringify({ label, seed, drives: truth }, undefined, 2)}\n`];
}

export function makeDemo(folder: string): void {
  for (const [path, text] of demoFiles()) {
    const file = join(folder, path);
    mkdirSync(dirname(file), { recursive: true });
    writeFileSync(file, text);
  }
}

const script = fileURLToPath(import.meta.url);
if (process.argv[1] === script) makeDemo(process.argv[2] ?? join(dirname(script), '../../demo'));
