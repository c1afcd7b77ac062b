import { TautlineError } from '../../errors.js';
import type { Modulus, Pressure, Ratio } from '../../units/quantity.js';
import type { StackLaw } from '../../web/web.js';

/**
 * Radial modulus of a stack over pressure, made ready for the solver: E(P) = (c0 + c1·P + c2·P² + …), which all laws but the saturating one
 * are. Pressure P >= 0 [Pa], modulus [Pa].
 */
export interface StackModulus {
  /** E(P) [Pa], above 0 for every P >= 0 in range. */
  at(pressure: Pressure): Modulus;
  /** Stack strain ε(P) = ∫ dp/E [1]; NaN for a law without a closed form. */
  strain(pressure: Pressure): Ratio;
  /** E = K2·(P + K1) as K2 and K1, which the solver has a fast loop for; a constant modulus as K2 = 0. */
  readonly linear?: { readonly slope: Ratio; readonly atZero: Modulus };
}

const refuse = (where: Record<string, number>, message: string, next: string): never => {
  throw new TautlineError('argument_invalid', where, message, next);
};

/**
 * The stack law as a modulus over pressure [Pa]. exponential P = K1·(exp(K2·ε) − 1): E = K2·(P + K1), ε = ln(1 + P/K1)/K2 (Pfeiffer's form;
 * names of the constants read in Good, Hartwig and Markum 1999). constant: E as stated. polynomial: E = Σ cₖ·Pᵏ (Hakiel 1987, from memory).
 * saturating: E = a·(1 − exp(−b·P)) + e0 (from memory).
 * @throws TautlineError argument_invalid for a modulus that is not above 0 at rest
 */
export function stackModulus(law: StackLaw): StackModulus {
  switch (law.law) {
    case 'exponential': {
      const { k1, k2 } = law;
      if (!(k1 > 0 && k2 > 0 && Number.isFinite(k1 * k2)))
        refuse(
          { k1, k2 },
          `a stack with K1 = ${k1} Pa and K2 = ${k2} has no stiffness at rest or none at all`,
          'state K1 and K2 above 0, from a stack test',
        );
      return {
        at: (p) => k2 * (p + k1),
        strain: (p) => Math.log1p(p / k1) / k2,
        linear: { slope: k2, atZero: k2 * k1 },
      };
    }
    case 'constant': {
      const { modulus } = law;
      if (!(modulus > 0 && Number.isFinite(modulus)))
        refuse({ modulus }, `a stack modulus of ${modulus} Pa`, 'state a modulus above 0');
      return { at: () => modulus, strain: (p) => p / modulus, linear: { slope: 0, atZero: modulus } };
    }
    case 'polynomial': {
      const { coefficients } = law;
      if (!(coefficients[0] > 0 && coefficients.every(Number.isFinite)))
        refuse(
          { atRest: coefficients[0] ?? Number.NaN },
          `the polynomial gives a modulus of ${coefficients[0]} Pa at rest`,
          'state coefficients c0, c1, … with c0 above 0',
        );
      return {
        at: (p) => coefficients.reduceRight((sum, c) => sum * p + c, 0),
        strain: () => Number.NaN,
        ...(coefficients.length <= 2 && {
          linear: { slope: coefficients[1] ?? 0, atZero: coefficients[0] as number },
        }),
      };
    }
  }
}

/**
 * The smallest pressure up to `limit` [Pa] at which a law stops being one: E not above 0, or E falling, which no stack does. undefined when it
 * holds. A polynomial fitted to a test must not be used beyond it. Source: definition; sampled at 400 places.
 */
export function lawBreaksAt(modulus: StackModulus, limit: Pressure): Pressure | undefined {
  let last = modulus.at(0);
  for (let k = 1; k <= 400; k++) {
    const p = (limit * k) / 400;
    const e = modulus.at(p);
    if (!(e > 0) || e < last * (1 - 1e-12)) return p;
    last = e;
  }
  return undefined;
}
