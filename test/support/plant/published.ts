/**
 * Twins of published systems: the parameters are theirs, the recordings are made here.
 *
 * LuGre: Canudas de Wit, Olsson, Åström, Lischinsky, IEEE TAC 40(3), 1995, table I as reproduced in public code that cites
 * it: σ0 1e5 N/m, σ1 √1e5 N·s/m, σ2 0.4 N·s/m, Fc 1 N, Fs 1.5 N, vs 0.001 m/s; unit mass. A metre reads as a radian.
 * EMPS: Janot, Gautier, Brunot, "Data Set and Reference Models of EMPS", 2019 Workshop on Nonlinear System Identification
 * Benchmarks: symmetric and asymmetric parameters, 1 kHz, 24.84 s, position step 5e-8 m. A lever of 1 m makes it rotary.
 */
import type { Friction } from './friction.js';
import type { Test } from './kinds.js';
import { type Machine, Motion } from './machine.js';
import type { DriveKeys, Plant } from './plantTypes.js';
import type { Random } from './random.js';
import { machineTruth, type Rig } from './rig.js';
import { breakaways, rampPair, staircase, still } from './scripts.js';

const sliding = (coulomb: number, viscous: number): Friction => ({
  coulomb,
  viscous,
  quadratic: 0,
  stribeck: 0,
  stribeckSpeed: 1,
  stribeckExponent: 1,
  adhesion: 0,
  adhesionSpeed: 1,
});

/** The published LuGre set: g = Fc + (Fs − Fc) exp(−(v/vs)²). */
export const publishedLugre: Machine = (() => {
  const friction: Friction = {
    ...sliding(1, 0.4),
    stribeck: 0.5,
    stribeckSpeed: 0.001,
    stribeckExponent: 2,
  };
  return {
    inertia: 1,
    forward: friction,
    reverse: friction,
    bristleStiffness: 1e5,
    bristleDamping: Math.sqrt(1e5),
    ripples: [],
  };
})();

const leverDrive: Omit<DriveKeys, 'name' | 'rated_torque_Nm' | 'max_motor_speed_rad_per_s'> = {
  schema: 'tautline/drive@1',
  element: 'driven-idler',
  gear_ratio: 1,
  roller_diameter_m: 2,
  roller_width_m: 1,
  torque_limit_percent: 300,
};

/** Breakaway ramps both ways, then ramps and plateaus up to 1 rad/s: a thousand times the Stribeck speed. */
export function lugreTest(random: Random): Test {
  const rig: Rig = {
    machine: publishedLugre,
    control: {
      proportional: 20,
      integral: 60,
      feedForward: 0,
      torqueLimit: 10,
      actuatorLag: 0.001,
      encoderStep: 1e-7,
      speedFilter: 0.001,
      speedNoise: 0,
    },
    drive: {
      ...leverDrive,
      name: 'published LuGre set',
      rated_torque_Nm: 4,
      max_motor_speed_rad_per_s: 1,
    },
    ratedTorque: 4,
    topSpeed: 1,
    rampTime: 3,
    offset: 0,
  };
  return {
    rig,
    phases: [
      still(1),
      ...breakaways(rig, random, 4),
      ...breakaways(rig, random, 4, -1),
      ...rampPair(rig, 0, 1, 3),
      ...rampPair(rig, 0, -1, 3),
      ...staircase(rig, [0.1, 0.3, 0.6, 1, 0], 0, 2),
      ...staircase(rig, [-0.1, -0.3, -0.6, -1, 0], 0, 2),
    ],
    layout: {
      units: 'si',
      interval: 0.005,
      torque: {},
      speed: {},
      torqueNoise: 0.0005,
      torqueQuantum: 0.0001,
      speedQuantum: 1e-6,
    },
    expects: { findings: ['two_directions'] },
    substeps: 4,
  };
}

