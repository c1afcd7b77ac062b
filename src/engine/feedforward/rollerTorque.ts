/**
 * Torque that each kind of section needs, at the roller. Every relation is
 *
 *   u = tension torque + J·α + s·(M + A)        s = sign of rotation, standstill counts as forward
 *
 * with drag M and assist A as magnitudes that act with the rotation, and inertia with the acceleration. Relations return the sum and, when
 * handed a record, fill in its parts; none allocates. Theory: docs/models/drive-torque.md.
 */
import { TautlineError } from '../errors.js';
import { type BuildSense, changingMassTension } from '../roll/buildUp.js';
import type {
  Acceleration,
  AngularAcceleration,
  BasisWeight,
  Inertia,
  Length,
  Ratio,
  Speed,
  Tension,
  Torque,
} from '../units/quantity.js';

/**
 * A roller or roll at one instant. Rollers have no radiusRate. Nothing says here whether the motor is part of J and M: motorTorque.ts
 * does.
 */
export interface Body {
  /** Radius R of the surface that carries the web [m], above 0. */
  readonly radius: Length;
  /** Rate of change of R [m/s], from roll/buildUp.ts; 0 when left out. */
  readonly radiusRate?: Speed;
  /** J [kg·m²] about its own axis. */
  readonly inertia: Inertia;
  /** Surface speed v [m/s] and its rate a [m/s²], positive along the web. */
  readonly speed: Speed;
  readonly acceleration: Acceleration;
  /** Drag M at this speed [N·m], a magnitude. */
  readonly drag: Torque;
  /** Breakaway assist A [N·m], a magnitude, see assist.ts; 0 when left out. */
  readonly assist?: Torque;
  /** Torque [N·m] of the term that is off by default, see {@link momentumTorque}; it goes with the inertia. */
  readonly momentum?: Torque;
}

/**
 * Refuses what no roller is; the relations rely on it and do not look again. Once before a loop over speeds.
 * @throws TautlineError argument_invalid for a radius that is not above 0, a negative inertia, drag or assist, or what is no number
 */
export function requireBody({ radius, inertia, drag, assist = 0, ...motion }: Body): void {
  const { radiusRate = 0, speed, acceleration, momentum = 0 } = motion;
  if (
    !(radius > 0 && inertia >= 0 && drag >= 0 && assist >= 0) ||
    !Number.isFinite(radius + inertia + drag + assist + radiusRate + speed + acceleration + momentum)
  )
    throw new TautlineError(
      'argument_invalid',
      { radius, inertia, drag, assist, speed, acceleration },
      `no roller has radius ${radius} m, inertia ${inertia} kg·m², drag ${drag} N·m and assist ${assist} N·m at ${speed} m/s and ${acceleration} m/s²`,
      'state a radius above 0, inertia, drag and assist of at least 0, and numbers for the rest',
    );
}

/** Parts of a torque [N·m], with sign; their sum is the torque. Filled in place. */
export interface TorqueParts {
  tension: Torque;
  inertia: Torque;
  drag: Torque;
  assist: Torque;
}

/** Empty parts to hand to the relations. */
export const emptyTorqueParts = (): TorqueParts => ({ tension: 0, inertia: 0, drag: 0, assist: 0 });

/**
 * Rotational acceleration of a surface, α = d(v/R)/dt = a/R − v·Ṙ/R² [rad/s²]. Symbols: {@link Body}. A winder turns slower as it grows,
 * an unwind faster as it shrinks, at constant web speed. Source: the quotient rule.
 */
export const rotationalAcceleration = ({
  radius,
  radiusRate,
  speed,
  acceleration,
}: Body): AngularAcceleration => (acceleration - (speed * (radiusRate ?? 0)) / radius) / radius;

/**
 * The term J̇·ω = ±ρ·h·W·v²·R [N·m] that papers carry which write d(Jω)/dt for a roll: + at a winder (sense 1), − at an unwind (−1).
 * `weight` ρ·h [kg/m²], W width [m], v web speed [m/s], R radius [m]. **Not part of the torque**: the web arrives with that momentum and
 * leaves with it, so it cancels; with it the tension is too high by ρ·h·W·v² at either end. For users who compare with such a paper, and as
 * the size of the question. Source: see changingMassTension.
 */
export const momentumTorque = (
  weight: BasisWeight,
  width: Length,
  speed: Speed,
  radius: Length,
  sense: BuildSense,
): Torque => sense * changingMassTension(weight, width, speed) * radius;

/** Tension torque + J·α + s·(M + A) [N·m]: what all relations below share. */
function torqueOf(tension: Torque, body: Body, parts: TorqueParts | undefined): Torque {
  const rotation = body.speed < 0 ? -1 : 1;
  const inertia = body.inertia * rotationalAcceleration(body) + (body.momentum ?? 0);
  const drag = rotation * body.drag;
  const assist = rotation * (body.assist ?? 0);
  if (parts !== undefined) {
    parts.tension = tension;
    parts.inertia = inertia;
    parts.drag = drag;
    parts.assist = assist;
  }
  return tension + inertia + drag + assist;
}

/**
 * Torque of an unwind, u = −T·R + J·α + s·(M + A) [N·m]: negative where it brakes. T tension of the web that leaves [N], the rest as in
 * {@link Body}. Quick acceleration of a large roll makes it positive: the motor must then drive. Source: torque balance of the roll.
 */
export const unwindTorque = (tension: Tension, roll: Body, parts?: TorqueParts): Torque =>
  torqueOf(-tension * roll.radius, roll, parts);

