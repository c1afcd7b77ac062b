/** Draws an invented drive of a web line: mechanics, friction, speed loop. Every range is that of usual web-line drives, from memory. */
import { breakaway, type Friction, steadyDrag } from './friction.js';
import type { Machine, Ripple } from './machine.js';
import type { DragTruth, DriveKeys, PlantTruth } from './plantTypes.js';
import type { Random } from './random.js';
import type { Control } from './run.js';

export interface Rig {
  readonly machine: Machine;
  readonly control: Control;
  readonly drive: DriveKeys;
  readonly ratedTorque: number;
  readonly topSpeed: number;
  /** Time of a comfortable ramp from rest to top speed [s]. */
  readonly rampTime: number;
  /** Added by the drive's torque display, on and off [N·m]. */
  readonly offset: number;
  /** The web over the roller: tension [N], mean torque it takes from the motor [N·m], width [m]. */
  readonly web?: { readonly tension: number; readonly meanTorque: number; readonly width: number };
}

export interface RigChoice {
  /** Reverse drag differs from forward. */
  readonly asymmetric?: boolean;
  /** Ripple amplitude range as a fraction of rated torque. */
  readonly ripple?: readonly [number, number];
  readonly warming?: boolean;
  /** Offset of the torque display, as a fraction of the Coulomb torque. */
  readonly offset?: readonly [number, number];
  readonly element?: string;
}

export function drawFriction(random: Random, coulomb: number, topSpeed: number): Friction {
  const growth = coulomb * (random.uniform(1.3, 4) - 1);
  const viscousShare = random.uniform(0.3, 0.9);
  const stribeckShare = random.chance(0.15) ? 0 : random.uniform(0.05, 0.6);
  const breakawayShare = random.uniform(Math.max(1.1, 1.03 + stribeckShare), 2);
  return {
    coulomb,
    stribeck: stribeckShare * coulomb,
    stribeckSpeed: random.uniform(0.004, 0.012) * topSpeed,
    stribeckExponent: random.chance(0.6) ? 1 : 2,
    adhesion: (breakawayShare - 1 - stribeckShare) * coulomb,
    adhesionSpeed: random.uniform(0.0004, 0.0012) * topSpeed,
    viscous: (viscousShare * growth) / topSpeed,
    quadratic: ((1 - viscousShare) * growth) / topSpeed ** 2,
  };
}

/**
 * The same roller turned backwards: seals and gears drag otherwise. The viscous part differs by a quarter of the Coulomb
 * torque at top speed or more (on the published axis it is 0.45), because a difference of Coulomb torque alone cannot be
 * told from an offset of the torque display: no recording would show which it is.
 */
function otherWay(random: Random, f: Friction, topSpeed: number): Friction {
  const c = random.uniform(1.12, 1.5);
  const more = random.uniform(0.25, 0.6) * (f.coulomb / topSpeed);
  return {
    ...f,
    coulomb: f.coulomb * c,
    stribeck: f.stribeck * c,
    adhesion: f.adhesion * c,
    viscous: f.viscous + more,
  };
}

/** Four significant digits: the width of a nameplate. */
export const nameplate = (x: number): number => Number(x.toPrecision(4));

