import { TautlineError } from '../errors.js';
import type { AngularSpeed, Mass, Speed } from '../units/quantity.js';

/**
 * Residual unbalance that a grade permits, U = m·G/ω [kg·m]. m mass of the rotor [kg], G balance grade [m/s] (G 6.3 is 6.3e-3 m/s), ω highest speed in use
 * [rad/s]. Valid: rigid rotor. A grade is not a vibration of the casing. @throws TautlineError argument_invalid
 * Source: ISO 21940-11, eccentricity times speed is the grade.
 */
export function permissibleUnbalance(mass: Mass, grade: Speed, speed: AngularSpeed): number {
  if (!(mass > 0 && grade > 0 && speed > 0))
    throw new TautlineError(
      'argument_invalid',
      { mass, grade, speed },
      `no unbalance for ${mass} kg, grade ${grade} m/s and ${speed} rad/s`,
      'state values above 0',
    );
  return (mass * grade) / speed;
}
