import type { RollPrediction } from '../../program/roll/predictRoll.js';
import { tidy } from '../plain.js';

/** At most this many places of what is smooth over the radius. */
const places = 101;

/** Evenly spread places of an array, the first and the last among them. */
export function sampled(values: Float64Array): Float64Array {
  const n = values.length;
  if (n <= places) return values;
  return Float64Array.from(
    { length: places },
    (_, k) => values[Math.round((k * (n - 1)) / (places - 1))] as number,
  );
}

/** An array as documents have it. */
export const list = (values: Float64Array): number[] => Array.from(values, tidy);

/** As {@link list}, null for what is without end. */
export const orNull = (values: Float64Array): (number | null)[] =>
  Array.from(values, (x) => (Number.isFinite(x) ? tidy(x) : null));

/** What is in a roll, at up to 101 radii evenly over the build. */
export interface RollProfile {
  readonly radius_m: readonly number[];
  readonly pressure_Pa: readonly number[];
  readonly hoopStress_Pa: readonly number[];
  readonly woundOnTension_N_per_m: readonly number[];
  readonly slipMargin?: readonly (number | null)[];
}

/** A prediction beside others, thinned. */
export const toRollProfile = (p: RollPrediction): RollProfile => ({
  radius_m: list(sampled(p.radius)),
  pressure_Pa: list(sampled(p.pressure)),
  hoopStress_Pa: list(sampled(p.hoopStress)),
  woundOnTension_N_per_m: list(sampled(p.woundOnTension)),
  ...(p.slip && { slipMargin: orNull(sampled(p.slip.margin)) }),
});
