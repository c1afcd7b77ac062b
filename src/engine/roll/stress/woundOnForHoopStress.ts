import type { Length, Modulus, Pressure, Ratio } from '../../units/quantity.js';

/** A roll of constant radial modulus, for the closed form. */
export interface ConstantModulusRoll {
  /** Along the web and through the stack [Pa]. */
  readonly modulus: Modulus;
  readonly radialModulus: Modulus;
  /** Infinity for a rigid core. */
  readonly coreStiffness: Modulus;
  /** Poisson cross term [1]. */
  readonly poisson: Ratio;
  readonly coreRadius: Length;
  /** Of the full roll [m]. */
  readonly radius: Length;
}

/**
 * Wound-on stress that leaves the same hoop stress s₀ in every lap of a roll of constant radial modulus [Pa]:
 *
 *   σ_w(r) = s₀·[1 + ((R − r)/r)·g·(1 − B·x^(−2g))/(1 + B·x^(−2g))],   x = r/r_c, g = √(E_t/E_r), B = (g − c)/(g + c), c = E_t/E_c + ν
 *
 * r radius [m], R that of the full roll [m]. The roll then has r·P = s₀·(R − r). It rises steeply outside a stiff core, to many times s₀ with a large g, so
 * such a roll can seldom be wound: this says what it would take. Valid: r_c ≤ r ≤ R, E_t > 0, E_r > 0, constant; small strain.
 * Source: closed form of the incremental model inverted, re-derived in docs/models/wound-roll.md; the same question: Boutaghou and Chase,
 * J. Appl. Mech. 58, 1991 (abstract).
 */
export function woundOnStressForHoopStress(
  hoopStress: Pressure,
  r: Length,
  { modulus, radialModulus, coreStiffness, poisson, coreRadius, radius }: ConstantModulusRoll,
): Pressure {
  const g = Math.sqrt(modulus / radialModulus);
  const c = modulus / coreStiffness + poisson;
  const decay = ((g - c) / (g + c)) * (r / coreRadius) ** (-2 * g);
  return hoopStress * (1 + ((radius - r) / r) * g * ((1 - decay) / (1 + decay)));
}
