/**
 * Invented results for the tests of the report: no machine was measured, no fit was run. Numbers are made by plain
 * formulas here so that a test can say what a figure must hold.
 */

import type { FeedForward } from '../../src/engine/feedforward/types.js';
import type { Finding } from '../../src/engine/findings.js';
import type { Comparison } from '../../src/engine/identify/compare/comparison.js';
import type {
  DragPoint,
  Estimate,
  Identification,
  Segment,
} from '../../src/engine/identify/identification.js';
import type { Drive } from '../../src/engine/line/drive.js';
import type { CommissioningInput } from '../../src/engine/report/commissioning/input.js';

export const drive: Drive = {
  name: 'helper 3',
  element: 'driven-idler',
  ratedTorque: 15.5,
  gearRatio: 2.5,
  rollerRadius: 0.089,
  rollerWidth: 2.2,
  maxMotorSpeed: 152,
  motorInertia: 0.0043,
  torqueLimit: 1.5,
};

export const estimate = (value: number, standardError: number): Estimate => ({
  value,
  standardError,
  interval95: [value - 1.96 * standardError, value + 1.96 * standardError],
});

const truth = { inertia: 0.0212, coulomb: 0.62, viscous: 0.0031, stribeck: 0.25, stribeckSpeed: 4 };
const dragAt = (w: number): number =>
  truth.coulomb + truth.viscous * w + truth.stribeck * Math.exp(-w / truth.stribeckSpeed);

/** Speed [rad/s] of the invented run at time t [s]: breakaway, four plateaus up, coast-down. */
function speedAt(t: number): number {
  const corners: readonly (readonly [number, number])[] = [
    [0, 0],
    [12, 0],
    [14, 20],
    [24, 20],
    [27, 60],
    [37, 60],
    [40, 100],
    [50, 100],
    [53, 145],
    [63, 145],
    [78, 0],
    [84, 0],
  ];
  for (let k = 1; k < corners.length; k++) {
    const [t0, w0] = corners[k - 1] as readonly [number, number];
    const [t1, w1] = corners[k] as readonly [number, number];
    if (t <= t1) return w0 + ((w1 - w0) * (t - t0)) / (t1 - t0);
  }
  return 0;
}

export const segments: readonly Segment[] = [
  { kind: 'rest', from: 0, to: 2, why: 'speed below 0.2 rad/s, torque off', used: false },
  {
    kind: 'breakaway',
    from: 2,
    to: 12,
    why: 'torque rises slowly from standstill until motion starts',
    used: true,
  },
  { kind: 'ramp', from: 12, to: 14, why: 'steady acceleration of 10 rad/s², corners masked', used: true },
  { kind: 'plateau', from: 14, to: 24, why: 'speed within 0.3 % of 20 rad/s for 10 s', used: true },
  { kind: 'ramp', from: 24, to: 27, why: 'steady acceleration of 13 rad/s², corners masked', used: true },
  { kind: 'plateau', from: 27, to: 37, why: 'speed within 0.3 % of 60 rad/s for 10 s', used: true },
  { kind: 'ramp', from: 37, to: 40, why: 'steady acceleration of 13 rad/s², corners masked', used: true },
  { kind: 'plateau', from: 40, to: 50, why: 'speed within 0.3 % of 100 rad/s for 10 s', used: true },
  {
    kind: 'excluded',
    from: 50,
    to: 53,
    why: 'torque at its limit for 1.4 s: more was asked than given',
    used: false,
  },
  { kind: 'plateau', from: 53, to: 63, why: 'speed within 0.3 % of 145 rad/s for 10 s', used: true },
  { kind: 'coast', from: 63, to: 78, why: 'drive off, speed falls under drag alone', used: true },
  { kind: 'rest', from: 78, to: 84, why: 'speed below 0.2 rad/s, torque off', used: false },
];

function makeTrace(): NonNullable<Identification['trace']> {
  const n = 8400;
  const time = Float64Array.from({ length: n }, (_, i) => i * 0.01);
  const speed = time.map((t) => speedAt(t) + 0.15 * Math.sin(t * 31));
  const torqueFitted = time.map((t) => {
    if (t < 12 || t > 63) return t >= 63 && t < 78 ? 0 : Number.NaN;
    if (t >= 50 && t < 53) return Number.NaN;
    const acceleration = (speedAt(t + 0.01) - speedAt(t - 0.01)) / 0.02;
    return truth.inertia * acceleration + dragAt(speedAt(t));
  });
  // A fixed mixture of sines stands for noise: the same bytes every time.
  const noise = (t: number): number => 0.02 * Math.sin(t * 997) + 0.015 * Math.sin(t * 3571 + 1);
  const torque = time.map((t, i) => {
    const model = torqueFitted[i] as number;
    const known = Number.isFinite(model)
      ? model
      : t >= 2 && t < 12
        ? 0.11 * (t - 2)
        : t >= 50 && t < 53
          ? 1.9
          : 0;
    return known + noise(t) + 0.01 * Math.sin(t * 7);
  });
  return { time, speed, torque, torqueFitted };
}

