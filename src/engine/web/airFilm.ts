import { TautlineError } from '../errors.js';
import type { Length, Ratio, Speed, TensionPerWidth, Viscosity } from '../units/quantity.js';

/** Dynamic viscosity of air at 20 °C [Pa·s], from memory; it rises by 0.25 % a kelvin. */
export const airViscosity: Viscosity = 1.81e-5;

/**
 * Constant of the foil bearing [1]: curvature far upstream of H‴ = (H − 1)/H³ that leaves the flat film H = 1, 0.643040. The test integrates that
 * equation. Source: Eshel and Elrod, J. Lub. Tech. 89, 1967 (abstract read, constant from memory); 0.65 is printed in places.
 */
export const foilBearingConstant = 0.643;

/**
 * Thickness of the air film between a running web and a roller, 0.643·R·[6·η·(v_web + v_roller)/T′]^(2/3) [m]. R radius [m], η viscosity of air
 * [Pa·s], v surface speeds [m/s], T′ tension per width that presses (`pressingTension`) [N/m]. **Valid for an impermeable web on a smooth roller that is wide against the film: no
 * side leakage.** Paper and narrow or grooved pairs carry less air, so this is the worst case. @throws TautlineError argument_invalid
 * Source: see {@link foilBearingConstant}.
 */
export function airFilm(
  radius: Length,
  webSpeed: Speed,
  rollerSpeed: Speed,
  tensionPerWidth: TensionPerWidth,
  viscosity: Viscosity = airViscosity,
): Length {
  if (!(radius > 0 && tensionPerWidth > 0 && viscosity > 0 && webSpeed + rollerSpeed >= 0))
    throw new TautlineError(
      'argument_invalid',
      { radius, webSpeed, rollerSpeed, tensionPerWidth, viscosity },
      `no air film for radius ${radius} m, speeds ${webSpeed} and ${rollerSpeed} m/s and tension ${tensionPerWidth} N/m`,
      'state radius, tension and viscosity above 0, speeds along the web',
    );
  return (
    foilBearingConstant * radius * ((6 * viscosity * (webSpeed + rollerSpeed)) / tensionPerWidth) ** (2 / 3)
  );
}

/** Roughness of two surfaces together, √(Rq₁² + Rq₂²) [m]. Rq root mean square roughness [m]. Source: sum of independent heights. */
export const combinedRoughness = (one: Length, other: Length): Length => Math.hypot(one, other);

/** Film thickness in units of the combined roughness where traction begins to fall, and where it is gone. */
const fallsFrom = 1;
const goneFrom = 3;

/**
 * Friction that an air film leaves, μ₀ up to h = Rq, straight down to 0 at h = 3·Rq [1]. μ₀ friction without air [1], h film [m], Rq combined roughness
 * [m]. Valid: as {@link airFilm}. Source: traction is least beyond three times the roughness (Ducotey and Good 1999, first page read); the
 * straight line between is from memory.
 */
export const frictionWithAir = (friction: Ratio, film: Length, roughness: Length): Ratio =>
  friction * Math.max(0, Math.min(1, (goneFrom * roughness - film) / ((goneFrom - fallsFrom) * roughness)));

/**
 * Web speed at which the film reaches a multiple of the roughness, with the roller at web speed, v = T′/(12·η)·(k·Rq/(0.643·R))^(3/2) [m/s]: k = 1
 * where traction begins to fall, k = 3 where it is gone. T′ [N/m], η [Pa·s], Rq [m], R [m]. Source: {@link airFilm} solved for speed.
 */
export const speedForFilm = (
  multiple: Ratio,
  roughness: Length,
  radius: Length,
  tensionPerWidth: TensionPerWidth,
  viscosity: Viscosity = airViscosity,
): Speed =>
  (tensionPerWidth / (12 * viscosity)) * ((multiple * roughness) / (foilBearingConstant * radius)) ** 1.5;
