import { TautlineError } from '../errors.js';
import type {
  Acceleration,
  Angle,
  Inertia,
  Length,
  Ratio,
  Speed,
  Tension,
  Torque,
} from '../units/quantity.js';

/**
 * Largest ratio of the tensions on both sides of a roller before the web slips, exp(μ·β) [1]. μ friction [1], β wrap [rad]. Valid: thin web
 * that the roller carries as a whole. @throws TautlineError argument_invalid for negative arguments. Source: Euler-Eytelwein.
 */
export function capstanRatio(friction: Ratio, wrap: Angle): Ratio {
  if (!(friction >= 0 && wrap >= 0 && Number.isFinite(friction * wrap)))
    throw new TautlineError(
      'argument_invalid',
      { friction, wrap },
      `no traction for friction ${friction} and wrap ${wrap} rad`,
      'state both as at least 0',
    );
  return Math.exp(friction * wrap);
}

/**
 * Friction that a roller needs so that the web does not slip, ln(T_high/T_low)/β [1]; Infinity without wrap. Tensions of the two sides [N],
 * in either order, β wrap [rad]. Source: {@link capstanRatio} solved for friction.
 */
export const frictionNeeded = (one: Tension, other: Tension, wrap: Angle): Ratio =>
  one === other ? 0 : Math.abs(Math.log(one / other)) / wrap;

/**
 * Tension that presses a running web on a roller, T − m′·v² [N], not below 0. T tension [N], m′ mass of web per length [kg/m], v speed [m/s]: the
 * rest bends the web's own momentum round the roller. Source: momentum balance of the wrapped web.
 */
export const pressingTension = (tension: Tension, massPerLength: number, speed: Speed): Tension =>
  Math.max(0, tension - massPerLength * speed * speed);

/**
 * Largest acceleration of the web before an idler slips, (R²/J)·[T·(exp(μ·β) − 1) − M/R] [m/s²]; negative when it slips already. T tension before
 * the roller [N], M drag [N·m], R radius [m], J inertia [kg·m²]. @throws TautlineError argument_invalid
 * Source: tension rise M/R + J·a/R² against {@link capstanRatio}.
 */
export const accelerationBeforeSlip = (
  friction: Ratio,
  wrap: Angle,
  tension: Tension,
  drag: Torque,
  radius: Length,
  inertia: Inertia,
): Acceleration => (radius ** 2 / inertia) * (tension * (capstanRatio(friction, wrap) - 1) - drag / radius);

/**
 * Largest deceleration of the web before an idler slips, as a magnitude, (R²/J)·[T·(1 − exp(−μ·β)) + M/R] [m/s²]. Drag helps to slow the roller down; the web
 * behind it is the slack one. T tension before the roller [N], M drag [N·m], R radius [m], J inertia [kg·m²]. @throws TautlineError argument_invalid
 * Source: tension rise M/R − J·d/R² against {@link capstanRatio}.
 */
export const decelerationBeforeSlip = (
  friction: Ratio,
  wrap: Angle,
  tension: Tension,
  drag: Torque,
  radius: Length,
  inertia: Inertia,
): Acceleration =>
  (radius ** 2 / inertia) * (tension * (1 - 1 / capstanRatio(friction, wrap)) + drag / radius);
