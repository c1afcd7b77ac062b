import type { Length, Ratio } from '../../../units/quantity.js';
import { allowedDifferential, limitName } from '../lineLimits/shareBounds.js';
import { rollBuild } from '../rollBuild.js';
import type { RollInput } from '../rollInput.js';
import type { DesignLimits } from './designTarget.js';

/** What motors and drums say of the forces at a diameter. */
export interface ShareAt {
  readonly diameter: Length;
  readonly name: string;
  /** By how much the differential is outside of what they allow, and how much is left to the nearest of them, as shares of the tension [1]. */
  readonly over: Ratio;
  readonly left: Ratio;
}

/** Forces against what motors and drums of the line bear, at every diameter that their limits are known for, since a limit that falls as 1/D bends between knots; nothing where none is known [m, 1]. Source: {@link allowedDifferential}. */
export function sharesAt(input: RollInput, { shares }: DesignLimits): ShareAt[] {
  if (shares === undefined) return [];
  const made = rollBuild(input);
  return Array.from(shares.diameters, (diameter): ShareAt => {
    const tension = made.tension.at(diameter);
    const first = made.coreForce(diameter);
    const allowed = allowedDifferential(shares, diameter, tension, made.nip(diameter));
    // d = s₁ − s₂ with s₁ + s₂ = T
    const differential = 2 * first - tension;
    const [below, above] = [differential - allowed.lower, allowed.upper - differential];
    const left = Math.min(below, above) / tension;
    return {
      diameter,
      name: limitName(shares, below < above ? allowed.lowerBy : allowed.upperBy),
      over: tension > 0 ? Math.max(0, -left) : 0,
      left: tension > 0 ? left : Number.POSITIVE_INFINITY,
    };
  });
}
