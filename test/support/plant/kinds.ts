/** The kinds of tests on a drive without web: what was run, how it was recorded, what must be said about it. */
import type { Layout } from './layout.js';
import type { Plant } from './plantTypes.js';
import type { Random } from './random.js';
import { drawRig, nameplate, type Rig, type RigChoice } from './rig.js';
import type { Phase } from './run.js';
import { breakaways, coast, fullTest, rampPair, staircase, still, upAndDown, usual } from './scripts.js';

export interface Test {
  readonly rig: Rig;
  readonly phases: readonly Phase[];
  readonly layout: Layout;
  readonly expects: Plant['expects'];
  /** Period of control and mechanics where it is not the usual one [s]. */
  readonly step?: number;
  /** Mechanics steps a control period. */
  readonly substeps?: number;
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

/**
 * A helper in production: follows the line, web on, tension before and after it differs a little and wanders. The line
 * changes speed now and then.
 */
function webOn(r: Random): Test {
  const rig = drawRig(r, { element: 'driven-idler' });
  const tension = r.uniform(80, 300) * (rig.drive.roller_width_m ?? 1);
  const torque = (r.chance(0.5) ? 1 : -1) * r.uniform(0.05, 0.25) * rig.machine.forward.coulomb;
  const periods = [r.uniform(6, 12), r.uniform(20, 40)];
  const web = (t: number): number =>
    torque *
    (1 + 0.15 * Math.sin((2 * Math.PI * t) / periods[0]!) + 0.1 * Math.sin((2 * Math.PI * t) / periods[1]!));
  const levels = Array.from({ length: 4 }, () => [r.uniform(0.3, 0.7), r.uniform(0.8, 1)]).flat();
  const made: Rig = {
    ...rig,
    machine: { ...rig.machine, web },
    web: { tension, meanTorque: torque, width: nameplate(0.9 * (rig.drive.roller_width_m ?? 1)) },
  };
  return {
    rig: made,
    phases: [
      ...staircase(rig, [0.9], 0, 5),
      ...staircase(rig, levels, 0.9, r.uniform(18, 30), 1.5 * rig.rampTime),
    ],
    layout: good(r, { units: 'percent-rpm', interval: r.pick([0.02, 0.05, 0.1]), from: rig.rampTime + 4 }),
    expects: { findings: ['web_on'], verdict: 'warned' },
    step: 0.002,
  };
}

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
      { reference: false, from: 'off' },
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
  historian: (r) => {
    const filter = r.uniform(0.03, 0.1);
    const slow = r.uniform(1.5, 2.5);
    return test(
      r,
      {},
      (rig) => [
        still(2),
        ...rampPair(rig, 0, 1, rig.rampTime * slow, 5),
        ...staircase(rig, upAndDown([0.1, 0.3, 0.6, 1]), 0, 6, rig.rampTime * slow),
      ],
      {
        units: 'percent-rpm',
        interval: r.pick([0.1, 0.2, 0.25]),
        torque: { filter },
        speed: { filter },
        torqueQuantum: 0.001,
        speedQuantum: 0.001,
      },
      { findings: ['no_breakaway_test'] },
    );
  },
  'historian-averaged': (r) =>
    test(
      r,
      bothWays,
      (rig) => [
        still(2),
        ...rampPair(rig, 0, 1, rig.rampTime * 2, 4),
        ...rampPair(rig, 0, -1, rig.rampTime * 2, 4),
        ...staircase(rig, [0.15, 0.4, 0.7, 1, 0], 0, 5),
        ...staircase(rig, [-0.15, -0.4, -0.7, -1, 0], 0, 5),
      ],
      {
        units: 'percent-rpm',
        interval: r.pick([0.1, 0.2]),
        torque: { averaged: true },
        speed: { averaged: true },
        torqueQuantum: 0.001,
        speedQuantum: 0.0005,
      },
      { findings: ['two_directions', 'no_breakaway_test'] },
    ),
  'position-1khz': (r) =>
    test(
      r,
      {},
      (rig) => [...rampPair(rig, 0, 1, rig.rampTime, 1), ...staircase(rig, [0.1, 0.3, 0.6, 1, 0], 0, 2)],
      { units: r.pick(['position', 'position-turns'] as const), interval: 0.001 },
      { findings: ['no_breakaway_test'] },
    ),
  'surface-percent': (r) => test(r, {}, (rig) => fullTest(rig, r), { units: 'surface', interval: 0.02 }, {}),
  'current-torque-constant': (r) =>
    test(
      r,
      {},
      (rig) => [...stairs(rig), ...twoRates(rig)],
      { units: 'current', torqueConstant: nameplate(r.logUniform(0.3, 4)) },
      { findings: ['no_breakaway_test'] },
    ),
  'us-units': (r) => test(r, {}, (rig) => [...stairs(rig), ...twoRates(rig)], { units: 'us' }, {}),
  'torque-filter-delay': (r) =>
    test(
      r,
      {},
      (rig) => [...twoRates(rig), ...stairs(rig)],
      {
        interval: 0.01,
        torque: { filter: r.uniform(0.01, 0.04), delay: r.uniform(0.03, 0.1) },
        speed: { filter: 0.002 },
      },
      { findings: ['channel_delay', 'no_breakaway_test'] },
    ),
  'ripple-heavy': (r) =>
    test(
      r,
      { ripple: [0.02, 0.06] },
      (rig) => [...twoRates(rig), ...stairs(rig, 5)],
      { interval: 0.005 },
      {
        findings: ['torque_ripple'],
      },
    ),
  warming: (r) =>
    test(
      r,
      { warming: true },
      (rig) => [
        ...staircase(rig, upAndDown([0.1, 0.3, 0.5, 0.7, 0.85, 1]), 0, 4),
        ...staircase(rig, upAndDown([0.1, 0.3, 0.5, 0.7, 0.85, 1]), 0, 4),
      ],
      {},
      { findings: ['drag_drift'] },
    ),
  'saturated-ramps': (r) =>
    test(
      r,
      {},
      (rig) => {
        const shortest = (rig.machine.inertia * rig.topSpeed) / (1.5 * rig.ratedTorque);
        return [
          still(1),
          ...rampPair(rig, 0, 1, shortest * 0.6, 4),
          ...rampPair(rig, 0, 1, shortest * 0.6, 4),
          ...rampPair(rig, 0, 1, rig.rampTime),
          ...staircase(rig, upAndDown([0.2, 0.5, 0.8, 1]), 0, 3),
        ];
      },
      {},
      { findings: ['torque_saturated'] },
    ),
  'spikes-missing-jitter': (r) =>
    test(
      r,
      {},
      (rig) => [...twoRates(rig), ...stairs(rig)],
      { interval: 0.02, jitter: 0.003, spikes: 0.001, missing: 0.004, gaps: 3 },
      { findings: ['spikes', 'missing_samples', 'irregular_sampling'] },
    ),
  'low-speed-only': (r) =>
    test(
      r,
      {},
      (rig) => [
        still(1),
        ...rampPair(rig, 0, 0.15, rig.rampTime),
        ...staircase(rig, upAndDown([0.03, 0.06, 0.09, 0.12, 0.15]), 0, 4),
      ],
      {},
      { findings: ['low_speed_only'] },
    ),
  'one-speed-only': (r) =>
    test(r, {}, (rig) => staircase(rig, [0.6], 0, 60), { from: 12 }, { findings: ['one_speed_only'] }),
  'flipped-torque': (r) =>
    test(
      r,
      {},
      (rig) => [...twoRates(rig), ...stairs(rig)],
      { flipTorque: true },
      { findings: ['sign_convention'], verdict: 'refused' },
    ),
  'unsigned-speed': (r) =>
    test(r, bothWays, bothDirections, { unsignedSpeed: true }, { findings: ['unsigned_speed'] }),
  stalled: (r) => {
    const made = test(
      r,
      {},
      (rig) => [
        still(1),
        ...breakaways(rig, r, 2),
        { mode: 'speed', to: 0.3 * rig.topSpeed, ramp: 3, hold: 6 },
        { mode: 'speed', to: 0, ramp: 1, hold: 2 },
      ],
      {},
      { findings: ['stalled'], verdict: 'refused' },
    );
    // A jammed roller: no torque that the drive has moves it.
    const jammed = { ...made.rig.machine.forward, coulomb: 4 * made.rig.ratedTorque };
    const machine = { ...made.rig.machine, forward: jammed, reverse: jammed };
    return { ...made, rig: { ...made.rig, machine } };
  },
  'web-on-driven-idler': (r) => webOn(r),
} satisfies Record<string, Recipe>;
