import { TautlineError } from '../../errors.js';
import type { Angle, AngularSpeed, Caliper, Length, Ratio, Speed, WebLength } from '../../units/quantity.js';
import { type BuildSense, radiusAfterLength } from '../buildUp.js';
import {
  blend,
  blendShare,
  type DiameterErrors,
  intervalEstimate,
  type RadiusEstimate,
  ratioEstimate,
  sharedVariance,
  standardErrorOf,
  toLengthScale,
} from './estimates.js';

export interface DiameterSettings {
  /** +1 winder, -1 unwind. */
  readonly sense: BuildSense;
  readonly caliper: Caliper;
  readonly errors: DiameterErrors;
  /** How far the radius in use may move beyond the nominal build-up, as a share of it [1]; 0.5 when left out. */
  readonly margin?: Ratio;
  /** A reading further off than so many standard errors is taken for slip and not used; 4 when left out. */
  readonly gate?: number;
  /** Laps over which readings must stay off before they are believed after all; 20 when left out. */
  readonly patience?: number;
  /** Laps of an interval; 5 when left out. */
  readonly intervalLaps?: number;
}

/** What was read since the last step. What the line does not measure is left out. */
export interface DiameterMeasurement {
  /** Angle turned by the roll, positive with the web. */
  readonly angle?: Angle;
  /** Length of web run. */
  readonly length?: WebLength;
  readonly speed?: Speed;
  readonly angularSpeed?: AngularSpeed;
}

export interface DiameterState {
  /** Radius in use: follows the estimate, rate-limited and direction-locked. */
  readonly radius: Length;
  /** Standard error of the radius in use: that of the estimate, and what the limits still hold back. */
  readonly standardError: Length;
  /** Best estimate, without limits. */
  readonly estimate: RadiusEstimate;
  readonly startError: Length;
  readonly interval: { readonly angle: Angle; readonly length: WebLength };
  /** Laps over which readings have been off; 0 while they fit. */
  readonly lapsOff: Ratio;
}

/**
 * State after a reset: radius R₀ [m] known within startError [m], from the core in use or a measured roll. @throws TautlineError argument_invalid
 * Source: definition.
 */
export function resetDiameter(radius: Length, startError: Length): DiameterState {
  if (!(radius > 0 && Number.isFinite(radius) && startError >= 0 && Number.isFinite(startError)))
    throw new TautlineError(
      'argument_invalid',
      { radius, startError },
      `a reset to ${radius} m within ${startError} m`,
      'state a radius above 0 and an error of at least 0',
    );
  return {
    radius,
    standardError: startError,
    estimate: { radius, sensitivity: { start: 1, caliper: 0, speedScale: 0, lengthScale: 0 }, noise: 0 },
    startError,
    interval: { angle: 0, length: 0 },
    lapsOff: 0,
  };
}

/**
 * One step of the diameter calculation [m]. The estimate is carried on by lap count (by length where the angle is not measured), then blended
 * with the ratio v/ω and, once an interval is full, with ΔL/Δθ, each by its share of smallest error. A reading that is off by more than
 * the gate is slip and left out; when that lasts for more than the patience the estimate is taken for wrong instead. The radius in use
 * follows by at most (1 + margin)·h per turn, and only in the sense of rotation: a winder running forward never shrinks.
 * Without angle and length nothing moves. Pure: the same state, readings and settings give the same result.
 * Source: minimum variance with shared errors; rate limit and direction lock common practice. Theory: docs/models/roll-build-up.md.
 */
