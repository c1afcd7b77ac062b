import { accelerationLimit, slipArc } from '../../roll/slip/accelerationLimit.js';
import { type Handling, type HandlingName, handlingAt } from '../../roll/slip/handling.js';
import { type SlipRoll, slipDemand } from '../../roll/slip/slipMargin.js';
import type { PartRoll } from '../../roll/stress/windingInput.js';
import type { Acceleration, Length, Ratio } from '../../units/quantity.js';
import type { RollBuild } from './rollBuild.js';
import { rollStates, type SlippingRoll, slipCases } from './slipCases.js';
import { unfinishedRoll } from './unfinishedRoll.js';

/** Layers that slide past each other in a ramp. */
export interface Slide {
  readonly arc: Length;
  readonly radius: Length;
  /** +1 where what lies inside gets ahead in winding direction, −1 where it falls behind. */
  readonly direction: 1 | -1;
}

/** Where a way of handling comes nearest to slip at one diameter of the roll. */
export interface SlipAtDiameter {
  readonly name: HandlingName;
  readonly margin: Ratio;
  /** Of the interface. */
  readonly radius: Length;
  /** What the weakest interface bears of acceleration or deceleration; undefined in steady running. */
  readonly borne?: Acceleration;
  /** How far layers slide in the ramp that is stated; undefined where they hold or no speed is stated. Infinity: more than a turn, from where on pressures are no longer those before the slip. */
  readonly slides?: Slide;
}

/** A roll on the way to its full diameter. */
export interface SlipPlace {
  readonly diameter: Length;
  readonly cases: readonly SlipAtDiameter[];
}

/** Places over the build, the last of them the full roll. */
const placesOfBuild = 24;
/** A roll of fewer laps is not judged: what is left of demand and capacity is rounding. */
const fewestLaps = 3;

/** Numbers of laps at which an unfinished roll is looked at [1]. Source: definition. */
export function lapsLookedAt(laps: number): number[] {
  const at = Array.from({ length: placesOfBuild }, (_, k) => Math.round(((k + 1) * laps) / placesOfBuild));
  return [...new Set(at)].filter((n) => n >= Math.min(fewestLaps, laps));
}

/**
 * Slip of a roll at each diameter that it passes, wound and stopped there, and unwound: margin, largest acceleration, and how far layers slide [1, m, m/s²]. Unwinding takes from a roll what winding put into it, so at each diameter it holds what it held then;
 * stacks that give back less than they took are not in this. `held` is the pressure that friction works on.
 * Source: docs/models/wound-roll.md, "Slip at every diameter".
 */
export function slipOverDiameter(
  input: SlippingRoll,
  made: RollBuild,
  radius: Float64Array,
  during: readonly PartRoll[],
  held: (pressure: Float64Array) => Float64Array,
): SlipPlace[] {
  const looked = new Set(lapsLookedAt(input.laps));
  return during
    .filter(({ laps }) => looked.has(laps))
    .map((unfinished): SlipPlace => {
      const { diameter, part } = unfinishedRoll(made, radius, unfinished, held);
      const { roll, friction, judged } = slipCases(input, part, rollStates(input, made, diameter));
      const cases = judged.map(({ name, way, smallest }): SlipAtDiameter => {
        if (way.angularPerAcceleration === 0)
          return { name, margin: smallest.value, radius: smallest.radius };
        const borne = accelerationLimit(roll, way, friction).smallest;
        const slides = way.acceleration > borne.value && input.speed !== undefined && input.speed > 0;
        return {
          name,
          margin: smallest.value,
          radius: smallest.radius,
          borne: borne.value,
          ...(slides && {
            slides: {
              arc: upToATurn(
                slipArc(borne.radius, diameter / 2, input.speed, borne.value, way.acceleration),
                borne.radius,
              ),
              radius: borne.radius,
              direction: directionOf(roll, way, borne.radius),
            },
          }),
        };
      });
      return { diameter, cases };
    });
}

/** An interface that is asked to pass torque outwards in winding direction gets ahead inside; the hoop stress takes no part in what the ramp adds. */
const directionOf = (roll: SlipRoll, way: Handling, radius: Length): 1 | -1 =>
  slipDemand(roll, handlingAt(way, 1), radius, 0) - slipDemand(roll, handlingAt(way, 0), radius, 0) > 0
    ? 1
    : -1;

const upToATurn = (arc: Length, radius: Length): Length =>
  arc <= 2 * Math.PI * radius ? arc : Number.POSITIVE_INFINITY;
