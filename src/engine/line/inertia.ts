import { TautlineError } from '../errors.js';
import type { AngularSpeed, Density, Inertia, Length, Mass, Ratio, Time, Torque } from '../units/quantity.js';

function requireCylinder(density: Density, length: Length, outerRadius: Length, innerRadius: Length): void {
  if (!(density > 0 && length >= 0 && innerRadius >= 0 && outerRadius >= innerRadius))
    throw new TautlineError(
      'argument_invalid',
      { density, length, outerRadius, innerRadius },
      `no cylinder has density ${density} kg/m³, length ${length} m, outer radius ${outerRadius} m and inner radius ${innerRadius} m`,
      'density above 0, length and inner radius at least 0, outer radius at least the inner one',
    );
}

/**
 * Mass of a hollow cylinder, m = π·ρ·L·(R² − r²) [kg]. ρ density [kg/m³], L length [m], R outer and r inner radius [m]; r = 0 is a
 * solid one. Valid: uniform density. @throws TautlineError argument_invalid
 * Source: geometry.
 */
export function cylinderMass(
  density: Density,
  length: Length,
  outerRadius: Length,
  innerRadius: Length = 0,
): Mass {
  requireCylinder(density, length, outerRadius, innerRadius);
  return Math.PI * density * length * (outerRadius ** 2 - innerRadius ** 2);
}

/**
 * Inertia of a hollow cylinder about its own axis, J = ½·π·ρ·L·(R⁴ − r⁴) [kg·m²]. ρ density [kg/m³], L length [m], R outer and r
 * inner radius [m]; r = 0 is a solid one. Serves shells, journals, cores and, with the density of the roll, wound rolls.
 * Valid: uniform density; ends and shaft are parts of their own. @throws TautlineError argument_invalid
 * Source: any dynamics text; J = ½·m·(R² + r²) with the mass above.
 */
export function cylinderInertia(
  density: Density,
  length: Length,
  outerRadius: Length,
  innerRadius: Length = 0,
): Inertia {
  requireCylinder(density, length, outerRadius, innerRadius);
  return 0.5 * Math.PI * density * length * (outerRadius ** 4 - innerRadius ** 4);
}

/**
 * Inertia at the motor that a load behind a gearbox has, J/i² [kg·m²]. J inertia at the roller [kg·m²], i gear ratio, motor speed /
 * roller speed [1]. Valid: stiff shaft, gearbox inertia apart. @throws TautlineError argument_invalid
 * Source: equal kinetic energy at both shafts.
 */
export function inertiaAtMotor(inertiaAtRoller: Inertia, gearRatio: Ratio): Inertia {
  if (!(gearRatio > 0))
    throw new TautlineError(
      'argument_invalid',
      { gearRatio },
      `gear ratio ${gearRatio} is not above 0`,
      'state motor speed / roller speed',
    );
  return inertiaAtRoller / gearRatio ** 2;
}

/**
 * Inertia from the flywheel effect GD² of older metric data sheets, J = GD²/4 [kg·m²]. GD² in kgf·m², whose number is that of the mass
 * in kg times the square of the *diameter* of gyration [m]; J has the radius. Taking GD² for J makes the inertia four times too large.
 * Source: definition of GD² (from memory: DIN and JIS motor sheets).
 */
export const inertiaFromFlywheelEffect = (gd2: number): Inertia => gd2 / 4;

/**
 * Mean torque that changes the speed of an inertia, T = J·Δω/Δt [N·m], positive when speeding up. J inertia [kg·m²], Δω change of speed
 * [rad/s], Δt time taken [s], all at one shaft. Valid: inertia constant over the change; drag and tension come on top.
 * In US units it reads T[lb·ft] = WK²[lb·ft²]·ΔN[rpm] / (307.24·t[s]), 307.24 being 60·g/2π; handbooks round to 307 or 308, and
 * 308 gives 0.25 % too little. @throws TautlineError argument_invalid
 * Source: Newton's second law for rotation.
 */
export function acceleratingTorque(inertia: Inertia, speedChange: AngularSpeed, duration: Time): Torque {
  if (!(duration > 0))
    throw new TautlineError(
      'argument_invalid',
      { duration },
      `a speed change cannot take ${duration} s`,
      'state a time above 0',
    );
  return (inertia * speedChange) / duration;
}
