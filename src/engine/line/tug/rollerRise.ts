import type { Acceleration, Length, Speed, Tension } from '../../units/quantity.js';
import { bearingBand } from '../bearing/bearingBand.js';
import { dragTorque } from '../drag.js';
import { dragRise, inertiaRise } from '../idler.js';
import type { DragHalfWidth, Roller } from '../line.js';
import type { Band } from './types.js';

/**
 * Drag of a roller at a web speed, at the roller [N·m]: a value, or a band from bearing formulas; undefined where nothing is known. v web speed [m/s],
 * R radius [m], `load` on its bearings [N]. Source: docs/models/tug-budget.md.
 */
export function rollerDrag(roller: Roller, radius: Length, speed: Speed, load: Tension): Band | undefined {
  const omega = speed / radius;
  switch (roller.drag.known) {
    case 'measured':
    case 'stated': {
      const torque = dragTorque(roller.drag.law, omega);
      const half = roller.drag.halfWidth95 === undefined ? 0 : halfWidthAt(roller.drag.halfWidth95, omega);
      return { low: Math.max(0, torque - half), high: torque + half };
    }
    case 'estimated': {
      const { low, high } = bearingBand(roller.drag.bearings, load, omega);
      return { low, high };
    }
    case 'unknown':
      return undefined;
  }
}

/**
 * What the web has to give to a roller at a speed and an acceleration [N]. One that the web carries asks for M/R + J·a/R²; one with a helper drive
 * only for the error of its feed-forward, the half width of what was measured, in either sense. undefined where a needed value is not known.
 * v web speed [m/s], a acceleration [m/s²], R radius [m], `load` on the bearings [N]. Source: docs/models/tug-budget.md.
 */
export function rollerRise(
  roller: Roller,
  radius: Length,
  speed: Speed,
  acceleration: Acceleration,
  load: Tension,
  isHelped: boolean,
): Band | undefined {
  if (isHelped) {
    if (roller.drag.known !== 'measured' || roller.drag.halfWidth95 === undefined) return undefined;
    const inertiaError = acceleration === 0 ? 0 : (roller.inertia?.halfWidth95 ?? Number.NaN);
    const error =
      dragRise(halfWidthAt(roller.drag.halfWidth95, speed / radius), radius) +
      Math.abs(inertiaRise(inertiaError, acceleration, radius));
    return Number.isFinite(error) ? { low: -error, high: error } : undefined;
  }
  const drag = rollerDrag(roller, radius, speed, load);
  const inertia = acceleration === 0 ? 0 : roller.inertia?.value;
  if (drag === undefined || inertia === undefined) return undefined;
  const rise = inertiaRise(inertia, acceleration, radius);
  return { low: dragRise(drag.low, radius) + rise, high: dragRise(drag.high, radius) + rise };
}

/** Half width at a speed, straight between the points and held beyond them [N·m]. ω [rad/s]. Source: definition. */
export function halfWidthAt({ speed, torque }: DragHalfWidth, omega: number): number {
  const k = speed.findIndex((w) => w >= omega);
  if (k === 0 || speed.length === 0) return torque[0] ?? Number.NaN;
  if (k < 0) return torque[torque.length - 1] as number;
  const share = (omega - (speed[k - 1] as number)) / ((speed[k] as number) - (speed[k - 1] as number));
  return (torque[k - 1] as number) + share * ((torque[k] as number) - (torque[k - 1] as number));
}