const empsPublished = {
  'emps-twin': {
    inertia: 95.154,
    forward: sliding(20.144, 166.7061),
    reverse: sliding(20.6277, 240.4236),
    offset: 0,
  },
  'emps-twin-symmetric': {
    inertia: 95.1089,
    forward: sliding(20.3935, 203.5034),
    reverse: sliding(20.3935, 203.5034),
    offset: -3.1648,
  },
} as const;

/** Speed reference [m/s] at time t: strokes there and back at three speeds, ramps of 50 to 150 ms (1 m/s² and less). */
function strokes(random: Random): (t: number) => number {
  const corners: [time: number, speed: number][] = [[0, 0]];
  let t = 0.2;
  corners.push([t, 0]);
  let travel = 0.78;
  while (t < 24.6) {
    for (const level of [0.125, 0.083, 0.042]) {
      for (const direction of [1, -1]) {
        const ramp = random.uniform(0.05, 0.15);
        t += ramp;
        corners.push([t, direction * level]);
        t += travel - 2 * ramp;
        corners.push([t, direction * level]);
        t += ramp;
        corners.push([t, 0]);
      }
    }
    travel = random.uniform(0.7, 0.85);
  }
  let at = 0;
  return (time) => {
    while (at + 2 < corners.length && corners[at + 1]![0] <= time) at++;
    const [t0, v0] = corners[at]!;
    const [t1, v1] = corners[at + 1]!;
    return v0 + ((v1 - v0) * (time - t0)) / (t1 - t0);
  };
}

export function makeEmpsTwin(kind: keyof typeof empsPublished, seed: number, random: Random): Plant {
  const { inertia, forward, reverse, offset } = empsPublished[kind];
  // Bristles so stiff that presliding stays below 50 µm; small periodic force of the screw, amplitude invented.
  const stiffness = inertia * 600 ** 2;
  const machine: Machine = {
    inertia,
    forward,
    reverse,
    bristleStiffness: stiffness,
    bristleDamping: 1.4 * Math.sqrt(stiffness * inertia),
    ripples: [{ order: (2 * Math.PI) / 0.005, amplitude: 0.8, phase: random.uniform(0, 6) }],
  };
  const rows = 24841;
  const period = 0.001;
  const substeps = 4;
  const resolution = 5e-8;
  const motion = new Motion(machine);
  const speedAt = strokes(random);
  const time = new Float64Array(rows);
  const reference = new Float64Array(rows);
  const position = new Float64Array(rows);
  const torque = new Float64Array(rows);
  let wanted = 0;
  let seen = 0;
  for (let k = 0; k < rows; k++) {
    const now = Math.round(motion.angle / resolution) * resolution;
    const speed = k > 0 ? (now - seen) / period : 0;
    seen = now;
    // Position loop 160 1/s over a speed gain of 8500 N·s/m; the force column is what the controller puts out.
    const force = 8500 * (160 * (wanted - now) - speed);
    time[k] = k * period;
    reference[k] = wanted;
    position[k] = now;
    torque[k] = force;
    for (let s = 0; s < substeps; s++) motion.step(force - offset, period / substeps);
    wanted += 0.5 * period * (speedAt(k * period) + speedAt((k + 1) * period));
  }
  return {
    kind,
    seed,
    drive: {
      ...leverDrive,
      name: 'twin of a published axis',
      rated_torque_Nm: 100,
      max_motor_speed_rad_per_s: 0.15,
    },
    columns: [
      { header: 'time', unit: 's', role: 'time', values: time },
      { header: 'position ref', unit: 'rad', role: 'none', values: reference },
      { header: 'motor position', unit: 'rad', role: 'motor-position', values: position },
      { header: 'motor torque', unit: 'N.m', role: 'motor-torque', values: torque },
    ],
    truth: machineTruth(machine, offset),
    expects: kind === 'emps-twin' ? { findings: ['direction_asymmetry'] } : {},
  };
}
