import { TautlineError } from '../errors.js';
import type { AngularSpeed, Inertia, Power, Ratio, Torque, TorqueFraction } from '../units/quantity.js';

/** A self-ventilated motor has its fan on its own shaft and cools badly at rest. */
export type Cooling = 'forced' | 'self-ventilated';
/** Which way power may flow through a drive: 'driving' cannot feed back, 'braking' is a brake or a drag generator. */
export type PowerFlow = 'both' | 'driving' | 'braking';

/** A motor, or a brake (power flow 'braking'), as its drive allows it to be used. What was not stated is undefined and never filled in. */
export interface Motor {
  /** Torque that it can give for ever at base speed [N·m], above 0. */
  readonly ratedTorque: Torque;
  /** Highest short-time torque as a fraction of rated [1], at least 1; 1.5 means 150 %. */
  readonly torqueLimit: TorqueFraction;
  /** Speed from which on the field is weakened [rad/s]; undefined: constant torque at every speed. */
  readonly baseSpeed?: AngularSpeed;
  /** Highest speed allowed [rad/s]. */
  readonly maxSpeed?: AngularSpeed;
  readonly inertia?: Inertia;
  readonly cooling: Cooling;
  readonly powerFlow: PowerFlow;
}

const invalid = (where: Record<string, number>, message: string, next: string): TautlineError =>
  new TautlineError('argument_invalid', where, message, next);

/**
 * Refuses what is no motor; the relations below rely on it. For the door of a document.
 * @throws TautlineError argument_invalid for a rated torque, base or maximum speed that is not above 0, a torque limit below 1, a negative
 * inertia, or a maximum speed below base speed
 */
export function requireMotor({ ratedTorque, torqueLimit, baseSpeed, maxSpeed, inertia }: Motor): void {
  if (!(ratedTorque > 0 && ratedTorque < Number.POSITIVE_INFINITY))
    throw invalid(
      { ratedTorque },
      `rated torque ${ratedTorque} N·m is not above 0`,
      'state the torque on the nameplate',
    );
  if (!(torqueLimit >= 1 && torqueLimit < Number.POSITIVE_INFINITY))
    throw invalid(
      { torqueLimit },
      `torque limit ${torqueLimit} is below the rated torque`,
      'state the limit as a fraction of rated, 1.5 for 150 %',
    );
  for (const [name, value] of Object.entries({ baseSpeed, maxSpeed }))
    if (value !== undefined && !(value > 0))
      throw invalid({ [name]: value }, `${name} ${value} rad/s is not above 0`, 'state a speed above 0');
  if (baseSpeed !== undefined && maxSpeed !== undefined && maxSpeed < baseSpeed)
    throw invalid(
      { baseSpeed, maxSpeed },
      `maximum speed ${maxSpeed} rad/s is below base speed ${baseSpeed} rad/s`,
      'state a maximum speed that is at least base speed',
    );
  if (inertia !== undefined && !(inertia >= 0))
    throw invalid(
      { inertia },
      `motor inertia ${inertia} kg·m² is negative or no number`,
      'state the inertia of the rotor',
    );
}

/**
 * Field weakening max(1, |ω|/ω_base) [1]: how much more torque current a torque takes than below base speed, and how much less torque
 * there is. ω motor speed [rad/s]. Valid: voltage limit that holds the field in inverse proportion to speed (constant power); the
 * pull-out torque of an induction motor, which falls about with (ω_base/ω)², is not modelled: from about twice base speed on compare with
 * the data sheet. Source: constant-voltage operation, any text on drives (from memory).
 */
export const fieldWeakening = ({ baseSpeed }: Motor, speed: AngularSpeed): Ratio =>
  baseSpeed === undefined ? 1 : Math.max(1, Math.abs(speed) / baseSpeed);

/** A highest speed that is passed by rounding alone is met. */
const speedRounding = 1 + 1e-9;

/**
 * Torque that the motor can give for ever at a speed, T_rated/max(1, |ω|/ω_base) [N·m], a magnitude; 0 beyond the maximum speed.
 * ω motor speed [rad/s]. Valid: as {@link fieldWeakening}; a self-ventilated motor gives less for ever at low speed, which
 * is not modelled except at rest (program/duty). Source: constant torque to base speed, constant power above (from memory).
 */
