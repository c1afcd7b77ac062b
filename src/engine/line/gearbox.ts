import { TautlineError } from '../errors.js';
import type { AngularSpeed, Inertia, Ratio, Torque } from '../units/quantity.js';
import { inertiaAtMotor } from './inertia.js';

/** What stands between motor and roller. */
export interface Gearbox {
  /** Motor speed / roller speed i [1], above 0. */
  readonly ratio: Ratio;
  /** Power out / power in η [1], above 0 and at most 1, taken as the same in both directions and at every load. */
  readonly efficiency: Ratio;
}

/**
 * Refuses what is no gearbox. The relations below check for themselves; this is for the door of a document.
 * @throws TautlineError argument_invalid for a ratio that is not above 0 or an efficiency outside (0, 1]
 */
export function requireGearbox({ ratio, efficiency }: Gearbox): void {
  if (!(ratio > 0 && ratio < Number.POSITIVE_INFINITY))
    throw new TautlineError(
      'argument_invalid',
      { ratio },
      `gear ratio ${ratio} is not above 0`,
      'state motor speed / roller speed',
    );
  if (!(efficiency > 0 && efficiency <= 1))
    throw new TautlineError(
      'argument_invalid',
      { efficiency },
      `gearbox efficiency ${efficiency} is not above 0 and at most 1`,
      'state power out / power in as a fraction, 0.96 for 96 %',
    );
}

/**
 * Torque at the motor over torque at the roller [1]: 1/(i·η) when power flows to the roller (torque and speed of one sign), η/i when it
 * flows back, so losses add to what the motor gives and are taken off what it must hold. T torque that the gearbox gives the roller
 * [N·m], ω speed of the roller [rad/s], of which only the sign counts; 0 counts as forward, the way a line starts.
 *
 * In T it is a change of slope at T = 0, never a step of T times it. In ω it is a step where rotation reverses under a torque that stays:
 * see {@link reversalStep}. Valid: efficiency independent of load; losses without load belong to the drag.
 * @throws TautlineError argument_invalid Source: power balance of the gearbox.
 */
export function gearFactor(gearbox: Gearbox, torqueAtRoller: Torque, speed: AngularSpeed): Ratio {
  const { ratio, efficiency } = gearbox;
  if (!(ratio > 0 && efficiency > 0 && efficiency <= 1)) requireGearbox(gearbox);
  const driving = speed < 0 ? torqueAtRoller <= 0 : torqueAtRoller >= 0;
  return driving ? 1 / (ratio * efficiency) : efficiency / ratio;
}

/**
 * Torque at the motor for a torque at the roller, T/(i·η) driving and T·η/i braking [N·m]; see {@link gearFactor} for symbols and signs.
 * The inertia of motor and gearbox comes on top, since its torque does not pass the teeth. @throws TautlineError argument_invalid
 * Source: power balance of the gearbox.
 */
export const torqueAtMotor = (gearbox: Gearbox, torqueAtRoller: Torque, speed: AngularSpeed): Torque =>
  torqueAtRoller * gearFactor(gearbox, torqueAtRoller, speed);

/**
 * Torque at the roller for a torque at the motor, T·i·η driving and T·i/η braking [N·m]: the inverse of {@link torqueAtMotor}. T torque
 * at the motor that reaches the gearbox [N·m], ω speed [rad/s] of either shaft. @throws TautlineError argument_invalid
 * Source: power balance of the gearbox.
 */
export const torqueAtRoller = (gearbox: Gearbox, torqueAtMotor: Torque, speed: AngularSpeed): Torque =>
  // The gearbox does not change the sign of a torque, so both sides agree on the direction of the power.
  torqueAtMotor / gearFactor(gearbox, torqueAtMotor, speed);

/**
 * Step of the motor torque |T|·(1/η − η)/i [N·m] that follows from the efficiency when the power turns round under a torque T at the
 * roller [N·m] that stays: rotation reversing under tension, or a program that flips the efficiency by anything but the direction of the
 * power. It is also the width of the band in which the motor torque of a shaft held at rest may lie.
 * @throws TautlineError argument_invalid Source: difference of the two branches of gearFactor.
 */
export function reversalStep(gearbox: Gearbox, torqueAtRoller: Torque): Torque {
  requireGearbox(gearbox);
  const { ratio, efficiency } = gearbox;
  return (Math.abs(torqueAtRoller) * (1 / efficiency - efficiency)) / ratio;
}

/**
 * All inertia that the motor turns, J/i² + Jg + Jm [kg·m²]. J inertia at the roller, Jg of the gearbox stated at the motor shaft, as data
 * sheets do, Jm of the motor [kg·m²], i gear ratio [1]. An inertia identified at the motor is this sum already.
 * @throws TautlineError argument_invalid Source: equal kinetic energy.
 */
export const totalInertiaAtMotor = (
  gearbox: Gearbox,
  inertiaAtRoller: Inertia,
  gearboxInertia: Inertia,
  motorInertia: Inertia,
): Inertia => inertiaAtMotor(inertiaAtRoller, gearbox.ratio) + gearboxInertia + motorInertia;
