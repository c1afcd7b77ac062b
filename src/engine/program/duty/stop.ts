import { TautlineError } from '../../errors.js';
import type {
  Acceleration,
  Energy,
  Inertia,
  Length,
  Power,
  Speed,
  Time,
  Torque,
} from '../../units/quantity.js';

/** One section in a stop, everything at the roller. Torques are magnitudes unless said otherwise. */
export interface StopSection {
  readonly name: string;
  /** All that turns, the motor's with i² in it [kg·m²]. */
  readonly inertia: Inertia;
  readonly radius: Length;
  /** Retarding torque that its drive or brake can make at every speed of the stop [N·m]: the smallest of them, so at top speed. */
  readonly retardingTorque: Torque;
  /** Torque with which it can drive forward [N·m]; 0 for a brake. */
  readonly drivingTorque: Torque;
  /** Torque of the web [N·m] with the sign of what it does to the rotation: positive at an unwind (pulls it on), negative at a winder. */
  readonly tensionTorque: Torque;
  /** Drag [N·m]: the smallest over the stop; 0 is on the safe side. */
  readonly drag: Torque;
}

/** With the web broken its torque is dropped. */
export type WebState = 'intact' | 'broken';

const webTorque = ({ tensionTorque }: StopSection, web: WebState): Torque =>
  web === 'intact' ? tensionTorque : 0;

function requireStop({ name, ...numbers }: StopSection, speed: Speed): void {
  const { inertia, radius, retardingTorque, drivingTorque, tensionTorque, drag } = numbers;
  if (
    !(inertia > 0 && radius > 0 && retardingTorque >= 0 && drivingTorque >= 0 && drag >= 0 && speed > 0) ||
    !Number.isFinite(inertia + radius + retardingTorque + drivingTorque + tensionTorque + drag + speed)
  )
    throw new TautlineError(
      'argument_invalid',
      { section: name, speed, ...numbers },
      `${name} cannot be stopped from ${speed} m/s with inertia ${inertia} kg·m², radius ${radius} m, retarding torque ${retardingTorque} N·m, driving torque ${drivingTorque} N·m, tension torque ${tensionTorque} N·m and drag ${drag} N·m`,
      'state speed, radius and inertia above 0, and drag and what the drive can give as at least 0',
    );
}

/**
 * Retarding torque that a section needs at the roller, J·a/R + M_web − M_drag [N·m]: with the tension M_web = +T·R at an unwind, −T·R at a
 * winder, 0 when the web is broken. Negative: it must be driven on, or the web goes slack. J inertia [kg·m²], a deceleration [m/s²],
 * a magnitude, R radius [m]. Valid: radius constant over the stop. Source: torque balance.
 */
export const stopTorque = (section: StopSection, deceleration: Acceleration, web: WebState): Torque =>
  (section.inertia * deceleration) / section.radius + webTorque(section, web) - section.drag;

/**
 * Shortest time in which a section can stop from a web speed, v·J/(R·(M_max − M_web + M_drag)) [s]; Infinity when its retarding torque
 * does not even hold the web's pull. v speed [m/s], the rest as in {@link stopTorque}. @throws TautlineError argument_invalid
 * Source: {@link stopTorque} solved for time.
 */
export function shortestStop(section: StopSection, speed: Speed, web: WebState): Time {
  requireStop(section, speed);
  const left = section.retardingTorque - webTorque(section, web) + section.drag;
  return left > 0 ? (speed * section.inertia) / (section.radius * left) : Number.POSITIVE_INFINITY;
}

/**
 * Longest time in which a section can stop and keep its tension, v·J/(R·(−M_web + M_drag − M_drive)) [s]; Infinity when it can drive
 * against tension and drag. A winder with a brake but no motor must stop quickly: its own momentum has to pull the web. M_drive driving
 * torque [N·m], v speed [m/s], the rest as in {@link stopTorque}. @throws TautlineError argument_invalid Source: {@link stopTorque} solved for time.
 */
