import { quantile } from '../../numerics/quantile.js';
import { createRandom, type Random } from '../../numerics/random.js';
import type { Ratio } from '../../units/quantity.js';
import type { StackLaw } from '../../web/web.js';
import type { RollInput } from './rollInput.js';
import { frictionSpread, type SlippingRoll, slipCases } from './slipCases.js';
import { windAsStated } from './windAsStated.js';

/** How uncertain what a roll is predicted from is: half widths of 95 % intervals, as shares of the values [1]. */
export interface RollSpread {
  readonly modulus: Ratio;
  /** Of the pressures in the stack law (K1), and of its slope (K2). */
  readonly stackPressure: Ratio;
  readonly stackSlope: Ratio;
  readonly friction: Ratio;
}

/** Where nothing was measured: friction as methods differ (de Silveira and Hutchings 1997, abstract); the rest ours, no source. */
export const usualSpread: RollSpread = {
  modulus: 0.1,
  stackPressure: 0.3,
  stackSlope: 0.1,
  friction: frictionSpread,
};

/** Low end, middle and high end of what lies in 95 % of the rolls. */
export interface Band {
  readonly low: Float64Array;
  readonly middle: Float64Array;
  readonly high: Float64Array;
}

export interface RollBand {
  readonly rolls: number;
  readonly seed: number;
  readonly spread: RollSpread;
  /** Places of the bands, evenly over the build. */
  readonly radius: Float64Array;
  readonly pressure: Band;
  readonly hoopStress: Band;
  /** Of the smallest margin of all cases; undefined without friction or density. */
  readonly smallestSlip?: { readonly low: Ratio; readonly middle: Ratio; readonly high: Ratio };
  /** Share of the rolls whose layers slip in some case. */
  readonly slipShare?: Ratio;
}

export interface RollBandOptions {
  readonly rolls?: number;
  readonly seed?: number;
  readonly spread?: RollSpread;
  /** Told after every tenth of the rolls; false ends it with those that were wound. */
  onProgress?(done: number, of: number): boolean;
}

/** Places over the build. */
const places = 101;

/**
 * What a roll may hold, given how uncertain its web is: the roll wound many times with modulus, stack law and friction drawn independently, each
 * log-normal about its value with the stated half width of 95 %; friction is drawn about its value, not taken at its low end. Schedules, core and
 * geometry are as stated [Pa, 1]. The same seed gives the same band on every machine.
 * @throws TautlineError argument_invalid as the winding does. Source: docs/models/wound-roll.md, "How sure".
 */
export function rollBand(input: RollInput, options: RollBandOptions = {}): RollBand {
  const { rolls = 200, seed = 1, spread = usualSpread, onProgress } = options;
  const random = createRandom(seed);
  const n = Math.min(places, input.laps);
  const at = Array.from({ length: n }, (_, k) => Math.round((k * (input.laps - 1)) / Math.max(1, n - 1)));
  const pressure = at.map((): number[] => []);
  const hoop = at.map((): number[] => []);
  const slips: number[] = [];
  let radius = new Float64Array(n);
  let wound = 0;
  const tenth = Math.max(1, Math.floor(rolls / 10));
  for (; wound < rolls; wound++) {
    if (wound > 0 && wound % tenth === 0 && onProgress?.(wound, rolls) === false) break;
    const drawn = draw(input, spread, random);
    const { input: own, build: made, wound: roll, holding, webStress } = windAsStated(drawn);
    const { build, tension, coreForce } = made;
    const stress = webStress(roll.hoopStress);
    radius = Float64Array.from(at, (i) => roll.radius[i]);
    at.forEach((i, k) => {
      pressure[k].push(roll.pressure[i]);
      hoop[k].push(stress[i]);
    });
    const { friction, density } = drawn.web;
    if (friction === undefined || density === undefined) continue;
    const full = { radius: build.full / 2, tension: tension.end, coreForce: coreForce(build.full) };
    const { judged } = slipCases(own as SlippingRoll, holding, full, friction);
    slips.push(judged.reduce((least, c) => Math.min(least, c.smallest.value), Number.POSITIVE_INFINITY));
  }
  return {
    rolls: wound,
    seed,
    spread,
    radius,
    pressure: bandOf(pressure),
    hoopStress: bandOf(hoop),
    ...(slips.length > 0 && {
      smallestSlip: {
        low: quantile(slips, 0.025),
        middle: quantile(slips, 0.5),
        high: quantile(slips, 0.975),
      },
      slipShare: slips.filter((s) => s < 1).length / slips.length,
    }),
  };
}

const bandOf = (samples: readonly (readonly number[])[]): Band => ({
  low: Float64Array.from(samples, (s) => quantile(s, 0.025)),
  middle: Float64Array.from(samples, (s) => quantile(s, 0.5)),
  high: Float64Array.from(samples, (s) => quantile(s, 0.975)),
});

/** Factor of a value whose 95 % half width is a share of it. */
const factor = (share: Ratio, random: Random): number =>
  Math.exp((Math.log1p(share) / 1.959964) * random.normal());

function draw(input: RollInput, spread: RollSpread, random: Random): RollInput {
  // always the same number of draws, so that one spread does not change what another one draws
  const [modulus, stackPressure, stackSlope, friction] = [
    factor(spread.modulus, random),
    factor(spread.stackPressure, random),
    factor(spread.stackSlope, random),
    factor(spread.friction, random),
  ] as [number, number, number, number];
  const { web } = input;
  return {
    ...input,
    web: {
      ...web,
      modulus: web.modulus * modulus,
      stack: scaledStack(web.stack, stackPressure, stackSlope),
      ...(web.friction !== undefined && { friction: web.friction * friction }),
    },
    // a nip coefficient that is taken from the friction follows it; a measured one stays
  };
}

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