/**
 * Torque of a centre winder, u = T·R + J·α + s·(M + A) [N·m]. T tension of the web that arrives [N], the rest as in {@link Body}.
 * Source: torque balance of the roll.
 */
export const winderTorque = (tension: Tension, roll: Body, parts?: TorqueParts): Torque =>
  torqueOf(tension * roll.radius, roll, parts);

/**
 * Torque of a pull roll or any driven roller in the web, u = (T_up − T_down)·R + J·α + s·(M + A) [N·m]. T_up tension of the web that
 * arrives, T_down of the web that leaves [N]. Positive where it pulls: T_up − T_down is the web's hold on it. Source: torque balance.
 */
export const pullRollTorque = (up: Tension, down: Tension, roller: Body, parts?: TorqueParts): Torque =>
  torqueOf((up - down) * roller.radius, roller, parts);

/**
 * Torque of a helper drive that lets the web pass untouched, u = J·α + s·(M + A) [N·m]: a pull roll with equal tensions.
 * Source: torque balance.
 */
export const helperTorque = (roller: Body, parts?: TorqueParts): Torque => torqueOf(0, roller, parts);

/**
 * Torque of a drum that drives a roll through its surface, u = F·Rd + J·α + s·(M + A) + f·Rd/R·[J·α + s·(M + A)]roll [N·m]. F force into
 * the web net of inertia and drag [N], Rd radius of the drum and R of the roll [m], f share of the roll's inertia and bearing drag that
 * this drum carries [1]; alone, 1. A surface winder is this with F = T and f = 1. Valid: no slip between drum and roll.
 * @throws TautlineError argument_invalid for a share outside 0 to 1. Source: torque balance of drum and roll, joined by one force.
 */
export function drumTorque(
  force: Tension,
  drum: Body,
  roll: Body,
  rollInertiaShare: Ratio,
  parts?: TorqueParts,
): Torque {
  const total = torqueOf(force * drum.radius, drum, parts);
  return total + addRoll(roll, rollInertiaShare, drum.radius / roll.radius, parts);
}

/** f·k·[J·α + s·(M + A)] of the roll [N·m], added to the parts; f share of the roll, k from the roll's shaft to the motor's [1]. */
function addRoll(roll: Body, share: Ratio, lever: Ratio, parts: TorqueParts | undefined): Torque {
  if (!(share >= 0 && share <= 1))
    throw new TautlineError(
      'argument_invalid',
      { rollInertiaShare: share },
      `a motor cannot carry a share of ${share} of the roll`,
      'state a share from 0 to 1; the other motor carries the rest',
    );
  const rotation = roll.speed < 0 ? -1 : 1;
  const k = share * lever;
  const inertia = k * (roll.inertia * rotationalAcceleration(roll) + (roll.momentum ?? 0));
  const drag = k * rotation * roll.drag;
  const assist = k * rotation * (roll.assist ?? 0);
  if (parts !== undefined) {
    parts.inertia += inertia;
    parts.drag += drag;
    parts.assist += assist;
  }
  return inertia + drag + assist;
}

/** Torques of the two motors of a winder [N·m]: first the roll's own or the front drum, second the drum or the rear drum. */
export interface TwoTorques {
  first: Torque;
  second: Torque;
  /** Filled in when given. */
  readonly firstParts?: TorqueParts;
  readonly secondParts?: TorqueParts;
}

/**
 * Torques of a centre-surface winder, written into `into` [N·m]:
 *
 *   roll:  F1·R  + f·[J·α + s·(M + A)]roll
 *   drum:  F2·Rd + [J·α + s·(M + A)]drum + (1 − f)·Rd/R·[J·α + s·(M + A)]roll
 *
 * F1, F2 forces through the roll's own motor and through the drum [N], net of inertia and drag: their sum is the web tension, F1 − F2 the
 * torque differential. f share of the roll's inertia and bearing drag that its own motor carries [1]; with 1, the default, speed changes
 * leave the force in the nip alone. Valid: no slip. @throws TautlineError argument_invalid Source: torque balance of drum and roll.
 */
export function centreSurfaceTorques(
  throughRoll: Tension,
  throughDrum: Tension,
  roll: Body,
  drum: Body,
  into: TwoTorques,
  rollInertiaShare: Ratio = 1,
): TwoTorques {
  const parts = into.firstParts;
  const tension = throughRoll * roll.radius;
  if (parts !== undefined) {
    parts.tension = tension;
    parts.inertia = parts.drag = parts.assist = 0;
  }
  into.first = tension + addRoll(roll, rollInertiaShare, 1, parts);
  into.second = drumTorque(throughDrum, drum, roll, 1 - rollInertiaShare, into.secondParts);
  return into;
}

/**
 * Torques of a two-drum winder, written into `into` [N·m]; each drum as in {@link drumTorque}. F1, F2 forces through front and rear drum
 * [N], net of inertia and drag: their sum is the web tension, F1 − F2 the torque differential. f share of the roll's inertia and bearing
 * drag that the front drum carries [1]; with 0.5, the default, speed changes leave the differential alone.
 * Valid: no slip. @throws TautlineError argument_invalid Source: torque balance of drums and roll.
 */
export function twoDrumTorques(
  throughFront: Tension,
  throughRear: Tension,
  roll: Body,
  front: Body,
  rear: Body,
  into: TwoTorques,
  rollInertiaShare: Ratio = 0.5,
): TwoTorques {
  into.first = drumTorque(throughFront, front, roll, rollInertiaShare, into.firstParts);
  into.second = drumTorque(throughRear, rear, roll, 1 - rollInertiaShare, into.secondParts);
  return into;
}