const plateauSpeeds = [20, 60, 100, 145];
export const dragCurve: readonly DragPoint[] = [
  ...plateauSpeeds.map(
    (w, k): DragPoint => ({
      speed: w,
      torque: dragAt(w) + [0.012, -0.008, 0.006, -0.004][k]!,
      halfWidth95: 0.022,
      from: 'plateau',
    }),
  ),
  ...Array.from({ length: 12 }, (_, k): DragPoint => {
    const w = 10 + k * 12;
    return { speed: w, torque: dragAt(w) + 0.01 * Math.sin(k), halfWidth95: 0.03, from: 'coast' };
  }),
  ...Array.from({ length: 40 }, (_, k): DragPoint => {
    const w = 2 + (k * 143) / 39;
    return { speed: w, torque: dragAt(w), halfWidth95: 0.012 + 0.03 * Math.exp(-w / 12), from: 'fit' };
  }),
];

export const findings: readonly Finding[] = [
  {
    code: 'torque_saturated',
    severity: 'warn',
    message: 'Torque stood at its limit for 1.4 s of the last ramp, so this ramp says nothing about inertia.',
    where: { from_s: 50.2, to_s: 51.6 },
    next: 'Repeat the last ramp at half the rate.',
  },
  {
    code: 'channel_delay',
    severity: 'info',
    message: 'Torque comes 8 ms after speed; it was moved back by that much.',
    where: { channel: 'Torque act [% of rated]' },
    next: 'Nothing to do; state the delay when comparing with another logger.',
  },
];

/** A full result of a designed test. */
export const identification: Identification = {
  driveName: drive.name,
  verdict: 'warned',
  findings,
  channels: [
    { role: 'time', header: 'Time [ms]', unit: 'ms', delay: 0 },
    { role: 'motor-speed', header: 'Speed act [rpm]', unit: 'rpm', delay: 0 },
    { role: 'motor-torque', header: 'Torque act [% of rated]', unit: '%', delay: 0.008 },
  ],
  segments,
  estimates: {
    inertia: estimate(0.02118, 0.00006),
    coulomb: estimate(0.617, 0.006),
    viscous: estimate(0.00314, 0.00005),
    stribeck: estimate(0.24, 0.03),
    stribeckSpeed: estimate(4.3, 0.9),
    breakaway: estimate(1.043, 0.018),
    offset: estimate(0.004, 0.006),
  },
  notEstimated: [
    {
      name: 'quadratic',
      why: 'the plateaus do not reach a speed at which windage would stand out from its uncertainty',
      next: 'Add a plateau at maximum speed, held for 20 s.',
    },
  ],
  dragCurve,
  breakawayEvents: [
    { time: 11.6, torque: 1.05, direction: 1, dwell: 9.6, rate: 0.11 },
    { time: 131.2, torque: 1.02, direction: 1, dwell: 30, rate: 0.11 },
    { time: 251.9, torque: 1.09, direction: -1, dwell: 120, rate: 0.11 },
    { time: 372.3, torque: 1.03, direction: -1, dwell: 30, rate: 0.11 },
  ],
  speedRange: [2, 145],
  residual: { rms: 0.0251, autocorrelationTime: 0.12 },
  trace: makeTrace(),
  inputs: { file: 'helper-3-as-found.csv', sha256: '3f0a'.repeat(16), rows: 84_000 },
};

/** A production recording that supports almost nothing. */
export const refusedIdentification: Identification = {
  driveName: 'unwind',
  verdict: 'refused',
  findings: [
    {
      code: 'one_speed_only',
      severity: 'refuse',
      message: 'The whole recording runs at one speed, 96 rad/s, so drag over speed cannot be told.',
      where: { from_s: 0, to_s: 600 },
      next: 'Record the step test of the test sheet: at least four speeds up and down.',
    },
  ],
  channels: [{ role: 'motor-speed', header: 'n', unit: 'rpm', delay: 0 }],
  segments: [{ kind: 'plateau', from: 0, to: 600, why: 'one steady speed', used: false }],
  estimates: {},
  notEstimated: [
    { name: 'inertia', why: 'no acceleration in the recording', next: 'Record ramps at two rates.' },
    { name: 'breakaway', why: 'no torque ramp from standstill', next: 'Record slow torque ramps from rest.' },
    { name: 'coulomb', why: 'one speed only', next: 'Record at least four speeds.' },
  ],
  breakawayEvents: [],
  inputs: { file: 'unwind-production.txt', sha256: '9b1c'.repeat(16), rows: 60_000 },
};

