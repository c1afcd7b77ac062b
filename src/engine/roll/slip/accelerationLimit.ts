import type { Acceleration, Length, Ratio, Speed } from '../../units/quantity.js';
import { type Handling, handlingAt } from './handling.js';
import { judgedInterfaces, type SlipRoll, slipCapacity, slipDemand } from './slipMargin.js';

/** Largest acceleration, as a magnitude, before layers slip. */
export interface AccelerationLimit {
  /** At every interface [m/s²]; 0 where layers slip at any, Infinity where none makes them. */
  readonly limit: Float64Array;
  readonly smallest: { readonly value: Acceleration; readonly radius: Length };
}

/**
 * Largest acceleration of the web before each interface slips [m/s²]: the demand is linear in it, D = A + B·a, so |A + B·a| ≤ C gives (C − A)/B for B > 0 and (C + A)/(−B) for B < 0. μ friction [1]. The lap being
 * laid is left out of the smallest, as in {@link slipMargin}. Source: {@link slipCapacity}, {@link slipDemand}.
 */
export function accelerationLimit(roll: SlipRoll, way: Handling, friction: Ratio): AccelerationLimit {
  const n = roll.radius.length;
  const last = judgedInterfaces(roll);
  const limit = new Float64Array(n);
  let smallest = { value: Number.POSITIVE_INFINITY, radius: roll.coreRadius };
  const [still, moved] = [handlingAt(way, 0), handlingAt(way, 1)];
  for (let i = 0; i < n; i++) {
    const r = roll.radius[i] as number;
    const stress = roll.hoopStress[i] as number;
    const capacity = slipCapacity(r, roll.width, friction, roll.pressure[i] as number);
    const a = slipDemand(roll, still, r, stress);
    const b = slipDemand(roll, moved, r, stress) - a;
    const value =
      Math.abs(a) > capacity
        ? 0
        : b === 0
          ? Number.POSITIVE_INFINITY
          : (capacity - Math.sign(b) * a) / Math.abs(b);
    limit[i] = value;
    if (i < last && value < smallest.value) smallest = { value, radius: r };
  }
  return { limit, smallest };
}

/**
 * How far layers slide past each other, along the circumference, in a speed ramp that asks more than they hold, r·v²/(2·R)·(1/a₀ − 1/a) [m]: the part that is driven follows the ramp, the other changes its speed by a₀ only,
 * as much as the interface passes on, until both have the same speed again. r radius of the interface and R of the roll [m], v speed that the ramp covers [m/s], a₀ what the interface bears and a what is asked [m/s²].
 * 0 where a ≤ a₀; Infinity where a₀ = 0: the layers slide until something else stops them. Valid: pressure and friction as before the slip, one interface (the weakest, so that the others hold).
 * Source: kinematics; docs/models/wound-roll.md.
 */
export const slipArc = (
  r: Length,
  outerRadius: Length,
  speed: Speed,
  borne: Acceleration,
  asked: Acceleration,
): Length => (asked <= borne ? 0 : ((r * speed * speed) / (2 * outerRadius)) * (1 / borne - 1 / asked));
