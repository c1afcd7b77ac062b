import { isTautlineError, TautlineError } from '../../errors.js';
import { stackModulus } from '../../roll/stress/stackModulus.js';
import type { StackLaw } from '../../web/web.js';
import type { WebDocument } from './productDocument.js';

type StackDocument = NonNullable<WebDocument['stack']>;

const problem = (pointer: string, message: string, next: string): TautlineError =>
  new TautlineError('document_value', { pointer }, message, next);

/** Keys that each stack law needs. */
const keysOfStack: Readonly<Record<StackDocument['law'], readonly (keyof StackDocument)[]>> = {
  exponential: ['K1_Pa', 'K2'],
  constant: ['modulus_Pa'],
  polynomial: ['coefficients'],
  saturating: ['modulus_at_rest_Pa', 'highest_modulus_Pa', 'saturation_pressure_Pa'],
};

/** A stack law as the engine computes with it, refused at its place when it can be none. @throws TautlineError document_value */
export function toStackLaw(stack: StackDocument, pointer: string): StackLaw {
  const needed = keysOfStack[stack.law];
  for (const key of needed)
    if (stack[key] === undefined)
      throw problem(
        pointer,
        `the ${stack.law} stack law needs ${needed.join(', ')}`,
        `state ${needed.filter((k) => stack[k] === undefined).join(', ')}`,
      );
  for (const key of Object.keys(stack) as (keyof StackDocument)[])
    if (key !== 'law' && key !== 'tested_to_Pa' && !needed.includes(key))
      throw problem(
        `${pointer}.${key}`,
        `the ${stack.law} stack law has no ${key}`,
        `state ${needed.join(', ')}, or correct the law`,
      );
  const law = lawOf(stack as Required<StackDocument>);
  const whole: StackLaw = {
    ...law,
    ...(stack.tested_to_Pa !== undefined && { testedTo: stack.tested_to_Pa }),
  };
  try {
    stackModulus(whole);
  } catch (error) {
    if (!isTautlineError(error)) throw error;
    throw problem(pointer, error.message, error.next);
  }
  return whole;
}

function lawOf(stack: Required<StackDocument>): StackLaw {
  switch (stack.law) {
    case 'exponential':
      return { law: 'exponential', k1: stack.K1_Pa, k2: stack.K2 };
    case 'constant':
      return { law: 'constant', modulus: stack.modulus_Pa };
    case 'polynomial':
      return { law: 'polynomial', coefficients: stack.coefficients };
    case 'saturating':
      return {
        law: 'saturating',
        atRest: stack.modulus_at_rest_Pa,
        highest: stack.highest_modulus_Pa,
        scale: stack.saturation_pressure_Pa,
      };
  }
}