const feedForwardRow = (w: number): FeedForward['rows'][number] => ({
  speed: w,
  torque: dragAt(w),
  fraction: dragAt(w) / 15.5,
  tugHalfWidth: (0.02 * 2.5) / 0.089,
  accelerating: dragAt(w) + 0.02118 * 14,
  decelerating: dragAt(w) - 0.02118 * 14,
  tugHalfWidthAccelerating: 0.7,
});
export const feedforward: FeedForward = {
  driveName: drive.name,
  verdict: 'identified',
  rows: [{ ...feedForwardRow(0), extrapolated: true }, ...[2, 10, 25, 50, 100, 145].map(feedForwardRow)],
  assist: { torque: 0.17, interval95: [0.13, 0.21], fadeSpeed: 4, fadeTime: 0.8 },
  interpolationError: 0.004,
  inertia: estimate(0.02118, 0.00006),
  tolerance: 0.005,
  identifiedRange: [2, 145],
  notFilled: [145, 152],
  acceleration: { web: 0.5, motor: 14 },
  offsetLeftOut: estimate(0.004, 0.006),
  findings: [],
};

const interval = (value: number, standardError: number): readonly [number, number] =>
  estimate(value, standardError).interval95;

export const comparison: Comparison = {
  driveName: drive.name,
  verdict: 'warned',
  tolerance: 0.02,
  changes: [
    {
      name: 'coulomb',
      earlier: 0.617,
      later: 0.452,
      earlierInterval95: interval(0.617, 0.006),
      laterInterval95: interval(0.452, 0.007),
      ratio: 0.733,
      ratioInterval95: [0.704, 0.762],
      differenceInterval95: [-0.183, -0.147],
      verdict: 'changed',
    },
    {
      name: 'inertia',
      earlier: 0.02118,
      later: 0.02121,
      earlierInterval95: interval(0.02118, 0.00006),
      laterInterval95: interval(0.02121, 0.00006),
      ratio: 1.0014,
      ratioInterval95: [0.994, 1.009],
      differenceInterval95: [-0.00014, 0.0002],
      verdict: 'unchanged',
    },
    {
      name: 'offset',
      earlier: 0.004,
      later: 0.009,
      earlierInterval95: interval(0.004, 0.006),
      laterInterval95: interval(0.009, 0.006),
      differenceInterval95: [-0.012, 0.022],
      verdict: 'undecided',
    },
  ],
  notCompared: [{ name: 'breakaway', why: 'only one of the two recordings holds a breakaway test' }],
  dragCurves: [10, 40, 70, 100, 130].map((w) => ({
    speed: w,
    earlier: dragAt(w),
    later: dragAt(w) - 0.165,
    differenceInterval95: [-0.195, -0.135],
  })),
  curveVerdict: 'changed',
  tugChange: {
    force: 4.6,
    interval95: [3.8, 5.4],
    sense: 'fell',
    speed: 10,
    direction: 'forward',
    share: 0.031,
  },
  findings: [
    {
      code: 'pair_change',
      severity: 'warn',
      message: 'Coulomb drag fell by 27 % between the two visits.',
      where: {},
      next: 'Put the later values into the drive.',
    },
  ],
};

/** A drive measured in both directions, with another drag for each, and a roll that grows. */
export const winderIdentification: Identification = {
  ...identification,
  driveName: 'winder',
  verdict: 'identified',
  findings: [],
  reverse: { estimates: { coulomb: estimate(0.71, 0.02), viscous: estimate(0.0033, 0.0002) } },
  symmetric: { estimates: { coulomb: estimate(0.66, 0.03), offset: estimate(-0.05, 0.02) } },
  dragCurveReverse: dragCurve.map((p) => ({ ...p, torque: p.torque * 1.12 })),
  inertiaOverDiameter: [
    { diameter: 0.2, inertia: 0.05 },
    { diameter: 0.6, inertia: 0.41 },
    { diameter: 1.1, inertia: 4.2 },
  ],
  rollDensity: estimate(912, 14),
};

const winderFeedForward: FeedForward = {
  driveName: 'winder',
  verdict: 'identified',
  rows: [10, 100].map((w) => ({ speed: w, torque: dragAt(w) })),
  reverse: { rows: [10, 100].map((w) => ({ speed: w, torque: 1.1 * dragAt(w) })) },
  findings: [],
};
const winderComparison: Comparison = {
  ...comparison,
  changesReverse: comparison.changes.slice(0, 1),
  dragCurvesReverse: comparison.dragCurves.slice(0, 3),
  curveVerdictReverse: 'undecided',
};

/** A line of three drives that shows everything a report can hold. */
export const input: CommissioningInput = {
  lineName: 'Invented line',
  invented: true,
  date: '25 November 2026',
  units: 'si',
  drives: [
    {
      drive: { name: 'unwind', element: 'unwind', gearRatio: 4, coreRadius: 0.05 },
      identification: refusedIdentification,
    },
    { drive, identification, feedforward, comparison },
    {
      drive: { name: 'winder', element: 'winder', gearRatio: 3, coreRadius: 0.045 },
      identification: winderIdentification,
      feedforward: winderFeedForward,
      comparison: winderComparison,
    },
  ],
};
