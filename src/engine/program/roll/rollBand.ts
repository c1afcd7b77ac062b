import { quantile } from '../../numerics/quantile.js';
import type { Ratio } from '../../units/quantity.js';
import type { RollInput, RollUncertainty } from './rollInput.js';
import { type RollSpread, rollDraws, spreadOf } from './rollSpread.js';
import { isSlipping, rollStates, slipCases } from './slipCases.js';
import { windAsStated } from './windAsStated.js';

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
  /** In place of what the roll states. */
  readonly uncertainty?: RollUncertainty;
  /** Told after every tenth of the rolls; false ends it with those that were wound. */
  onProgress?(done: number, of: number): boolean;
}

/** Places over the build. */
const places = 101;

/**
 * What a roll may hold, given how uncertain its web is: the roll wound many times with modulus, stack law and friction drawn as {@link spreadOf} says; friction is drawn
 * about its value, not taken at its low end. Schedules, core and geometry are as stated [Pa, 1]. The same seed gives the same band on every machine.
 * @throws TautlineError argument_invalid as the winding does, and for an uncertainty that cannot be drawn. Source: docs/models/wound-roll.md, "How sure".
 */
export function rollBand(input: RollInput, options: RollBandOptions = {}): RollBand {
  const { rolls = 200, seed = 1, uncertainty = input.uncertainty, onProgress } = options;
  const spread = spreadOf(uncertainty);
  const draw = rollDraws(input, spread, seed);
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
    const drawn = draw();
    const { input: own, build: made, wound: roll, holding, webStress } = windAsStated(drawn);
    const stress = webStress(roll.hoopStress);
    radius = Float64Array.from(at, (i) => roll.radius[i]);
    at.forEach((i, k) => {
      pressure[k].push(roll.pressure[i]);
      hoop[k].push(stress[i]);
    });
    if (!isSlipping(own)) continue;
    const { judged } = slipCases(own, holding, rollStates(own, made, made.build.full), own.web.friction);
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
