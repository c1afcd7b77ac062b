/**
 * Invented plants with known truth, to check the identification against. They share no code with it: own friction (LuGre),
 * own speed loop, own sensors, own random numbers. Same kind and seed, same numbers.
 */
import { type Recipe, recipes, type Test } from './kinds.js';
import { columnsOf } from './layout.js';
import type { Plant } from './plantTypes.js';
import { lugreTest, makeEmpsTwin } from './published.js';
import { Random } from './random.js';
import { machineTruth } from './rig.js';
import { run } from './run.js';
import { makeRoll } from './winder.js';

export { type CsvStyle, csvStyles, toCsv } from './csv.js';
export type { DragTruth, DriveKeys, Plant, PlantColumn, PlantTruth } from './plantTypes.js';

const whole = {
  'winder-build': (seed: number, random: Random) => makeRoll('winder-build', seed, random),
  'unwind-run': (seed: number, random: Random) => makeRoll('unwind-run', seed, random),
  'emps-twin': (seed: number, random: Random) => makeEmpsTwin('emps-twin', seed, random),
  'emps-twin-symmetric': (seed: number, random: Random) => makeEmpsTwin('emps-twin-symmetric', seed, random),
};
const tests = { ...recipes, 'lugre-published': lugreTest } satisfies Record<string, Recipe>;

export type PlantKind = keyof typeof tests | keyof typeof whole;
export const plantKinds: readonly PlantKind[] = [
  ...(Object.keys(tests) as (keyof typeof tests)[]),
  ...(Object.keys(whole) as (keyof typeof whole)[]),
];

const isWhole = (kind: PlantKind): kind is keyof typeof whole => Object.hasOwn(whole, kind);

/** Period of control and mechanics [s]; test/support/plant.test.ts shows what it costs in accuracy. */
const controlStep = 0.001;

export function makePlant(kind: PlantKind, seed: number): Plant {
  const random = new Random(kind, seed);
  return isWhole(kind) ? whole[kind](seed, random) : record(kind, seed, tests[kind](random), random);
}

/** Runs a test and records it. */
export function record(kind: string, seed: number, test: Test, random: Random): Plant {
  const { rig, layout } = test;
  const traces = run(rig.machine, rig.control, test.phases, test.step ?? controlStep, random, test.substeps);
  const constant = layout.torqueConstant;
  const lag = (s: { filter?: number; delay?: number }): number => (s.filter ?? 0) + (s.delay ?? 0);
  return {
    kind,
    seed,
    drive: {
      ...rig.drive,
      ...(constant !== undefined && { torque_constant_Nm_per_A: constant }),
      ...(rig.web && { web: { width_m: rig.web.width } }),
    },
    columns: columnsOf(rig, traces, layout, random),
    truth: {
      ...machineTruth(rig.machine, rig.offset),
      ...(rig.web && { web_Nm: rig.web.meanTorque }),
      torqueDelay_s: lag(layout.torque) - lag(layout.speed) - rig.control.speedFilter,
    },
    expects: test.expects,
  };
}
