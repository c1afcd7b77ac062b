import type { PartRoll } from '../../roll/stress/windingInput.js';
import { hoopStress } from '../../roll/stress/windRoll.js';
import type { Length } from '../../units/quantity.js';
import type { RollBuild } from './rollBuild.js';
import type { WoundPart } from './slipCases.js';

/**
 * A roll on the way to its full diameter as slip is judged on it [m, Pa]: its diameter, and radius, pressure and hoop stress of the laps that it has. `radius` is that of the full roll; `held` takes from the pressure what friction does not get.
 * Source: definition.
 */
export function unfinishedRoll(
  { winding: { caliper, coreRadius } }: RollBuild,
  radius: Float64Array,
  { laps, pressure }: PartRoll,
  held: (pressure: Float64Array) => Float64Array = (p) => p,
): { readonly diameter: Length; readonly part: WoundPart } {
  const inside = radius.subarray(0, laps);
  return {
    diameter: 2 * (coreRadius + laps * caliper),
    part: { radius: inside, pressure: held(pressure), hoopStress: hoopStress(inside, pressure, caliper) },
  };
}
