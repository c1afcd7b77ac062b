import { TautlineError } from '../errors.js';
import type {
  Acceleration,
  AngularAcceleration,
  BasisWeight,
  Caliper,
  Density,
  Inertia,
  Length,
  Mass,
  Ratio,
  Speed,
  Tension,
  WebLength,
} from '../units/quantity.js';

/** Whether web is put on the roll (winder, +1) or taken off it (unwind, -1). */
export type BuildSense = 1 | -1;

/**
 * Radius after laps, R = R₀ + h·N [m]. R₀ radius before [m], h caliper of the web as wound [m], N laps put on, negative when taken
 * off [1]. Valid: laps of equal caliper, no air, no compression; not checked against the core.
 * Source: geometry. Theory: docs/models/roll-build-up.md.
 */
export const radiusAfterLaps = (radius: Length, caliper: Caliper, laps: Ratio): Length =>
  radius + caliper * laps;

/** Laps from one radius to another, N = (R₁ − R₀)/h [1], negative when web is taken off. R₀, R₁, h [m]. Source: geometry. */
export const lapsBetween = (from: Length, to: Length, caliper: Caliper): Ratio => (to - from) / caliper;

/**
 * Radius after a length of web, R = √(R₀² + h·L/π) [m]. R₀ radius before [m], h caliper as wound [m], L length put on, negative when
 * taken off [m]. Valid: the side of the roll is all web, so area = h·L.
 * @throws TautlineError argument_invalid when more is taken off than a roll of that radius could hold
 * Source: geometry.
 */
export function radiusAfterLength(radius: Length, caliper: Caliper, length: WebLength): Length {
  const square = radius * radius + (caliper * length) / Math.PI;
  if (!(square >= 0))
    throw new TautlineError(
      'argument_invalid',
      { radius, caliper, length },
      `no roll of ${radius} m radius gives ${-length} m of ${caliper} m web`,
      'check radius, caliper and length',
    );
  return Math.sqrt(square);
}

/**
 * Length of web between two radii, L = π·(R₁² − R₀²)/h [m], negative when R₁ < R₀. R₀, R₁, h [m]. The same as the sum over
 * laps of 2π times their mean radii. Source: geometry.
 */
export const lengthBetween = (from: Length, to: Length, caliper: Caliper): WebLength =>
  (Math.PI * (to - from) * (to + from)) / caliper;

/**
 * Mass of the web on a roll, m = π·ρ·W·(R² − Rc²) [kg]. ρ density of the roll [kg/m³], W width, R radius, Rc core radius [m].
 * The core comes on top. Source: geometry.
 */
export const rollMass = (density: Density, width: Length, radius: Length, coreRadius: Length): Mass =>
  Math.PI * density * width * (radius - coreRadius) * (radius + coreRadius);

/**
 * Inertia of a roll about its axis, J = Jc + ½·π·ρ·W·(R⁴ − Rc⁴) [kg·m²]. Jc inertia of core and shaft [kg·m²], ρ density of the roll
 * [kg/m³], W width, R radius, Rc core radius [m]. Valid: uniform density. Source: any dynamics text.
 */
export function rollInertia(
  density: Density,
  width: Length,
  radius: Length,
  coreRadius: Length,
  coreInertia: Inertia,
): Inertia {
  const squares = radius * radius + coreRadius * coreRadius;
  return (
    coreInertia + 0.5 * Math.PI * density * width * (radius - coreRadius) * (radius + coreRadius) * squares
  );
}

/**
 * Rate of the radius, dR/dt = ±h·v/(2π·R) [m/s]; with v = ω·R the same as ±h·ω/2π. h caliper [m], v web speed [m/s], R radius [m],
 * sense +1 winder, -1 unwind. Source: one caliper a turn.
 */
export const radiusRate = (caliper: Caliper, speed: Speed, radius: Length, sense: BuildSense): Speed =>
  (sense * caliper * speed) / (2 * Math.PI * radius);

/**
 * Angular acceleration of a roll that keeps its surface at the web's speed, α = d(v/R)/dt = a/R − v·Ṙ/R² [rad/s²]. a acceleration
 * [m/s²] and v speed of the web [m/s], R radius [m], h caliper [m], sense +1 winder, -1 unwind. At constant speed a winder slows down and an
 * unwind speeds up. Source: product rule with {@link radiusRate}.
 */
export const rollAngularAcceleration = (
  acceleration: Acceleration,
  speed: Speed,
  radius: Length,
  caliper: Caliper,
  sense: BuildSense,
): AngularAcceleration =>
  acceleration / radius - (speed * radiusRate(caliper, speed, radius, sense)) / (radius * radius);

/**
 * Tension that an equation with a term J̇·ω would wrongly add, q·W·v² [N]: web joins or leaves a roll at the speed of its surface, so the
 * momentum it carries cancels that term. It is the size of the question when results are compared with papers that keep the term.
 * q basis weight [kg/m²], W width [m], v speed [m/s].
 * Source: control volume around the roll, derived in docs/models/roll-build-up.md.
 */
export const changingMassTension = (weight: BasisWeight, width: Length, speed: Speed): Tension =>
  weight * width * speed * speed;
