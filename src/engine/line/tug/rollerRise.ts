import type { Acceleration, Length, Speed } from '../../units/quantity.js';
import { bearingBand } from '../bearing/bearingBand.js';
import { dragTorque } from '../drag.js';
import { dragRise, inertiaRise, webLoad } from '../idler.js';
import type { Bearings, DragHalfWidth, Roller } from '../line.js';
import { anything, atLeastNothing, exactly, nothing, plus, times } from './band.js';
import { type Interval, isKnown } from './types.js';

/** Standard gravity [m/s²], 3rd CGPM 1901. */
const gravity = 9.80665;

/**
 * Load on the bearings of a roller [N]: the web's pull at its wrap and the roller's weight, whose directions are not compared, so the low end is their
 * difference and the high end their sum. Without a wrap the pull is anything up to 2·T; without a mass the weight follows from the inertia, between
 * J/R² (thin shell) and 2·J/R² (solid); without tension, or without either of these, the high end is open. `tension` held in the zone [N], wrap [rad],
 * R radius [m]. Source: vector sum, inertia of a homogeneous cylinder.
 */
export function bearingLoad(
  { mass, inertia }: Roller,
  radius: Length | undefined,
  tension: Interval | undefined,
  wrap: number | undefined,
): Interval {
  const pull =
    tension === undefined
      ? atLeastNothing
      : wrap === undefined
        ? { low: 0, high: 2 * tension.high }
        : times(tension, webLoad(1, 1, wrap));
  const shell = inertia === undefined || radius === undefined ? undefined : inertia.value / radius ** 2;
  const weight =
    mass !== undefined
      ? exactly(mass * gravity)
      : shell !== undefined
        ? { low: shell * gravity, high: 2 * shell * gravity }
        : atLeastNothing;
  return {
    low: Math.max(0, pull.low - weight.high, weight.low - pull.high),
    high: pull.high + weight.high,
  };
}

/**
 * Drag of a roller at a web speed, at the roller [N·m]: a value, or a band from bearing formulas; an open end where something comes on top that is
 * not known. v web speed [m/s], R radius [m], `load` on its bearings [N]. Source: docs/models/tug-budget.md.
 */
export function rollerDrag(roller: Roller, radius: Length, speed: Speed, load: Interval): Interval {
  const omega = speed / radius;
  switch (roller.drag.known) {
    case 'measured':
    case 'stated': {
      const torque = dragTorque(roller.drag.law, omega);
      const half = roller.drag.halfWidth95 === undefined ? 0 : halfWidthAt(roller.drag.halfWidth95, omega);
      return { low: Math.max(0, torque - half), high: torque + half };
    }
    case 'estimated':
      return estimatedDrag(roller.drag.bearings, load, omega);
    case 'unknown':
      return atLeastNothing;
  }
}

/** All three bearing formulas rise with the load, so the ends of the load give the ends of the drag. */
function estimatedDrag(bearings: Bearings, load: Interval, omega: number): Interval {
  const light = bearingBand(bearings, load.low, omega);
  if (light.isLowerBound || !isKnown(load)) return { low: light.low, high: Number.POSITIVE_INFINITY };
  return { low: light.low, high: bearingBand(bearings, load.high, omega).high };
}

/** What speeding a roller up asks of the web [N]; a [m/s²], R [m]. Source: docs/models/tug-budget.md. */
export function speedingUp(
  { inertia }: Roller,
  radius: Length,
  acceleration: Acceleration,
  isHelped: boolean,
): Interval {
  if (acceleration === 0) return nothing;
  if (isHelped) {
    const half = inertia?.halfWidth95;
    if (half === undefined) return anything;
    const error = Math.abs(inertiaRise(half, acceleration, radius));
    return { low: -error, high: error };
  }
  if (inertia !== undefined) return exactly(inertiaRise(inertia.value, acceleration, radius));
  return acceleration > 0 ? atLeastNothing : { low: Number.NEGATIVE_INFINITY, high: 0 };
}

/** What the drag of a roller asks of the web [N]; v [m/s], R [m], load [N]. Source: docs/models/tug-budget.md. */
export function turning(
  roller: Roller,
  radius: Length,
  speed: Speed,
  load: Interval,
  isHelped: boolean,
): Interval {
  if (!isHelped) return times(rollerDrag(roller, radius, speed, load), 1 / radius);
  if (roller.drag.known !== 'measured' || roller.drag.halfWidth95 === undefined) return anything;
  const error = dragRise(halfWidthAt(roller.drag.halfWidth95, speed / radius), radius);
  return { low: -error, high: error };
}

/**
 * What the web has to give to a roller at a speed and an acceleration [N]. One that the web carries asks for M/R + J·a/R²; one with a helper drive
 * only for the error of its feed-forward, the half width of what was measured, in either sense. Open ends where a needed value is not known.
 * v web speed [m/s], a acceleration [m/s²], R radius [m], `load` on the bearings [N]. Source: docs/models/tug-budget.md.
 */
export const rollerRise = (
  roller: Roller,
  radius: Length,
  speed: Speed,
  acceleration: Acceleration,
  load: Interval,
  isHelped: boolean,
): Interval =>
  plus(turning(roller, radius, speed, load, isHelped), speedingUp(roller, radius, acceleration, isHelped));

/** Half width at a speed, straight between the points and held beyond them [N·m]. ω [rad/s]. Source: definition. */
export function halfWidthAt({ speed, torque }: DragHalfWidth, omega: number): number {
  const k = speed.findIndex((w) => w >= omega);
  if (k === 0 || speed.length === 0) return torque[0] ?? Number.NaN;
  if (k < 0) return torque[torque.length - 1] as number;
  const share = (omega - (speed[k - 1] as number)) / ((speed[k] as number) - (speed[k - 1] as number));
  return (torque[k - 1] as number) + share * ((torque[k] as number) - (torque[k - 1] as number));
}
