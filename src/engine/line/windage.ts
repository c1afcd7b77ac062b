import { TautlineError } from '../errors.js';
import type { AngularSpeed, Density, Length, Torque } from '../units/quantity.js';
import { airViscosity } from '../web/airFilm.js';

/** Density of air at 20 °C and 101.325 kPa [kg/m³], from memory. */
export const airDensity: Density = 1.204;

/**
 * Friction coefficient C of turbulent flow about a turning cylinder [1], 1/√C = −0.6 + 4.07·log₁₀(Re·√C), by Newton's method on x = 1/√C. Re
 * Reynolds number [1], at least 50. x + 0.6 − 4.07·log₁₀(Re/x) rises and is concave, so from x = 1 on every step stays below the root.
 * Source: Theodorsen and Regier, NACA report 793, 1944, from memory.
 */
function turbulentCoefficient(reynolds: number): number {
  let x = 1;
  for (let k = 0; k < 30; k++) {
    const step = (x + 0.6 - 4.07 * Math.log10(reynolds / x)) / (1 + 4.07 / (Math.LN10 * x));
    x -= step;
    if (Math.abs(step) <= 1e-14 * x) break;
  }
  return 1 / (x * x);
}

/**
 * Drag of the air on the shell of a smooth roller, ½·C·ρ·2πR·L·(ω·R)²·R [N·m], Re = ρ·ω·R²/η: C = 4/Re in laminar flow, above Re of about 80
 * 1/√C = −0.6 + 4.07·log₁₀(Re·√C), so the larger of both. ω speed [rad/s], R radius, L length [m], ρ density of the air [kg/m³]. Valid: smooth, far
 * from walls, without web and end faces. @throws TautlineError argument_invalid
 * Source: laminar from the equations of motion; turbulent Theodorsen and Regier, NACA report 793, 1944, from memory.
 */
export function windage(
  radius: Length,
  length: Length,
  speed: AngularSpeed,
  density: Density = airDensity,
): Torque {
  if (!(radius > 0 && length >= 0 && density > 0 && Number.isFinite(speed)))
    throw new TautlineError(
      'argument_invalid',
      { radius, length, speed, density },
      `no windage for radius ${radius} m, length ${length} m, ${speed} rad/s and air of ${density} kg/m³`,
      'state radius and density above 0 and a finite speed',
    );
  const omega = Math.abs(speed);
  const reynolds = (density * omega * radius * radius) / airViscosity;
  // ½·(4/Re)·ρ·2πR·L·(ω·R)²·R, with Re put in: no division by a speed of 0.
  const laminar = 4 * Math.PI * airViscosity * omega * radius ** 2 * length;
  if (reynolds < 50) return laminar;
  const pressed = Math.PI * density * radius * length * (omega * radius) ** 2 * radius;
  return Math.max(laminar, turbulentCoefficient(reynolds) * pressed);
}
