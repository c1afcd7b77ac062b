import { TautlineError } from '../../errors.js';
import { normalQuantile } from '../../numerics/distributions.js';
import { createRandom } from '../../numerics/random.js';
import { type StackSpread, stackDraws } from '../../roll/stackTest/stackSpread.js';
import type { Ratio } from '../../units/quantity.js';
import type { StackLaw } from '../../web/web.js';
import type { RollInput, RollUncertainty } from './rollInput.js';
import { frictionSpread } from './slipCases.js';

/** Half width of a 95 % interval as a share of the value, and whether it was stated or is what is usual. */
export interface Share {
  readonly share: Ratio;
  readonly provenance: 'stated' | 'usual';
}

/** What a band is drawn from, with where each part comes from. */
export interface RollSpread {
  readonly modulus: Share;
  readonly friction: Share;
  readonly stack:
    | { readonly by: 'shares'; readonly pressure: Share; readonly slope: Share }
    | { readonly by: 'stack test'; readonly test: StackSpread };
}

/** Where nothing was measured: friction as methods differ (de Silveira and Hutchings 1997, abstract); the rest ours, no source. */
const usual = { modulus: 0.1, friction: frictionSpread, pressure: 0.3, slope: 0.1 };

/**
 * What is stated of a web's uncertainty, and for the rest what is usual [1]. @throws TautlineError argument_invalid for a share that is no number of at least 0.
 * Source: docs/models/wound-roll.md, "How sure".
 */
export function spreadOf({ modulus, friction, stack = {} }: RollUncertainty = {}): RollSpread {
  const share = (name: keyof typeof usual, stated: Ratio | undefined): Share => {
    if (stated === undefined) return { share: usual[name], provenance: 'usual' };
    if (stated >= 0 && Number.isFinite(stated)) return { share: stated, provenance: 'stated' };
    throw new TautlineError(
      'argument_invalid',
      { [name]: stated },
      `an uncertainty of ${name} of ${stated}`,
      'state a share of at least 0',
    );
  };
  return {
    modulus: share('modulus', modulus),
    friction: share('friction', friction),
    stack:
      'law' in stack
        ? { by: 'stack test', test: stack }
        : { by: 'shares', pressure: share('pressure', stack.pressure), slope: share('slope', stack.slope) },
  };
}

/**
 * Draws rolls as uncertain as a spread says [Pa, 1]: modulus, stack law and friction independently of each other, each log-normal about its value; the parameters of a tested stack law together, as
 * {@link stackDraws} does. What one part draws does not depend on the spread of another. A nip coefficient that is taken from the friction follows it; a measured one stays.
 * @throws TautlineError argument_invalid for a stack law that cannot be drawn. Source: docs/models/wound-roll.md, "How sure".
 */
export function rollDraws(input: RollInput, spread: RollSpread, seed: number): () => RollInput {
  const random = createRandom(seed);
  const ofStack = random.fork('stack');
  const tested =
    spread.stack.by === 'stack test' ? stackDraws(input.web.stack, spread.stack.test) : undefined;
  const shares = spread.stack.by === 'shares' ? spread.stack : undefined;
  const factor = (share: Ratio): number => Math.exp((Math.log1p(share) / half95) * random.normal());
  return () => {
    const { web } = input;
    // always four of them, whatever comes of them
    const modulus = factor(spread.modulus.share);
    const pressure = factor(shares?.pressure.share ?? 0);
    const slope = factor(shares?.slope.share ?? 0);
    const friction = factor(spread.friction.share);
    return {
      ...input,
      web: {
        ...web,
        modulus: web.modulus * modulus,
        stack: tested?.(ofStack) ?? scaledStack(web.stack, pressure, slope),
        ...(web.friction !== undefined && { friction: web.friction * friction }),
      },
    };
  };
}

/** Standard deviations in the half width of a 95 % interval. */
const half95 = normalQuantile(0.975);

/** A stack law with its pressures and its slope times factors [1]. Source: definition of the laws. */
export function scaledStack(law: StackLaw, pressure: number, slope: number): StackLaw {
  switch (law.law) {
    case 'exponential':
      return { ...law, k1: law.k1 * pressure, k2: law.k2 * slope };
    case 'constant':
      return { ...law, modulus: law.modulus * slope };
    case 'saturating':
      return {
        ...law,
        atRest: law.atRest * pressure * slope,
        highest: law.highest * pressure * slope,
        scale: law.scale * pressure,
      };
    case 'polynomial':
      // E(P) = s·p·E₀(P/p)
      return { ...law, coefficients: law.coefficients.map((c, k) => c * slope * pressure ** (1 - k)) };
  }
}
