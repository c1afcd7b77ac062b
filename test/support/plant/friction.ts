/**
 * Friction of the invented plants. Sliding level at speed w >= 0 (without what grows with speed):
 *
 *   g(w) = coulomb + stribeck·exp(-(w/stribeckSpeed)^p) + adhesion·exp(-(w/adhesionSpeed)²)        [N·m]
 *
 * so that the breakaway torque g(0) = coulomb + stribeck + adhesion is a quantity of its own, not the end of the Stribeck
 * curve. With stribeck 0 it is the g of LuGre (Canudas de Wit, Olsson, Åström, Lischinsky, IEEE TAC 40(3), 1995, from memory).
 */
export interface Friction {
  readonly coulomb: number;
  readonly stribeck: number;
  readonly stribeckSpeed: number;
  readonly stribeckExponent: 1 | 2;
  readonly adhesion: number;
  readonly adhesionSpeed: number;
  readonly viscous: number;
  readonly quadratic: number;
}

/** g(w) [N·m] at speed magnitude w [rad/s]; the exponentials are skipped where they are below 1e-16. */
export function slidingLevel(f: Friction, w: number): number {
  let g = f.coulomb;
  if (f.stribeck > 0) {
    const x = w / f.stribeckSpeed;
    if (x < 37) g += f.stribeck * Math.exp(f.stribeckExponent === 1 ? -x : -x * x);
  }
  if (f.adhesion > 0) {
    const x = w / f.adhesionSpeed;
    if (x < 6.1) g += f.adhesion * Math.exp(-x * x);
  }
  return g;
}

/** Steady drag torque magnitude [N·m] at speed magnitude w [rad/s]: g(w) + viscous·w + quadratic·w². */
export function steadyDrag(f: Friction, w: number): number {
  return slidingLevel(f, w) + f.viscous * w + f.quadratic * w * w;
}

/** Torque at which sliding starts when it is raised slowly from rest [N·m]. */
export const breakaway = (f: Friction): number => f.coulomb + f.stribeck + f.adhesion;
