import {
  type RollHandling,
  type RollStates,
  rollHandling,
  type SlipMargin,
  type SlipRoll,
  slipMargin,
} from '../../roll/slip.js';
import type { Density, Length, Ratio, TensionPerWidth } from '../../units/quantity.js';
import type { RollInput } from './rollInput.js';

/** Friction of one web differs by this share between accepted methods (de Silveira and Hutchings 1997, abstract), so slip is judged at its low end. */
export const frictionSpread = 0.3;

/** A roll whose web states what slip is judged by. */
export type SlippingRoll = RollInput & {
  readonly web: { readonly friction: Ratio; readonly density: Density };
};

/** Ways of handling a full roll that are judged. */
export type SlipCaseName = 'winding' | 'stop' | 'web break';

export interface JudgedSlip {
  readonly roll: SlipRoll;
  readonly states: RollStates;
  /** Friction at its low end. */
  readonly friction: Ratio;
  readonly judged: readonly ({ readonly name: SlipCaseName } & SlipMargin)[];
}

/** Friction of one web at the low end of what accepted methods measure [1]. Source: {@link frictionSpread}. */
export const lowEndOf = (friction: Ratio): Ratio => (1 - frictionSpread) * friction;

/** Margin against slip of a wound roll in every way of handling that is stated [1], with friction at its low end where none is given. Source: docs/models/wound-roll.md. */
export function slipCases(
  { web, core, stop }: SlippingRoll,
  wound: {
    readonly radius: Float64Array;
    readonly pressure: Float64Array;
    readonly hoopStress: Float64Array;
  },
  full: { readonly radius: Length; readonly tension: TensionPerWidth; readonly coreForce: TensionPerWidth },
  friction: Ratio = lowEndOf(web.friction),
): JudgedSlip {
  const roll: SlipRoll = {
    ...wound,
    caliper: web.caliper,
    width: web.width,
    coreRadius: core.outerRadius,
    density: web.density,
    coreInertia: 0,
  };
  const states = {
    radius: full.radius,
    tension: full.tension,
    coreShare: full.tension > 0 ? full.coreForce / full.tension : 0,
    ...(stop && { deceleration: stop.deceleration, brakedAt: stop.brakedAt }),
  };
  const handling = rollHandling(roll, states);
  const cases: [SlipCaseName, RollHandling | undefined][] = [
    ['winding', handling.winding],
    ['stop', handling.stop],
    ['web break', handling.webBreak],
  ];
  const judged = cases.flatMap(([name, at]) =>
    at === undefined ? [] : [{ name, ...slipMargin(roll, at, friction) }],
  );
  return { roll, states, friction, judged };
}
