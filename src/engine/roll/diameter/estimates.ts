import { TautlineError } from '../../errors.js';
import type { Angle, AngularSpeed, Caliper, Length, Ratio, Speed, WebLength } from '../../units/quantity.js';
import { type BuildSense, radiusAfterLaps, radiusAfterLength } from '../buildUp.js';

/** Stated standard errors of what the radius is computed from; 0 for what is taken as exact. */
export interface DiameterErrors {
  /** Relative error of the stated caliper, the same over the whole build [1]. */
  readonly caliper: Ratio;
  /** Relative scatter of the caliper from lap to lap [1]. */
  readonly caliperScatter: Ratio;
  /** Relative error of the scale of the web speed: diameter of its roller, encoder, slip that stays [1]. */
  readonly speedScale: Ratio;
  /** The same of a length counter of its own [1]; left out when speed and length come from one encoder, whose error they then share. */
  readonly lengthScale?: Ratio;
  /** Noise of one reading. */
  readonly speedNoise: Speed;
  readonly angularSpeedNoise: AngularSpeed;
  readonly lengthNoise: WebLength;
  readonly angleNoise: Angle;
}

/** How far a radius follows each error that lasts: error of the radius = Σ sensitivity·error, to first order. */
export interface Sensitivity {
  /** To an error of the radius at the reset [1]. */
  readonly start: number;
  /** To relative errors of caliper, speed scale and length scale [m]. */
  readonly caliper: Length;
  readonly speedScale: Length;
  readonly lengthScale: Length;
}

/** A radius with what it depends on and the standard deviation of what changes from reading to reading [m]. */
export interface RadiusEstimate {
  readonly radius: Length;
  readonly sensitivity: Sensitivity;
  readonly noise: Length;
}

const none: Sensitivity = { start: 0, caliper: 0, speedScale: 0, lengthScale: 0 };

/** Sensitivity to the scale of the length counter [m], which is that of the speed when both come from one encoder. Source: definition. */
export const toLengthScale = (errors: DiameterErrors, value: Length): Partial<Sensitivity> =>
  errors.lengthScale === undefined ? { speedScale: value } : { lengthScale: value };

/**
 * Ratio: R = v/ω [m]. v web speed [m/s], ω speed of the roll [rad/s]. Unbiased but for the speed scale; noise σ² = (σv/ω)² + (R·σω/ω)² grows
 * without bound towards standstill. Undefined when the roll turns at less than ten times the noise of its speed (ours: the first-order error
 * holds from there), and for a ratio that is not above 0. Valid: no slip.
 * Source: v = ω·R.
 */
export function ratioEstimate(
  speed: Speed,
  angularSpeed: AngularSpeed,
  errors: DiameterErrors,
): RadiusEstimate | undefined {
  const radius = speed / angularSpeed;
  if (!(radius > 0 && Number.isFinite(radius) && Math.abs(angularSpeed) >= 10 * errors.angularSpeedNoise))
    return undefined;
  const noise = Math.hypot(errors.speedNoise, radius * errors.angularSpeedNoise) / Math.abs(angularSpeed);
  return { radius, sensitivity: { ...none, speedScale: radius }, noise };
}

/**
 * Lap count: R = R₀ ± h·θ/2π [m]. R₀ radius at the reset [m], h caliper [m], θ angle turned since then [rad], sense +1 winder, -1 unwind. Smooth,
 * but drifts with the caliper. Source: one caliper a turn.
 */
export function lapCountEstimate(
  start: Length,
  caliper: Caliper,
  angle: Angle,
  sense: BuildSense,
  errors: DiameterErrors,
): RadiusEstimate {
  const laps = angle / (2 * Math.PI);
  const growth = sense * caliper * laps;
  return {
    radius: radiusAfterLaps(start, caliper, sense * laps),
    sensitivity: { ...none, start: 1, caliper: growth },
    noise:
      caliper *
      Math.hypot(errors.angleNoise / (2 * Math.PI), errors.caliperScatter * Math.sqrt(Math.abs(laps))),
  };
}

/**
 * Length: R = √(R₀² ± h·L/π) [m]. R₀ radius at the reset [m], h caliper [m], L length since then [m], sense +1 winder, -1 unwind. An error of R₀
 * fades as R₀/R on a growing roll and grows on an unwind. @throws TautlineError argument_invalid when an unwind gave more than it held
 * Source: area of the side.
 */
export function lengthEstimate(
  start: Length,
  caliper: Caliper,
  length: WebLength,
  sense: BuildSense,
  errors: DiameterErrors,
): RadiusEstimate {
  const radius = radiusAfterLength(start, caliper, sense * length);
  const perScale = (sense * caliper * length) / (2 * Math.PI * radius);
  const laps = Math.abs(radius - start) / caliper;
  return {
    radius,
    sensitivity: { ...none, start: start / radius, caliper: perScale, ...toLengthScale(errors, perScale) },
    noise:
      caliper *
      Math.hypot(errors.lengthNoise / (2 * Math.PI * radius), errors.caliperScatter * Math.sqrt(laps)),
  };
}

