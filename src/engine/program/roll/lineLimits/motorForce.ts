import { availableTorque, ratedTorqueAt } from '../../../line/motor.js';
import type { Acceleration, Length, Ratio, Speed, TensionPerWidth } from '../../../units/quantity.js';
import type { DriveModel } from '../../drives/driveModel.js';
import { stateShare } from '../../setpoint.js';
import type { ForceRange } from '../../torqueDifferential.js';

/** Speeds and rates that a motor has to master. */
export interface MotorRates {
  readonly speed: Speed;
  readonly acceleration?: Acceleration;
  /** Magnitude of the deceleration of a normal stop. */
  readonly stop?: Acceleration;
}

/** Shares of top speed at which a motor is looked at, as its program's check does. */
const speedShares = [0.02, 0.25, 0.5, 0.75, 1];
/** Forces beyond this are no statement about a web [N/m]. */
const mostForce = 1e5;
/** Halvings of an interval: to a thousandth of a newton a metre. */
const halvings = 40;

/**
 * Force per width that a motor can make at the surface of its roll, net of inertia and drag, at a diameter [m, N/m]: short-time torque while running, speeding up and stopping at every speed, lasting torque while running at top speed, power
 * flow as the drive allows. `model` is that of a program with a tension of 1 N/m and no torque differential; `perForce` is the tension for which its motor makes 1 N/m: 1 where all tension goes through it, 2 where two motors share it.
 * Undefined where no force at all can be made: acceleration and drag alone ask too much, or the motor states no torque.
 * Valid: torque rises with force, so what can be made is one interval. Source: docs/models/drive-torque.md; found by halving.
 */
export function motorForce(
  model: DriveModel,
  diameter: Length,
  rates: MotorRates,
  perForce: Ratio,
): ForceRange | undefined {
  const { motor } = model.drive;
  if (motor === undefined) return undefined;
  const holds = (force: TensionPerWidth): boolean => {
    const tension = perForce * force;
    const top = model.torque(diameter, rates.speed, 0, undefined, tension);
    if (Math.abs(top) > ratedTorqueAt(motor, model.motorSpeed(diameter, rates.speed))) return false;
    for (const share of speedShares) {
      const speed = share * rates.speed;
      for (const [state, a] of [
        ['running', 0],
        ['accelerating', rates.acceleration],
        ['decelerating', rates.stop === undefined ? undefined : -rates.stop],
      ] as const) {
        if (a === undefined) continue;
        const held = model.setpoint === undefined ? 1 : (stateShare(model.setpoint, state, speed) ?? 1);
        const torque = model.torque(diameter, speed, a, undefined, held * tension);
        if (Math.abs(torque) > availableTorque(motor, torque, model.motorSpeed(diameter, speed)))
          return false;
      }
    }
    return true;
  };
  const inside = someForce(holds);
  if (inside === undefined) return undefined;
  return { lower: endOf(holds, inside, -mostForce), upper: endOf(holds, inside, mostForce) };
}

/** A force that can be made: none, or the nearest to none of those that are tried, in both senses. */
function someForce(holds: (force: TensionPerWidth) => boolean): TensionPerWidth | undefined {
  if (holds(0)) return 0;
  for (let force = 1; force <= mostForce; force *= 1.25)
    for (const f of [force, -force]) if (holds(f)) return f;
  return undefined;
}

/** The end of what holds, from a force that does towards a limit. */
function endOf(
  holds: (force: TensionPerWidth) => boolean,
  inside: TensionPerWidth,
  limit: TensionPerWidth,
): TensionPerWidth {
  if (holds(limit)) return limit;
  let [good, bad] = [inside, limit];
  for (let k = 0; k < halvings; k++) {
    const middle = 0.5 * (good + bad);
    if (holds(middle)) good = middle;
    else bad = middle;
  }
  return good;
}
