import { TautlineError } from '../../errors.js';
import type { AngularSpeed, Tension, Torque } from '../../units/quantity.js';
import type { Bearings } from '../line.js';
import { frictionDrag } from './frictionCoefficient.js';
import { greasedBallBearing, loadFactor, palmgrenDrag } from './palmgren.js';
import { rollingSlidingDrag } from './rollingSliding.js';

/** Drag of the bearings of a roller as accepted formulas give it: never one number. */
export interface BearingBand {
  readonly low: Torque;
  readonly high: Torque;
  readonly methods: readonly { readonly name: string; readonly torque: Torque }[];
  /** True when rubbing seals come on top, for which no formula is used: the band is then a lower bound. */
  readonly isLowerBound: boolean;
}

/**
 * Drag of all bearings of a roller [N·m], lowest and highest of three accepted methods, which differ several-fold. `load` [N] on the whole roller: web and
 * weight; ω speed of the roller [rad/s]. Rubbing seals and the grease of the first weeks come on top. @throws TautlineError argument_invalid
 * Source: docs/models/bearing-drag.md.
 */
export function bearingBand(bearings: Bearings, load: Tension, speed: AngularSpeed): BearingBand {
  const { count, bore, outerDiameter, kinematicViscosity, sealed } = bearings;
  if (
    !(
      bore > 0 &&
      outerDiameter > bore &&
      kinematicViscosity > 0 &&
      count >= 1 &&
      load >= 0 &&
      Number.isFinite(load)
    )
  )
    throw new TautlineError(
      'argument_invalid',
      { bore, outerDiameter, kinematicViscosity, count, load },
      `no bearing drag for a bore of ${bore} m, an outer diameter of ${outerDiameter} m, ${kinematicViscosity} m²/s and a load of ${load} N`,
      'state bore and a larger outer diameter, a viscosity above 0 and a load',
    );
  const mean = 0.5 * (bore + outerDiameter);
  const each = load / count;
  const factors = { f0: greasedBallBearing, f1: loadFactor(each, bearings.staticRating) };
  const methods = [
    {
      name: 'Palmgren, greased',
      torque: count * palmgrenDrag(mean, each, speed, kinematicViscosity, factors),
    },
    {
      name: 'rolling and sliding',
      torque: count * rollingSlidingDrag(mean, each, speed, kinematicViscosity),
    },
    { name: 'friction at the bore', torque: count * frictionDrag(bore, each) },
  ];
  const torques = methods.map((m) => m.torque);
  return { low: Math.min(...torques), high: Math.max(...torques), methods, isLowerBound: sealed };
}
