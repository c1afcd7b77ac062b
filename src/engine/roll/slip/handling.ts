import type { Acceleration, Length, Ratio, TensionPerWidth, Torque } from '../../units/quantity.js';
import { rollInertia } from '../buildUp.js';
import type { RollHandling, SlipRoll } from './slipMargin.js';

/** Ways of handling a roll that slip between its layers is judged in. */
export type HandlingName =
  | 'winding'
  | 'start'
  | 'stop'
  | 'web break'
  | 'unwinding'
  | 'unwinding start'
  | 'unwinding stop';

/** A roll in its machine. */
export interface RollStates {
  /** Outer radius R [m]. */
  readonly radius: Length;
  /** Tension of the web that arrives, per width [N/m], and the share of it that the core's torque makes [1]. */
  readonly tension: TensionPerWidth;
  readonly coreShare: Ratio;
  /** Acceleration of the web in a start and deceleration in a stop, as magnitudes [m/s²]. */
  readonly acceleration?: Acceleration;
  readonly deceleration?: Acceleration;
  /** Where a stop is braked; the core when left out. */
  readonly brakedAt?: 'core' | 'surface';
  /** As it is unwound later: tension of the web that leaves [N/m], and how it is started and stopped. */
  readonly unwinding?: {
    readonly tension: TensionPerWidth;
    readonly acceleration?: Acceleration;
    readonly deceleration?: Acceleration;
    readonly brakedAt?: 'core' | 'surface';
  };
}

/** One way of handling a roll, linear in the acceleration a of the web [m/s²]. */
export interface Handling {
  readonly name: HandlingName;
  /** Torque at the core, in winding direction, at a = 0 [N·m], and what every m/s² adds to it. */
  readonly coreTorque: Torque;
  readonly coreTorquePerAcceleration: number;
  /** Angular acceleration in winding direction over a [1/m]. */
  readonly angularPerAcceleration: number;
  readonly hasWeb: boolean;
  /** a as stated, a magnitude [m/s²]; 0 in steady running. */
  readonly acceleration: Acceleration;
}

/**
 * The ways in which a roll is handled, as far as they are stated [N·m, 1/m, m/s²]. Wound: the core gives its share of T·W·R. Started: and J·α, when it drives; else the surface does. Stopped at the core: M = T·W·R + J·α with
 * α = −a/R, the rest of the balance; at the surface: the core gives nothing. With the web broken T = 0.
 * Unwound: the roll turns the other way and its web pulls in the same sense, so the brake at the core gives T·W·R in winding direction; a stop is α = +a/R and adds to it, a start takes from it.
 * Source: torque balance of the whole roll, docs/models/wound-roll.md.
 */
export function rollHandling(roll: SlipRoll, states: RollStates): readonly Handling[] {
  const { radius, tension, coreShare, acceleration, deceleration, brakedAt = 'core', unwinding } = states;
  const whole = rollInertia(roll.density, roll.width, radius, roll.coreRadius, roll.coreInertia);
  const pull = (t: TensionPerWidth): Torque => t * roll.width * radius;
  const way = (
    name: HandlingName,
    coreTorque: Torque,
    turns: -1 | 0 | 1,
    a: Acceleration,
    isAtCore: boolean,
    hasWeb = true,
  ): Handling => ({
    name,
    coreTorque,
    coreTorquePerAcceleration: isAtCore ? (turns * whole) / radius : 0,
    angularPerAcceleration: turns / radius,
    hasWeb,
    acceleration: a,
  });
  const held = coreShare * pull(tension);
  const ways = [way('winding', held, 0, 0, false)];
  if (acceleration !== undefined) ways.push(way('start', held, 1, acceleration, coreShare > 0));
  if (deceleration !== undefined) {
    const isAtCore = brakedAt === 'core';
    ways.push(way('stop', isAtCore ? pull(tension) : 0, -1, deceleration, isAtCore));
    ways.push(way('web break', 0, -1, deceleration, isAtCore, false));
  }
  if (unwinding !== undefined) {
    const isAtCore = (unwinding.brakedAt ?? 'core') === 'core';
    const torque = isAtCore ? pull(unwinding.tension) : 0;
    ways.push(way('unwinding', torque, 0, 0, false));
    if (unwinding.acceleration !== undefined)
      ways.push(way('unwinding start', torque, -1, unwinding.acceleration, isAtCore));
    if (unwinding.deceleration !== undefined)
      ways.push(way('unwinding stop', torque, 1, unwinding.deceleration, isAtCore));
  }
  return ways;
}

/** A way of handling at an acceleration of the web a [m/s²], at the shaft [N·m, rad/s²]. Source: definition of {@link Handling}. */
export const handlingAt = (way: Handling, a: Acceleration = way.acceleration): RollHandling => ({
  coreTorque: way.coreTorque + way.coreTorquePerAcceleration * a,
  angularAcceleration: way.angularPerAcceleration * a,
  hasWeb: way.hasWeb,
});
