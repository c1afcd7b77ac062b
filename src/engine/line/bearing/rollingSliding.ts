import type { AngularSpeed, Length, Tension, Torque } from '../../units/quantity.js';

/** Constants of one series of deep groove ball bearings. */
export interface SeriesConstants {
  readonly r1: number;
  readonly s1: number;
}

/** Series 62. Read in an unnamed public program, not in a bearing maker's handbook: second hand. */
export const series62: SeriesConstants = { r1: 3.9e-7, s1: 3.23e-3 };

/** Sliding friction with a full film of mineral oil [1], read in a bearing maker's handbook. */
const slidingFriction = 0.05;

/**
 * Drag of one bearing as rolling plus sliding, G_rr·(ν·n)^0.6 + G_sl·μ_sl [N·m], G_rr = R₁·d_m^1.96·F^0.54, G_sl = S₁·d_m^−0.26·F^(5/3), in N·mm
 * with d_m in mm, F in N, ν in mm²/s, n in rpm. d_m mean diameter [m], F radial load [N], ω speed [rad/s], ν kinematic viscosity [m²/s] here.
 * Valid: full film, no axial load, no seals; reduction by starvation and heating is left out. At a creep the film breaks down and sliding rises up to
 * threefold (0.15, read with the 0.05): there this is too little. Source: sliding part read in a bearing maker's handbook, R₁ and S₁ second hand, exponents from
 * memory.
 */
export function rollingSlidingDrag(
  meanDiameter: Length,
  load: Tension,
  speed: AngularSpeed,
  kinematicViscosity: number,
  { r1, s1 }: SeriesConstants = series62,
): Torque {
  const mm = 1e3 * meanDiameter;
  const product = 1e6 * kinematicViscosity * ((Math.abs(speed) * 60) / (2 * Math.PI));
  const rolling = r1 * mm ** 1.96 * load ** 0.54 * product ** 0.6;
  const sliding = s1 * mm ** -0.26 * load ** (5 / 3) * slidingFriction;
  return 1e-3 * (rolling + sliding);
}
