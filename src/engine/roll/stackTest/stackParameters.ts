import type { Pressure } from '../../units/quantity.js';
import type { StackLaw } from '../../web/web.js';

/** A law as the parameters that a stack test determines. */
interface Parameters {
  readonly names: readonly string[];
  /** Those that are fitted, and drawn, by their logarithm, since they are above 0. */
  readonly logarithmic: readonly boolean[];
  readonly law: (p: readonly number[]) => StackLaw;
  readonly of: (law: StackLaw) => readonly number[] | undefined;
}

const parameters: Readonly<Record<StackLaw['law'], Parameters>> = {
  constant: {
    names: ['modulus'],
    logarithmic: [true],
    law: ([modulus]) => ({ law: 'constant', modulus: modulus as number }),
    of: (law) => (law.law === 'constant' ? [law.modulus] : undefined),
  },
  exponential: {
    names: ['k1', 'k2'],
    logarithmic: [true, true],
    law: ([k1, k2]) => ({ law: 'exponential', k1: k1 as number, k2: k2 as number }),
    of: (law) => (law.law === 'exponential' ? [law.k1, law.k2] : undefined),
  },
  saturating: {
    // the rise above the modulus at rest, so that every set of them is a law
    names: ['atRest', 'rise', 'scale'],
    logarithmic: [true, true, true],
    law: ([atRest, rise, scale]) => ({
      law: 'saturating',
      atRest: atRest as number,
      highest: (atRest as number) + (rise as number),
      scale: scale as number,
    }),
    of: (law) => (law.law === 'saturating' ? [law.atRest, law.highest - law.atRest, law.scale] : undefined),
  },
  polynomial: {
    names: ['c0', 'c1', 'c2'],
    logarithmic: [true, true, false],
    law: (coefficients) => ({ law: 'polynomial', coefficients }),
    of: (law) => (law.law === 'polynomial' && law.coefficients.length === 3 ? law.coefficients : undefined),
  },
};

/** Names of a law's parameters in the order in which they are fitted [1]. Source: definition of the laws, `web.ts`. */
export const stackParameters = (name: StackLaw['law']): readonly string[] => parameters[name].names;

/** Which of them are above 0 and fitted by their logarithm; the others may have any sign [1]. Source: definition of the laws. */
export const logarithmicParameters = (name: StackLaw['law']): readonly boolean[] =>
  parameters[name].logarithmic;

/** A law from its parameters [Pa, 1], with the highest pressure of its test [Pa] where there is one. Source: definition of the laws. */
export const stackLawFrom = (
  name: StackLaw['law'],
  values: readonly number[],
  testedTo?: Pressure,
): StackLaw => ({
  ...parameters[name].law(values),
  ...(testedTo !== undefined && { testedTo }),
});

/** Parameters of a law [Pa, 1]; undefined for a polynomial that is not of second degree, which no stack test gives. Source: definition of the laws. */
export const parametersOf = (law: StackLaw): readonly number[] | undefined => parameters[law.law].of(law);
