import type { Acceleration, Angle, Inertia, Length, Tension, Torque } from '../units/quantity.js';

/**
 * Tension that the web loses to the drag of an idler, M/R [N]. M drag at the roller [N·m], R radius [m]. Valid: no slip.
 * Source: torque balance at constant speed.
 */
export const dragRise = (drag: Torque, radius: Length): Tension => drag / radius;

/**
 * Tension that the web spends on speeding an idler up, J·a/R² [N], negative while it slows down. J inertia [kg·m²], a acceleration of the web
 * [m/s²], R radius [m]. Valid: no slip. Source: torque balance, α = a/R.
 */
export const inertiaRise = (inertia: Inertia, acceleration: Acceleration, radius: Length): Tension =>
  (inertia * acceleration) / (radius * radius);

/**
 * Force on the bearings of a roller from the web, √(T₁² + T₂² − 2·T₁·T₂·cos β) [N]: 2·T·sin(β/2) for equal tensions. T₁, T₂ tensions of both sides
 * [N], β wrap [rad]. A load cell reads this, along its own direction, so half of the roller's own drag is in it.
 * Source: vector sum of the two pulls.
 */
export const webLoad = (one: Tension, other: Tension, wrap: Angle): Tension =>
  // (T₁ − T₂)² + 4·T₁·T₂·sin²(β/2) keeps its digits for small wraps.
  Math.hypot(one - other, 2 * Math.sqrt(one * other) * Math.sin(0.5 * wrap));