export function longestStop(section: StopSection, speed: Speed, web: WebState): Time {
  requireStop(section, speed);
  const lacking = section.drag - webTorque(section, web) - section.drivingTorque;
  return lacking > 0 ? (speed * section.inertia) / (section.radius * lacking) : Number.POSITIVE_INFINITY;
}

/** What a section does in a common stop. */
export interface SectionInStop {
  readonly name: string;
  /** Shortest and longest time that it allows by itself. */
  readonly shortest: Time;
  readonly longest: Time;
  /** Retarding torque that it needs at the common time, negative when it must be driven on; NaN when there is no common time. */
  readonly torque: Torque;
  /** What is left to its limit in that direction [N·m]; negative when it cannot. */
  readonly margin: Torque;
}

export interface CommonStop {
  /** The time in which all stop together [s]; Infinity when a section cannot hold its web's pull. */
  readonly time: Time;
  /** The section that sets it. */
  readonly setBy: string;
  readonly sections: readonly SectionInStop[];
}

/**
 * The one time in which all sections can stop together from a web speed, and what it asks of each [s, N·m]: the longest of their shortest
 * times, or `time` [s] when it is given. With a broken web the sections need not share a time, yet must each stop.
 * @throws TautlineError argument_invalid for no sections or a time that is not above 0. Source: {@link stopTorque} of each section.
 */
export function commonStop(
  sections: readonly StopSection[],
  speed: Speed,
  web: WebState,
  time?: Time,
): CommonStop {
  if (sections.length === 0 || (time !== undefined && !(time > 0 && time < Number.POSITIVE_INFINITY)))
    throw new TautlineError(
      'argument_invalid',
      { sections: sections.length, ...(time !== undefined && { time }) },
      `no stop of ${sections.length} sections${time === undefined ? '' : ` in ${time} s`}`,
      'state at least one section and a time above 0',
    );
  const shortest = sections.map((s) => shortestStop(s, speed, web));
  const slowest = shortest.reduce((worst, t, i) => (t > shortest[worst] ? i : worst), 0);
  const common = time ?? shortest[slowest];
  return {
    time: common,
    setBy: sections[slowest].name,
    sections: sections.map((s, i) => {
      const torque = common < Number.POSITIVE_INFINITY ? stopTorque(s, speed / common, web) : Number.NaN;
      return {
        name: s.name,
        shortest: shortest[i],
        longest: longestStop(s, speed, web),
        torque,
        margin: torque < 0 ? s.drivingTorque + torque : s.retardingTorque - torque,
      };
    }),
  };
}

/** What a drive or brake takes up in a stop at constant deceleration. */
export interface StopEnergy {
  /** Kinetic energy at the start [J]. */
  readonly kinetic: Energy;
  /** Work of the retarding torque [J]: kinetic energy, plus what the web brings, less drag; negative when it has to drive. */
  readonly absorbed: Energy;
  /** Highest power, at the start of the stop [W]; negative when it has to drive. */
  readonly peakPower: Power;
}

/**
 * Energy of a stop from a web speed in a time: ½·J·(v/R)², the absorbed ½·J·(v/R)² + (M_web − M_drag)·v·t/(2R) [J], and the power at the
 * start, the torque of {@link stopTorque} times v/R [W]. v speed [m/s], t time [s], J, R, M as there. Valid: constant deceleration,
 * tension and drag; with the smallest drag it is an upper bound. @throws TautlineError argument_invalid Source: work of a constant torque over the angle v·t/(2R).
 */
export function stopEnergy(section: StopSection, speed: Speed, time: Time, web: WebState): StopEnergy {
  requireStop(section, speed);
  if (!(time > 0 && time < Number.POSITIVE_INFINITY))
    throw new TautlineError(
      'argument_invalid',
      { section: section.name, time },
      `${section.name} cannot stop in ${time} s`,
      'state a time above 0',
    );
  const omega = speed / section.radius;
  const torque = stopTorque(section, speed / time, web);
  return {
    kinetic: 0.5 * section.inertia * omega * omega,
    absorbed: 0.5 * torque * omega * time,
    peakPower: torque * omega,
  };
}
