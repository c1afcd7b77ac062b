import {
  type Handling,
  type HandlingName,
  handlingAt,
  type RollStates,
  rollHandling,
} from '../../roll/slip/handling.js';
import { type SlipMargin, type SlipRoll, slipMargin } from '../../roll/slip/slipMargin.js';
import type { Density, Length, Ratio } from '../../units/quantity.js';
import type { RollBuild } from './rollBuild.js';
import { type RollInput, takesAir } from './rollInput.js';

/** Friction of one web differs by this share between accepted methods (de Silveira and Hutchings 1997, abstract), so slip is judged at its low end. */
export const frictionSpread = 0.3;

/** A roll whose web states what slip is judged by. */
export type SlippingRoll = RollInput & {
  readonly web: { readonly friction: Ratio; readonly density: Density };
};

/** Whether slip of a roll can be judged: friction and density are stated. Source: docs/models/wound-roll.md. */
export const isSlipping = (input: RollInput): input is SlippingRoll =>
  input.web.friction !== undefined && input.web.density !== undefined;

/** Friction of one web at the low end of what accepted methods measure [1]. Source: {@link frictionSpread}. */
export const lowEndOf = (friction: Ratio): Ratio => (1 - frictionSpread) * friction;

/** How a roll is handled at a diameter [m], as its document states it. Source: docs/models/wound-roll.md. */
export function rollStates(input: RollInput, made: RollBuild, diameter: Length): RollStates {
  const tension = made.tension.at(diameter);
  return {
    radius: diameter / 2,
    tension,
    coreShare: tension > 0 ? made.forceAtCore(diameter) / tension : 0,
    ...(input.acceleration !== undefined && { acceleration: input.acceleration }),
    ...(input.stop && { deceleration: input.stop.deceleration, brakedAt: input.stop.brakedAt }),
    ...(input.unwinding && { unwinding: input.unwinding }),
  };
}

/** A roll, finished or not, whose slip is judged. */
export interface JudgedSlip {
  readonly roll: SlipRoll;
  readonly friction: Ratio;
  readonly judged: readonly ({ readonly name: HandlingName; readonly way: Handling } & SlipMargin)[];
}

/** What slip is judged on of a roll, finished or not. */
export interface WoundPart {
  readonly radius: Float64Array;
  readonly pressure: Float64Array;
  readonly hoopStress: Float64Array;
}

/** With air between its laps the outermost twentieth of a roll floats, whatever it is wound with: it is asked for little and holds nothing until more laps lie on it. */
const judgedWithAir = 0.95;

/** A wound roll as slip is judged on it [m, Pa, kg/m³]. Inertia of the core is inside every interface, so it does not count. Source: definition. */
export function slipRoll(input: SlippingRoll, wound: WoundPart): SlipRoll {
  const { web, core } = input;
  return {
    ...wound,
    caliper: web.caliper,
    width: web.width,
    coreRadius: core.outerRadius,
    density: web.density,
    coreInertia: 0,
    ...(takesAir(input) &&
      (input.air?.filmShare ?? 1) > 0 && {
        judged: Math.max(1, Math.floor(judgedWithAir * wound.radius.length)),
      }),
  };
}

/** Margin against slip of a wound roll in every way of handling that is stated [1], with friction at its low end where none is given. Source: docs/models/wound-roll.md. */
export function slipCases(
  input: SlippingRoll,
  wound: WoundPart,
  states: RollStates,
  friction: Ratio = lowEndOf(input.web.friction),
): JudgedSlip {
  const roll = slipRoll(input, wound);
  const judged = rollHandling(roll, states).map((way) => ({
    name: way.name,
    way,
    ...slipMargin(roll, handlingAt(way), friction),
  }));
  return { roll, friction, judged };
}
