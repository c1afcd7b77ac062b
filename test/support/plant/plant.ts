/**
 * Invented plants with known truth, to check the identification against. They share no code with it: own friction (LuGre),
 * own speed loop, own sensors, own random numbers. Same kind and seed, same numbers.
 */
import { recipes, type Test } from './kinds.js';
import { columnsOf } from './layout.js';
import type { Plant } from './plantTypes.js';
import { Random } from './random.js';
import { machineTruth } from './rig.js';
import { run } from './run.js';

export type { DragTruth, DriveKeys, Plant, PlantColumn, PlantTruth } from './plantTypes.js';

export type PlantKind = keyof typeof recipes;
export const plantKinds = Object.keys(recipes) as PlantKind[];

/** Period of control and mechanics [s]; test/support/plant.test.ts shows what it costs in accuracy. */
const controlStep = 0.001;

export function makePlant(kind: PlantKind, seed: number): Plant {
  const random = new Random(kind, seed);
  return record(kind, seed, recipes[kind](random), random);
}

/** Runs a test and records it. */
export function record(kind: string, seed: number, test: Test, random: Random): Plant {
  const { rig, layout } = test;
  const traces = run(rig.machine, rig.control, test.phases, test.step ?? controlStep, random);
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
