import type { Caliper, Density, Inertia, Length, Pressure, Ratio, Torque } from '../../units/quantity.js';
import { rollInertia } from '../buildUp.js';

/** How a roll is held while its layers are asked to carry torque; everything at the shaft. */
export interface RollHandling {
  /** Torque that enters at the core, in winding direction [N·m]; 0 for an idle core. */
  readonly coreTorque: Torque;
  /** Angular acceleration in winding direction [rad/s²]; negative in a stop. */
  readonly angularAcceleration: number;
  /** False once the web broke: the free tail carries no tension round the roll. */
  readonly hasWeb: boolean;
}

/** A wound roll as slip is judged on it. */
export interface SlipRoll {
  readonly radius: Float64Array;
  readonly pressure: Float64Array;
  readonly hoopStress: Float64Array;
  readonly caliper: Caliper;
  readonly width: Length;
  readonly coreRadius: Length;
  readonly density: Density;
  /** Of core and shaft. */
  readonly coreInertia: Inertia;
  /** How many of the innermost interfaces count for the smallest margin; all but the outermost when left out. */
  readonly judged?: number;
}

/** Interfaces that count for a smallest margin [1]: the lap being laid carries its own tension, so nothing is left of demand and capacity there but rounding. Source: definition. */
export const judgedInterfaces = ({ radius, judged }: SlipRoll): number =>
  Math.min(radius.length - 1, judged ?? radius.length);

/**
 * Torque that an interface can pass on before its layers slip, 2π·r²·W·μ·P [N·m]. r radius [m], W width [m], μ friction of web on web [1], P pressure [Pa].
 * Source: Coulomb over a cylinder.
 */
export const slipCapacity = (radius: Length, width: Length, friction: Ratio, pressure: Pressure): Torque =>
  2 * Math.PI * radius * radius * width * friction * pressure;

/**
 * Torque that an interface at radius r has to pass on [N·m]: what enters inside it less what speeds up inside it, M_core − J_i(r)·α, less what the web
 * itself carries round, σ_t·h·W·r, since the layer is a spiral (not after a web break, whose free tail lets go). r [m], σ_t hoop stress of the lap above the interface [Pa]; J_i inertia inside r
 * [kg·m²], α [rad/s²]. Valid for every way of driving: surface forces act outside all interfaces.
 * Source: balance of the part inside r, derived in docs/models/wound-roll.md.
 */
export function slipDemand(
  roll: SlipRoll,
  { coreTorque, angularAcceleration, hasWeb }: RollHandling,
  radius: Length,
  stress: Pressure,
): Torque {
  const inside = rollInertia(roll.density, roll.width, radius, roll.coreRadius, roll.coreInertia);
  const carriedRound = hasWeb ? stress * roll.caliper * roll.width * radius : 0;
  return coreTorque - inside * angularAcceleration - carriedRound;
}

/** Where layers come nearest to slipping. */
export interface SlipMargin {
  /** Capacity over demand at every interface [1]; Infinity where nothing is asked. */
  readonly margin: Float64Array;
  readonly smallest: { readonly value: Ratio; readonly radius: Length };
}

/** Capacity over demand at every interface, |.|, and where it is smallest [1, m]. μ friction [1]. Source: {@link slipCapacity}, {@link slipDemand}. */
export function slipMargin(roll: SlipRoll, handling: RollHandling, friction: Ratio): SlipMargin {
  const n = roll.radius.length;
  const last = judgedInterfaces(roll);
  const margin = new Float64Array(n);
  let smallest = { value: Number.POSITIVE_INFINITY, radius: roll.coreRadius };
  for (let i = 0; i < n; i++) {
    const r = roll.radius[i] as number;
    const demand = Math.abs(slipDemand(roll, handling, r, roll.hoopStress[i] as number));
    const capacity = slipCapacity(r, roll.width, friction, roll.pressure[i] as number);
    const value = demand === 0 ? Number.POSITIVE_INFINITY : capacity / demand;
    margin[i] = value;
    if (i < last && value < smallest.value) smallest = { value, radius: r };
  }
  return { margin, smallest };
}
