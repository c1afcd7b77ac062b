import { TautlineError } from '../errors.js';
import type { AngularSpeed, Length, Mass, Speed } from '../units/quantity.js';

/**
 * Distance of the centre of mass from the axis that a grade permits, e = G/ω [m]. G balance grade [m/s] (G 6.3 is 6.3e-3 m/s), ω highest speed in use
 * [rad/s]. Valid: rigid rotor. @throws TautlineError argument_invalid
 * Source: ISO 21940-11, eccentricity times speed is the grade.
 */
export function permissibleEccentricity(grade: Speed, speed: AngularSpeed): Length {
  if (!(grade > 0 && speed > 0))
    throw new TautlineError(
      'argument_invalid',
      { grade, speed },
      `no eccentricity for grade ${grade} m/s at ${speed} rad/s`,
      'state values above 0',
    );
  return grade / speed;
}

/**
 * Residual unbalance that a grade permits, U = m·G/ω [kg·m], of both planes together. m mass of the rotor [kg], G and ω as above. In US units U[oz·in] = 6.015·G·W[lb]/N[rpm],
 * G in mm/s. Valid: rigid rotor. A grade is not a vibration of the casing. @throws TautlineError argument_invalid
 * Source: ISO 21940-11.
 */
export function permissibleUnbalance(mass: Mass, grade: Speed, speed: AngularSpeed): number {
  if (!(mass > 0))
    throw new TautlineError(
      'argument_invalid',
      { mass },
      `no unbalance for a mass of ${mass} kg`,
      'state a mass above 0',
    );
  return mass * permissibleEccentricity(grade, speed);
}
