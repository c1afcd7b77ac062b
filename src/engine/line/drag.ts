/**
 * Drag torque that opposes rotation, at one shaft and for one direction, over speed ω >= 0:
 *
 *   M(ω) = coulomb + stribeck·exp(-(ω/stribeckSpeed)^δ) + viscous·ω + quadratic·ω²          [N·m]
 *
 * coulomb, stribeck [N·m], viscous [N·m·s], quadratic [N·m·s²], stribeckSpeed [rad/s].
 * Source: Coulomb-viscous-Stribeck form in common use (Armstrong-Hélouvry, Dupont, Canudas de Wit, Automatica 30(7),
 * 1994, from memory) with exponent δ = 1 (Tustin) or 2 (Gaussian); the quadratic term stands for windage. Theory: docs/models/drag.md.
 */
export interface DragLaw {
  readonly coulomb: number;
  readonly viscous: number;
  readonly quadratic: number;
  /** Excess of the low-speed drag over the Coulomb level at vanishing speed (not the breakaway torque) [N·m]. */
  readonly stribeck: number;
  /** Speed over which the excess decays [rad/s]; above 0 when stribeck is not 0. */
  readonly stribeckSpeed: number;
  /** Exponent δ of the decay; 1 when left out. */
  readonly stribeckExponent?: 1 | 2;
}

/**
 * Drag magnitude M [N·m] at speed ω [rad/s]; even in ω, so the caller applies the sign of rotation. NaN in, NaN out.
 * Source: see {@link DragLaw}. Valid within the speeds the law was fitted on.
 */
export function dragTorque(law: DragLaw, omega: number): number {
  const w = Math.abs(omega);
  const excess =
    law.stribeck === 0
      ? 0
      : law.stribeck * Math.exp(-((w / law.stribeckSpeed) ** (law.stribeckExponent ?? 1)));
  return law.coulomb + excess + law.viscous * w + law.quadratic * w * w;
}

/**
 * The same drag [N·m] seen at the other side of a gearbox, where speeds [rad/s] are 1/i and torques i times as large: M'(ω) = i·M(i·ω). From motor
 * to roller i is the gear ratio, motor speed / roller speed; from roller to motor its inverse. Gear losses stay inside the law that was
 * measured with them. Source: power through a gear, i·M(i·ω)·ω = M(ω_m)·ω_m.
 */
export const dragThroughGear = (law: DragLaw, ratio: number): DragLaw => ({
  ...law,
  coulomb: ratio * law.coulomb,
  viscous: ratio ** 2 * law.viscous,
  quadratic: ratio ** 3 * law.quadratic,
  stribeck: ratio * law.stribeck,
  stribeckSpeed: law.stribeckSpeed / ratio,
});
