import { TautlineError } from '../../errors.js';
import type { Length, Modulus, Pressure, Ratio } from '../../units/quantity.js';
import type { StackLaw } from '../../web/web.js';

/** Radial modulus of a stack over pressure, made ready for the solver. Pressure P >= 0 [Pa], modulus [Pa]. */
export interface StackModulus {
  /** E(P) [Pa], above 0 for every P >= 0 in range; with air between the laps it also depends on the radius [m]. */
  at(pressure: Pressure, radius?: Length): Modulus;
  /** Stack strain ε(P) = ∫ dp/E [1]; NaN where the law breaks on the way. */
  strain(pressure: Pressure): Ratio;
  /** E = K2·(P + K1) as K2 and K1, which the solver has a fast loop for; a constant modulus as K2 = 0. */
  readonly linear?: { readonly slope: Ratio; readonly atZero: Modulus };
}

const refuse = (where: Record<string, number>, message: string, next: string): never => {
  throw new TautlineError('argument_invalid', where, message, next);
};

/**
 * The stack law as a modulus over pressure [Pa]. exponential P = K1·(exp(K2·ε) − 1): E = K2·(P + K1), ε = ln(1 + P/K1)/K2 (Pfeiffer's form;
 * names of the constants read in Good, Hartwig and Markum 1999). constant: E as stated. polynomial: E = Σ cₖ·Pᵏ (Hakiel 1987, from memory), within the
 * pressures of its test only. saturating: E = E₀ + (E₁ − E₀)·(1 − exp(−P/Pₛ)), the form a·(1 − exp(−b·P)) (from memory) with a modulus at rest.
 * @throws TautlineError argument_invalid for a modulus that is not above 0 at rest, is not a number, or falls with pressure within its test
 */
export function stackModulus(law: StackLaw): StackModulus {
  const { testedTo } = law;
  if (testedTo !== undefined && !(testedTo > 0 && Number.isFinite(testedTo)))
    refuse({ testedTo }, `a stack test up to ${testedTo} Pa`, 'state the highest pressure of the test');
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
    case 'polynomial':
      return polynomial(law.coefficients, testedTo);
    case 'saturating':
      return saturating(law);
  }
}

function polynomial(coefficients: readonly number[], testedTo: Pressure | undefined): StackModulus {
  const atZero = coefficients[0] ?? Number.NaN;
  if (!(atZero > 0 && coefficients.every(Number.isFinite)))
    refuse(
      { atRest: atZero },
      `the polynomial ${coefficients.join(', ')} gives a modulus of ${atZero} Pa at rest`,
      'state coefficients c0, c1, … with c0 above 0, all of them numbers',
    );
  const at = (p: Pressure): Modulus => coefficients.reduceRight((sum, c) => sum * p + c, 0);
  // K1 of the exponential law that this one starts as.
  const scale = (coefficients[1] ?? 0) > 0 ? atZero / (coefficients[1] as number) : atZero;
  const modulus: StackModulus = {
    at,
    strain: (p) => strainByIntegral(at, p, scale),
    ...(coefficients.length <= 2 &&
      (coefficients[1] ?? 0) >= 0 && { linear: { slope: coefficients[1] ?? 0, atZero } }),
  };
  const breaks = testedTo === undefined ? undefined : lawBreaksAt(modulus, testedTo);
  if (breaks !== undefined)
    refuse(
      { breaks },
      `the polynomial falls, or is not above 0, at ${breaks} Pa, within its own test up to ${testedTo} Pa`,
      'fit it again so that the modulus rises with pressure',
    );
  return modulus;
}

function saturating({ atRest, highest, scale }: Extract<StackLaw, { law: 'saturating' }>): StackModulus {
  if (!(atRest > 0 && highest >= atRest && scale > 0 && Number.isFinite(highest + scale)))
    refuse(
      { atRest, highest, scale },
      `a stack that goes from ${atRest} Pa at rest to ${highest} Pa over ${scale} Pa has no stiffness at rest or falls with pressure`,
      'state a modulus at rest above 0, a highest modulus not below it, and a pressure above 0',
    );
  const at = (p: Pressure): Modulus => atRest - (highest - atRest) * Math.expm1(-p / scale);
  // ∫ dp/[E₁ − (E₁ − E₀)·exp(−p/Pₛ)]
  return { at, strain: (p) => (p + scale * Math.log(at(p) / atRest)) / highest };
}

/**
 * ε = ∫₀^P dp/E [1] by Simpson's rule in t = ln(1 + p/K), in which a modulus that starts as K2·(p + K) is smooth: 200 panels, right to 1e-8 for a cubic over
 * three decades. E [Pa], P and K [Pa]. NaN where E is not above 0 on the way.
 */
function strainByIntegral(at: (p: Pressure) => Modulus, pressure: Pressure, scale: Pressure): Ratio {
  const panels = 200;
  const end = Math.log1p(pressure / scale);
  let sum = 0;
  for (let k = 0; k <= panels; k++) {
    const p = scale * Math.expm1((end * k) / panels);
    const e = at(p);
    if (!(e > 0)) return Number.NaN;
    sum += ((k === 0 || k === panels ? 1 : k % 2 === 1 ? 4 : 2) * (p + scale)) / e;
  }
  return (sum * end) / panels / 3;
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