export function drawRig(random: Random, choice: RigChoice = {}): Rig {
  for (;;) {
    const ratedTorque = nameplate(random.logUniform(5, 500));
    const topSpeed = nameplate(random.uniform(80, 320));
    const rampTime = random.uniform(4, 10);
    const inertia = (random.uniform(0.15, 0.5) * ratedTorque * rampTime) / topSpeed;
    const coulomb = ratedTorque * random.logUniform(0.01, 0.15);
    const forward = drawFriction(random, coulomb, topSpeed);
    const diameter = nameplate(random.logUniform(0.1, 0.5));
    const ratio = nameplate((topSpeed * diameter) / (2 * random.uniform(2.5, 12)));
    const coastTime = (inertia * topSpeed) / (0.5 * (coulomb + steadyDrag(forward, topSpeed)));
    if (!(inertia > 0.01 && inertia < 20 && coastTime > 12 && coastTime < 80 && ratio > 0.8 && ratio < 12))
      continue;
    const drive: DriveKeys = {
      schema: 'tautline/drive@1',
      name: 'invented drive',
      element: choice.element ?? 'driven-idler',
      rated_torque_Nm: ratedTorque,
      gear_ratio: ratio,
      roller_diameter_m: diameter,
      roller_width_m: nameplate(random.uniform(0.6, 3)),
      max_motor_speed_rad_per_s: topSpeed,
      motor_inertia_kgm2: nameplate(inertia * random.uniform(0.1, 0.4)),
      torque_limit_percent: 150,
    };
    return buildRig(random, drive, inertia, forward, rampTime, choice);
  }
}

/** Everything else of a drive whose nameplate, inertia and friction are given: bristles, ripple, speed loop, sensors. */
export function buildRig(
  random: Random,
  drive: DriveKeys,
  inertia: number,
  forward: Friction,
  rampTime: number,
  choice: RigChoice = {},
): Rig {
  const ratedTorque = drive.rated_torque_Nm;
  const topSpeed = drive.max_motor_speed_rad_per_s;
  const reverse = choice.asymmetric ? otherWay(random, forward, topSpeed) : forward;
  const bristle = random.uniform(80, 220);
  const [lowRipple, highRipple] = choice.ripple ?? [0, 0.003];
  const ripples: Ripple[] = [1, 1 / drive.gear_ratio].map((order) => ({
    order,
    amplitude: ratedTorque * random.uniform(lowRipple, highRipple),
    phase: random.uniform(0, 2 * Math.PI),
  }));
  const bandwidth = random.logUniform(8, 30);
  const [lowOffset, highOffset] = choice.offset ?? [0, 0];
  return {
    machine: {
      inertia,
      forward,
      reverse,
      bristleStiffness: inertia * bristle * bristle,
      bristleDamping: 1.4 * inertia * bristle,
      ripples,
      ...(choice.warming && {
        warming: { excess: random.uniform(0.4, 0.9), time: random.uniform(30, 60) },
      }),
    },
    control: {
      proportional: inertia * bandwidth,
      integral: (inertia * bandwidth * bandwidth) / random.uniform(4, 7),
      feedForward: random.chance(0.3) ? inertia * random.uniform(0.6, 1.1) : 0,
      torqueLimit: 0.01 * drive.torque_limit_percent * ratedTorque,
      actuatorLag: random.uniform(0.001, 0.004),
      encoderStep: (2 * Math.PI) / random.pick([16384, 65536, 1048576]),
      speedFilter: random.uniform(0.001, 0.004),
      speedNoise: topSpeed * random.logUniform(2e-5, 2e-4),
    },
    drive,
    ratedTorque,
    topSpeed,
    rampTime,
    offset: (random.chance(0.5) ? 1 : -1) * forward.coulomb * random.uniform(lowOffset, highOffset),
  };
}

export function dragTruth(f: Friction): DragTruth {
  return {
    coulomb_Nm: f.coulomb,
    viscous_Nms: f.viscous,
    quadratic_Nms2: f.quadratic,
    stribeck_Nm: f.stribeck,
    stribeckSpeed_rad_per_s: f.stribeckSpeed,
    stribeckExponent: f.stribeckExponent,
    breakaway_Nm: breakaway(f),
  };
}

export function machineTruth(machine: Machine, offset: number): PlantTruth {
  const { forward, reverse, warming } = machine;
  return {
    inertia_kgm2: machine.inertia,
    ...dragTruth(forward),
    offset_Nm: offset,
    ...(reverse !== forward && { reverse: dragTruth(reverse) }),
    ...(warming && { warming: { excess: warming.excess, time_s: warming.time } }),
    dragAt: (speed) => steadyDrag(speed < 0 ? reverse : forward, Math.abs(speed)),
  };
}