/**
 * Interval: R = ΔL/Δθ ± h·Δθ/4π [m], at the end of the interval: ΔL/Δθ is the radius in its middle. ΔL length [m] over Δθ angle [rad], h
 * caliper [m], sense +1 winder, -1 unwind. The ratio averaged over turns, so that out-of-round and noise go. Undefined for a ratio not above 0.
 * Valid: no slip. Source: L = ∫R·dθ with R straight in θ.
 */
export function intervalEstimate(
  length: WebLength,
  angle: Angle,
  caliper: Caliper,
  sense: BuildSense,
  errors: DiameterErrors,
): RadiusEstimate | undefined {
  const middle = length / angle;
  if (!(middle > 0 && Number.isFinite(middle))) return undefined;
  const half = (sense * caliper * angle) / (4 * Math.PI);
  return {
    radius: middle + half,
    sensitivity: { ...none, caliper: half, ...toLengthScale(errors, middle) },
    // two readings at each end
    noise: (Math.SQRT2 * Math.hypot(errors.lengthNoise, middle * errors.angleNoise)) / Math.abs(angle),
  };
}

/** Covariance of two estimates by the lasting errors that both depend on [m²]. startError [m]. Source: linear propagation, JCGM 100. */
export function sharedVariance(
  a: Sensitivity,
  b: Sensitivity,
  startError: Length,
  errors: DiameterErrors,
): number {
  return (
    a.start * b.start * startError ** 2 +
    a.caliper * b.caliper * errors.caliper ** 2 +
    a.speedScale * b.speedScale * errors.speedScale ** 2 +
    a.lengthScale * b.lengthScale * (errors.lengthScale ?? 0) ** 2
  );
}

/** Standard error of an estimate [m]: lasting errors and noise in quadrature. startError [m] of the radius at the reset. Source: JCGM 100. */
export const standardErrorOf = (
  estimate: RadiusEstimate,
  startError: Length,
  errors: DiameterErrors,
): Length =>
  Math.hypot(
    Math.sqrt(sharedVariance(estimate.sensitivity, estimate.sensitivity, startError, errors)),
    estimate.noise,
  );

/**
 * Share K of `b` in the blend (1 − K)·a + K·b with the smallest standard error, (Va − C)/(Va + Vb − 2C), cut to 0 to 1 [1]. V variances, C
 * covariance by shared errors [m²], startError [m]. Without shared errors it is weighting by inverse variance.
 * Source: minimum of the variance of the sum.
 */
export function blendShare(
  a: RadiusEstimate,
  b: RadiusEstimate,
  startError: Length,
  errors: DiameterErrors,
): Ratio {
  const shared = sharedVariance(a.sensitivity, b.sensitivity, startError, errors);
  const va = standardErrorOf(a, startError, errors) ** 2;
  const vb = standardErrorOf(b, startError, errors) ** 2;
  const spread = va + vb - 2 * shared;
  return spread > 0 ? Math.min(1, Math.max(0, (va - shared) / spread)) : 0;
}

/** The blend (1 − K)·a + K·b [m] with its sensitivities and noise, K share of b [1]. Source: linear propagation. */
export function blend(a: RadiusEstimate, b: RadiusEstimate, share: Ratio): RadiusEstimate {
  const mix = (x: number, y: number): number => x + share * (y - x);
  const [s, t] = [a.sensitivity, b.sensitivity];
  return {
    radius: mix(a.radius, b.radius),
    sensitivity: {
      start: mix(s.start, t.start),
      caliper: mix(s.caliper, t.caliper),
      speedScale: mix(s.speedScale, t.speedScale),
      lengthScale: mix(s.lengthScale, t.lengthScale),
    },
    noise: Math.hypot((1 - share) * a.noise, share * b.noise),
  };
}

/**
 * Relative error of a tension that torque makes with a radius read wrong, dT/T = (Rread − R)/R [1]: the drive gives T·Rread, the web feels
 * that over R, so a radius read too large winds too tight. Seen the other way round: at one torque T·R is constant, so dT/T = −dR/R for
 * the true radius. Rread radius in the controller, R true radius [m]. @throws TautlineError argument_invalid
 * Source: M = T·R.
 */
export function tensionErrorOf(radiusRead: Length, radius: Length): Ratio {
  if (!(radius > 0))
    throw new TautlineError(
      'argument_invalid',
      { radius },
      `a roll radius of ${radius} m`,
      'state a radius above 0',
    );
  return radiusRead / radius - 1;
}
