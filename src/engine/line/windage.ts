import { TautlineError } from '../errors.js';
import type { AngularSpeed, Density, Length, Torque } from '../units/quantity.js';
import { airViscosity } from '../web/airFilm.js';

/** Density of air at 20 °C and 1 bar [kg/m³], from memory. */
export const airDensity: Density = 1.204;

/**
 * Drag of the air on the shell of a smooth roller, ½·C·ρ·2πR·L·(ω·R)²·R [N·m], with 1/√C = −0.6 + 4.07·log₁₀(Re·√C), Re = ρ·ω·R²/η. ω speed [rad/s], R
 * radius, L length [m]. Valid: turbulent flow (Re above about 1000; below it the result is 0, where the drag is negligible), smooth, far from walls.
 * @throws TautlineError argument_invalid. Source: Theodorsen and Regier, NACA report 793, 1944, from memory.
 */
export function windage(radius: Length, length: Length, speed: AngularSpeed): Torque {
  if (!(radius > 0 && length >= 0 && Number.isFinite(speed)))
    throw new TautlineError(
      'argument_invalid',
      { radius, length, speed },
      `no windage for radius ${radius} m, length ${length} m and ${speed} rad/s`,
      'state a radius above 0 and a finite speed',
    );
  const omega = Math.abs(speed);
  const reynolds = (airDensity * omega * radius * radius) / airViscosity;
  if (reynolds < 1000) return 0;
  // Fixed point of x = 1/√C: the logarithm varies so slowly that it converges at once.
  let x = 15;
  for (let k = 0; k < 60; k++) x = -0.6 + 4.07 * Math.log10(reynolds / x);
  return (Math.PI * airDensity * radius * length * (omega * radius) ** 2 * radius) / (x * x);
}