export const ratedTorqueAt = (motor: Motor, speed: AngularSpeed): Torque =>
  motor.maxSpeed !== undefined && Math.abs(speed) > motor.maxSpeed * speedRounding
    ? 0
    : motor.ratedTorque / fieldWeakening(motor, speed);

/**
 * Highest short-time torque at a speed, the torque limit times {@link ratedTorqueAt} [N·m], a magnitude. ω motor speed [rad/s].
 * Valid: as there. Source: the torque current is what is limited, so the limit weakens with the field.
 */
export const peakTorqueAt = (motor: Motor, speed: AngularSpeed): Torque =>
  motor.torqueLimit * ratedTorqueAt(motor, speed);

/**
 * True when power may flow the way that a torque [N·m] at a speed [rad/s] asks for. No torque is always allowed. At rest, counted as
 * starting forward, a torque forward drives and a torque backward holds. Source: sign of T·ω.
 */
export function powerFlowAllowed({ powerFlow }: Motor, torque: Torque, speed: AngularSpeed): boolean {
  if (powerFlow === 'both' || torque === 0) return true;
  const driving = speed < 0 ? torque < 0 : torque > 0;
  return driving === (powerFlow === 'driving');
}

/**
 * Short-time torque that is there in the direction of a torque [N·m] at a motor speed [rad/s]: {@link peakTorqueAt}, or 0 where power
 * may not flow that way [N·m], a magnitude. Source: as there.
 */
export const availableTorque = (motor: Motor, torque: Torque, speed: AngularSpeed): Torque =>
  powerFlowAllowed(motor, torque, speed) ? peakTorqueAt(motor, speed) : 0;

/** Torque as a signed fraction of the nameplate, T/T_rated [1]: what a torque reference is stated in. T [N·m]. Source: definition. */
export const torqueFraction = ({ ratedTorque }: Motor, torque: Torque): TorqueFraction =>
  torque / ratedTorque;

/**
 * Torque current as a signed fraction of that at rated torque and full field, T/T_rated·max(1, |ω|/ω_base) [1]: what warms the motor, and
 * what a feed-forward in terms of current must be scaled to. Equal to T over the rated torque that is left at this speed. T torque [N·m],
 * ω motor speed [rad/s]. Valid: as {@link fieldWeakening}; the magnetising current is apart. Source: T = k·flux·current.
 */
export const torqueCurrentFraction = (motor: Motor, torque: Torque, speed: AngularSpeed): TorqueFraction =>
  (torque / motor.ratedTorque) * fieldWeakening(motor, speed);

/** What one working point asks of a motor. Filled in place by {@link motorDemand}. */
export interface MotorDemand {
  /** Torque at the motor [N·m] and its speed [rad/s], with sign. */
  torque: Torque;
  speed: AngularSpeed;
  /** Shaft power [W], positive when driving. */
  power: Power;
  /** Signed fraction of rated torque [1]. */
  fraction: TorqueFraction;
  /** Signed fraction of rated torque current [1]. */
  currentFraction: TorqueFraction;
  /** Short-time torque that is there in this direction less what is asked for [N·m]; negative when the motor cannot. */
  margin: Torque;
}

/** An empty demand to hand to {@link motorDemand}. */
export const emptyMotorDemand = (): MotorDemand => ({
  torque: 0,
  speed: 0,
  power: 0,
  fraction: 0,
  currentFraction: 0,
  margin: 0,
});

/**
 * All that a torque at the motor [N·m] at a motor speed [rad/s] asks of it, written into `into` so that a loop over a roll map allocates
 * nothing. Source: the relations of this file.
 */
export function motorDemand(
  motor: Motor,
  torque: Torque,
  speed: AngularSpeed,
  into: MotorDemand,
): MotorDemand {
  into.torque = torque;
  into.speed = speed;
  into.power = torque * speed;
  into.fraction = torqueFraction(motor, torque);
  into.currentFraction = torqueCurrentFraction(motor, torque, speed);
  into.margin = availableTorque(motor, torque, speed) - Math.abs(torque);
  return into;
}
