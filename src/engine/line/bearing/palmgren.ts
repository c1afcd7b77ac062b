import type { AngularSpeed, Length, Tension, Torque } from '../../units/quantity.js';

/** Factors of Palmgren's form for deep groove ball bearings, from memory. */
export interface PalmgrenFactors {
  /** Of the part without load: about 1.5 with oil mist, 2 with grease [1]. */
  readonly f0: number;
  /** Of the part with load [1], see {@link loadFactor}. */
  readonly f1: number;
}

/** f₀ of a greased deep groove ball bearing [1], from memory. */
export const greasedBallBearing = 2;

/** Load over static rating where the rating is not stated: usual for web rollers, ours, no source. */
const usualLoadShare = 0.1;

/**
 * Factor of the part with load for deep groove ball bearings, f₁ = 0.0009·(P/C₀)^0.55 [1]. P load and C₀ static load rating of the bearing [N]; a tenth
 * of the rating is taken where it is not stated. Source: from memory.
 */
export const loadFactor = (load: Tension, staticRating: Tension | undefined): number =>
  0.0009 * (staticRating === undefined ? usualLoadShare : load / staticRating) ** 0.55;

/**
 * Drag of one bearing after Palmgren, M₀ + M₁ [N·m]: M₀ = 1e-7·f₀·(ν·n)^(2/3)·d_m³ for ν·n ≥ 2000, else 160e-7·f₀·d_m³; M₁ = f₁·P·d_m, in N·mm with ν in
 * mm²/s, n in rpm, d_m in mm. d_m mean diameter [m], P load [N], ω speed [rad/s], ν kinematic viscosity [m²/s] here. Valid: rolling bearing in order,
 * run in, without rubbing seals. Source: form in a survey read (doi 10.1007/s10010-023-00715-1), constants from memory.
 */
export function palmgrenDrag(
  meanDiameter: Length,
  load: Tension,
  speed: AngularSpeed,
  kinematicViscosity: number,
  { f0, f1 }: PalmgrenFactors,
): Torque {
  const mm = 1e3 * meanDiameter;
  const product = 1e6 * kinematicViscosity * ((Math.abs(speed) * 60) / (2 * Math.PI));
  const unloaded = product >= 2000 ? 1e-7 * f0 * product ** (2 / 3) * mm ** 3 : 160e-7 * f0 * mm ** 3;
  return 1e-3 * (unloaded + f1 * load * mm);
}
