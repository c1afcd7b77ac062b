import { TautlineError } from '../../errors.js';
import type { Caliper, Length, Pressure, Ratio, Speed, TensionPerWidth } from '../../units/quantity.js';
import { airFilm } from '../../web/airFilm.js';
import type { StackModulus } from '../stress/stackModulus.js';

/** Pressure of the air around the roll, sea level. */
export const ambientPressure: Pressure = 101_325;

/** Air that a lap carries into the roll: its film as it is laid, and the absolute pressure of the air in it. */
export interface LapAir {
  readonly film: Length;
  readonly pressure: Pressure;
}

/** A film above this share of the radius is no longer thin against it, as the theory of the foil bearing has it. */
const thickestFilm = 0.01;

/**
 * Air that a lap takes along as it runs onto a roll: film 0.643·R·(12·η·v/T′)^(2/3) [m], both surfaces at web speed ({@link airFilm}), and its absolute pressure p_a + T′/R [Pa]. R radius [m], v speed [m/s],
 * T′ tension per width that presses, net of centrifugal force [N/m]; `share` of the film that stays [1]: 1 without a nip. Under a nip less air passes; by how much is not computed, since no constants
 * for wound rolls were found, so the share is to be measured there, and 1 is an upper bound.
 * Valid: impermeable web, air that does not leave at the edges, film thin against the radius (up to 1 %). @throws TautlineError argument_invalid
 * Source: docs/models/wound-air.md; that entrained air follows foil-bearing theory in centre winding: Good and Holmberg (abstract read).
 */
export function lapAir(radius: Length, speed: Speed, tension: TensionPerWidth, share: Ratio = 1): LapAir {
  if (!(share >= 0 && share <= 1))
    throw new TautlineError(
      'argument_invalid',
      { share },
      `a share of ${share} of the air film`,
      'state a share from 0 to 1, as measured',
    );
  const whole = airFilm(radius, speed, speed, tension);
  if (!(whole <= thickestFilm * radius))
    throw new TautlineError(
      'argument_invalid',
      { film: whole, radius, speed, tension },
      `an air film of ${whole} m on a roll of ${radius} m radius is not thin, as the foil bearing has it`,
      'check speed and tension: the web flies on the roll',
    );
  return { film: share * whole, pressure: ambientPressure + tension / radius };
}

/**
 * What is left of a lap's air film under a pressure, h₀·p₀/(P + p_a) [m]. P pressure between laps above ambient [Pa]. Valid: isothermal, no leakage. Source: Boyle.
 */
export const airThickness = ({ film, pressure }: LapAir, between: Pressure): Length =>
  (film * pressure) / (between + ambientPressure);

/**
 * Radial modulus of a stack with trapped air, 1/E = [h/E_r(P) + h₀·p₀/(P + p_a)²]/L [Pa]: web and air in series, per thickness L of a lap as the roll is built [m]. h caliper [m]; the air of a lap by radius. With
 * L = h + h₀ this is (h/(h + h₀))/E_r + 1/E_air, E_air = (P + p_a)²·(h + h₀)/(h₀·p₀).
 * Valid: isothermal, no leakage, contact and air under the same pressure. Source: derivative of {@link airThickness}; docs/models/wound-air.md.
 */
export function stackWithAir(
  stack: StackModulus,
  caliper: Caliper,
  thickness: Caliper,
  airAt: (radius: Length) => LapAir,
  outerRadius: Length,
): StackModulus {
  return {
    at: (p, radius = outerRadius) => {
      const { film, pressure } = airAt(radius);
      return thickness / (caliper / stack.at(p) + (film * pressure) / (p + ambientPressure) ** 2);
    },
    // Of the web in the lap: what the stack test says, and what large deformation is judged by.
    strain: stack.strain,
  };
}