export function nextDiameter(
  state: DiameterState,
  measurement: DiameterMeasurement,
  settings: DiameterSettings,
): DiameterState {
  const { sense, caliper, errors, margin = 0.5, intervalLaps = 5 } = settings;
  const { angle, length, speed, angularSpeed } = measurement;
  let estimate = carryOn(state.estimate, measurement, settings);
  const growth = estimate.radius - state.estimate.radius;
  const laps = Math.abs(growth) / caliper;

  const readings: (RadiusEstimate | undefined)[] = [];
  if (laps > 0 && speed !== undefined && angularSpeed !== undefined)
    readings.push(ratioEstimate(speed, angularSpeed, errors));
  let interval = state.interval;
  if (angle !== undefined && length !== undefined) {
    // A change of direction starts a new interval.
    const goesOn = angle * interval.angle >= 0;
    interval = goesOn
      ? { angle: interval.angle + angle, length: interval.length + length }
      : { angle, length };
    if (Math.abs(interval.angle) >= 2 * Math.PI * intervalLaps) {
      readings.push(intervalEstimate(interval.length, interval.angle, caliper, sense, errors));
      interval = { angle: 0, length: 0 };
    }
  }
  let lapsOff = state.lapsOff;
  let anyOff = false;
  let anyFits = false;
  for (const reading of readings) {
    if (reading === undefined) continue;
    const result = absorb(estimate, reading, state.startError, settings, lapsOff);
    estimate = result.estimate;
    if (result.used) anyFits = true;
    else anyOff = true;
  }
  if (anyFits) lapsOff = 0;
  else if (anyOff || lapsOff > 0) lapsOff += laps;

  const reach = state.radius + (1 + margin) * growth;
  const radius = Math.min(
    Math.max(estimate.radius, Math.min(state.radius, reach)),
    Math.max(state.radius, reach),
  );
  const standardError = Math.hypot(
    standardErrorOf(estimate, state.startError, errors),
    radius - estimate.radius,
  );
  return { radius, standardError, estimate, startError: state.startError, interval, lapsOff };
}

/** The estimate after the web of one step, by lap count or by length. */
function carryOn(
  { radius, sensitivity, noise }: RadiusEstimate,
  { angle, length }: DiameterMeasurement,
  { sense, caliper, errors }: DiameterSettings,
): RadiusEstimate {
  const scatter = (growth: Length): Length =>
    Math.hypot(noise, errors.caliperScatter * Math.sqrt(caliper * Math.abs(growth)));
  if (angle !== undefined) {
    const growth = (sense * caliper * angle) / (2 * Math.PI);
    return {
      radius: radius + growth,
      sensitivity: { ...sensitivity, caliper: sensitivity.caliper + growth },
      noise: scatter(growth),
    };
  }
  if (length === undefined) return { radius, sensitivity, noise };
  const after = radiusAfterLength(radius, caliper, sense * length);
  const carried = radius / after;
  const perScale = (sense * caliper * length) / (2 * Math.PI * after);
  const scale = toLengthScale(errors, perScale);
  return {
    radius: after,
    sensitivity: {
      start: sensitivity.start * carried,
      caliper: sensitivity.caliper * carried + perScale,
      speedScale: sensitivity.speedScale * carried + (scale.speedScale ?? 0),
      lengthScale: sensitivity.lengthScale * carried + (scale.lengthScale ?? 0),
    },
    noise: scatter(after - radius) * carried,
  };
}

/** Blends a reading in, or leaves it out as slip. */
function absorb(
  estimate: RadiusEstimate,
  reading: RadiusEstimate,
  startError: Length,
  { errors, gate = 4, patience = 20 }: DiameterSettings,
  lapsOff: Ratio,
): { readonly estimate: RadiusEstimate; readonly used: boolean } {
  const difference = reading.radius - estimate.radius;
  const variance =
    standardErrorOf(estimate, startError, errors) ** 2 +
    standardErrorOf(reading, startError, errors) ** 2 -
    2 * sharedVariance(estimate.sensitivity, reading.sensitivity, startError, errors);
  const off = Math.abs(difference) > gate * Math.sqrt(Math.max(0, variance));
  if (off && lapsOff <= patience) return { estimate, used: false };
  // Believed after all: then the estimate was wrong by as much as they differ.
  const own = off ? { ...estimate, noise: Math.hypot(estimate.noise, difference) } : estimate;
  return { estimate: blend(own, reading, blendShare(own, reading, startError, errors)), used: true };
}
