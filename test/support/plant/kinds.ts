/** The kinds of tests on a drive without web: what was run, how it was recorded, what must be said about it. */
import type { Layout } from './layout.js';
import type { Plant } from './plantTypes.js';
import type { Random } from './random.js';
import { drawRig, type Rig, type RigChoice } from './rig.js';
import type { Phase } from './run.js';
import { breakaways, coast, lowAndHigh, rampPair, staircase, still, upAndDown, usual } from './scripts.js';

export interface Test {
  readonly rig: Rig;
  readonly phases: readonly Phase[];
  readonly layout: Layout;
  readonly expects: Plant['expects'];
}
export type Recipe = (random: Random) => Test;

/** A recording as a good drive gives it: 5 to 20 ms, both channels filtered alike and little. */
function good(random: Random, change: Partial<Layout> = {}): Layout {
  const filter = random.uniform(0.001, 0.006);
  return {
    units: random.pick(['percent-rpm', 'si'] as const),
    interval: random.pick([0.005, 0.01, 0.02]),
    torque: { filter },
    speed: { filter },
    torqueNoise: random.uniform(0.0005, 0.003),
    torqueQuantum: random.pick([0.0001, 0.001]),
    speedQuantum: 1e-5,
    startTime: random.chance(0.3) ? Math.round(random.uniform(1, 5000)) : 0,
    ...change,
  };
}

const bothWays: RigChoice = { offset: [0.02, 0.25] };

function test(
  random: Random,
  choice: RigChoice,
  phases: (rig: Rig) => readonly Phase[],
  layout: Partial<Layout>,
  expects: Plant['expects'],
): Test {
  const rig = drawRig(random, choice);
  return { rig, phases: phases(rig), layout: good(random, layout), expects };
}

const twoRates = (rig: Rig): Phase[] => [
  still(1),
  ...rampPair(rig, 0, 1, rig.rampTime),
  ...rampPair(rig, 0, 1, 2.5 * rig.rampTime),
];

const stairs = (rig: Rig, hold = 3): Phase[] => [still(1), ...staircase(rig, upAndDown(usual), 0, hold)];

const bothDirections = (rig: Rig): Phase[] => [
  still(1),
  ...staircase(rig, upAndDown([0.1, 0.25, 0.5, 0.75, 1]), 0, 3),
  ...staircase(rig, upAndDown([-0.1, -0.25, -0.5, -0.75, -1]), 0, 3),
];

export const fullTest = (rig: Rig, random: Random): Phase[] => [
  still(1),
  ...breakaways(rig, random, 5),
  ...rampPair(rig, 0, 1, rig.rampTime),
  ...rampPair(rig, 0, 1, 2 * rig.rampTime),
  ...staircase(rig, [...lowAndHigh, ...[...usual].reverse()], 0, 3),
  ...staircase(rig, [1], usual[0]!, 3),
  coast(),
];

export const recipes = {
  'staircase-up-down': (r) => test(r, {}, stairs, {}, { findings: ['no_breakaway_test'] }),
  'two-rate-ramps': (r) => test(r, {}, twoRates, {}, { findings: ['no_breakaway_test'] }),
  'staircase-both-directions': (r) =>
    test(r, bothWays, bothDirections, {}, { findings: ['two_directions', 'no_breakaway_test'] }),
  'asymmetric-both-directions': (r) =>
    test(r, { asymmetric: true }, bothDirections, {}, { findings: ['direction_asymmetry'] }),
  'coast-after-ramps': (r) =>
    test(
      r,
      r.chance(0.5) ? { offset: [0.01, 0.05] } : {},
      (rig) => [
        still(1),
        ...rampPair(rig, 0, 1, rig.rampTime),
        ...rampPair(rig, 0, 1, 2 * rig.rampTime),
        ...staircase(rig, [1], 0, 3),
        coast(),
      ],
      { enabled: r.chance(0.6) },
      { findings: ['no_breakaway_test'] },
    ),
  'coast-only': (r) =>
    test(
      r,
      {},
      (rig) => [...staircase(rig, [1], 0, 2), coast()],
      { reference: false, onlyOff: true },
      { findings: ['drive_off_coast', 'inertia_not_identifiable'] },
    ),
  'full-test': (r) => test(r, {}, (rig) => fullTest(rig, r), { interval: r.pick([0.005, 0.01]) }, {}),
  'full-test-both-directions': (r) =>
    test(
      r,
      bothWays,
      (rig) => [
        still(1),
        ...breakaways(rig, r, 4),
        ...breakaways(rig, r, 4, -1),
        ...rampPair(rig, 0, 1, rig.rampTime),
        ...rampPair(rig, 0, -1, rig.rampTime),
        ...bothDirections(rig),
      ],
      { interval: 0.01 },
      { findings: ['two_directions'] },
    ),
  'breakaway-only': (r) =>
    test(
      r,
      {},
      (rig) => [still(1), ...breakaways(rig, r, 7)],
      { interval: r.pick([0.005, 0.01]) },
      {
        findings: ['no_designed_test'],
      },
    ),
} satisfies Record<string, Recipe>;
