import { TautlineError } from '../../errors.js';
import type { AngularSpeed, Tension, Torque } from '../../units/quantity.js';
import type { Bearings } from '../line.js';
import { frictionDrag } from './frictionCoefficient.js';
import { greasedBallBearing, loadFactor, palmgrenDrag } from './palmgren.js';
import { rollingSlidingDrag } from './rollingSliding.js';

/** What one accepted formula gives for all bearings of a roller. */
export interface BearingMethod {
  readonly name: string;
  readonly torque: Torque;
  /** Which of its constants were not looked up, in words that a report can print. */
  readonly fromMemory: string;
}

/** Drag of the bearings of a roller as accepted formulas give it: never one number. */
export interface BearingBand {
  readonly low: Torque;
  readonly high: Torque;
  readonly methods: readonly BearingMethod[];
  /** True when rubbing seals come on top, for which no formula is used: the band is then a lower bound. */
  readonly isLowerBound: boolean;
}

/**
 * Drag of all bearings of a roller [N·m], lowest and highest of three accepted methods, which differ several-fold. `load` [N] on the whole roller: web and
 * weight; ω speed of the roller [rad/s]. Rubbing seals and the grease of the first weeks come on top. @throws TautlineError argument_invalid
 * Source: docs/models/bearing-drag.md.
 */
export function bearingBand(bearings: Bearings, load: Tension, speed: AngularSpeed): BearingBand {
  const { count, bore, outerDiameter, kinematicViscosity, staticRating, sealed } = bearings;
  if (
    !(
      bore > 0 &&
      outerDiameter > bore &&
      kinematicViscosity > 0 &&
      Number.isInteger(count) &&
      count >= 1 &&
      load >= 0 &&
      (staticRating === undefined || staticRating > 0) &&
      Number.isFinite(outerDiameter + kinematicViscosity + load + speed)
    )
  )
    throw new TautlineError(
      'argument_invalid',
      {
        bore,
        outerDiameter,
        kinematicViscosity,
        staticRating: staticRating ?? 'not stated',
        count,
        load,
        speed,
      },
      `no bearing drag for ${count} bearings with a bore of ${bore} m, an outer diameter of ${outerDiameter} m, ${kinematicViscosity} m²/s and a static rating of ${staticRating ?? '(not stated)'} N under ${load} N at ${speed} rad/s`,
      'state a whole number of bearings, a bore and a larger outer diameter, viscosity and rating above 0, a load of at least 0 and a finite speed',
    );
  const mean = 0.5 * (bore + outerDiameter);
  const each = load / count;
  const factors = { f0: greasedBallBearing, f1: loadFactor(each, staticRating) };
  const methods = [
    {
      name: 'Palmgren, greased',
      torque: count * palmgrenDrag(mean, each, speed, kinematicViscosity, factors),
      fromMemory: 'all constants',
    },
    {
      name: 'rolling and sliding',
      torque: count * rollingSlidingDrag(mean, each, speed, kinematicViscosity),
      fromMemory: 'exponents; R₁ and S₁ at second hand',
    },
    {
      name: 'friction at the bore',
      torque: count * frictionDrag(bore, each),
      fromMemory: 'the friction',
    },
  ];
  const torques = methods.map((m) => m.torque);
  return { low: Math.min(...torques), high: Math.max(...torques), methods, isLowerBound: sealed };
}
