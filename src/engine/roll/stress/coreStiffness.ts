import { TautlineError } from '../../errors.js';
import type { Length, Modulus, Ratio } from '../../units/quantity.js';

/**
 * Stiffness of a core against pressure from outside, Ec = E/[(b² + a²)/(b² − a²) − ν] [Pa]: pressure over radial strain of its surface. E modulus
 * [Pa] and ν Poisson number [1] of its wall, a bore and b outer radius [m]; a = 0 is solid, E/(1 − ν).
 * Valid: isotropic tube in plane stress. **Not for paper cores**: a fibre tube is far softer radially, so measure it under outside pressure
 * (Gerhardt, "External pressure loading of spiral paper tubes", ASME 1990, abstract).
 * @throws TautlineError argument_invalid. Source: Lamé.
 */
export function coreStiffness(modulus: Modulus, poisson: Ratio, bore: Length, outer: Length): Modulus {
  if (!(modulus > 0 && poisson > -1 && poisson <= 0.5 && bore >= 0 && outer > bore))
    throw new TautlineError(
      'argument_invalid',
      { modulus, poisson, bore, outer },
      `no tube has modulus ${modulus} Pa, Poisson number ${poisson}, bore radius ${bore} m and outer radius ${outer} m`,
      'state a modulus above 0, a Poisson number up to 0.5, and a bore smaller than the outer radius',
    );
  const [a2, b2] = [bore * bore, outer * outer];
  return modulus / ((b2 + a2) / (b2 - a2) - poisson);
}
