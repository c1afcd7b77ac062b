import { TautlineError } from '../errors.js';
import type { AngularSpeed, Length, Power, Speed, Tension, Torque } from '../units/quantity.js';

/**
 * Power that a tension carries along the web, P = F·v [W]. F tension, total [N], v web speed [m/s]. Positive where the web is pulled in
 * its own direction of travel. In US units hp = F[lbf]·v[fpm]/33000.
 * Source: definition of mechanical power.
 */
export const webPower = (tension: Tension, speed: Speed): Power => tension * speed;

/**
 * Power at a shaft, P = T·ω [W]. T torque [N·m], ω speed [rad/s] of the same shaft; positive when the torque drives, negative when it
 * brakes. In US units hp = T[lb·ft]·N[rpm]/5252.11.
 * Source: definition of mechanical power.
 */
export const shaftPower = (torque: Torque, angularSpeed: AngularSpeed): Power => torque * angularSpeed;

/**
 * Rotational speed of a roller that carries the web without slip, ω = v/R [rad/s]. v surface speed [m/s], R radius of the surface [m].
 * In US units N[rpm] = v[fpm]/(π·D[ft]). Valid: no slip; half the caliper is left out of R. @throws TautlineError argument_invalid
 * Source: rolling contact.
 */
export function rollerSpeed(surfaceSpeed: Speed, radius: Length): AngularSpeed {
  if (!(radius > 0))
    throw new TautlineError(
      'argument_invalid',
      { radius },
      `radius ${radius} m is not above 0`,
      'state the radius of the surface that carries the web',
    );
  return surfaceSpeed / radius;
}
