import { halfWidth95 } from '../dragBand.js';
import type { Estimate } from '../identification.js';
import type { ChangeVerdict } from './comparison.js';

/**
 * 95 % interval of the ratio b/a of two independent estimates (same unit), as Fieller's set
 *
 *   { ρ : (b - ρ·a)² <= hb² + ρ²·ha² },   h = half width of each 95 % interval,
 *
 * which is an interval when a differs from zero at that level, a² > ha². Undefined otherwise: the set is then unbounded.
 * Chosen over a log-delta interval because it needs no small relative error, and because it excludes ρ = 1 exactly when the interval of the
 * difference excludes 0, so that the two never contradict each other. Half widths instead of standard errors let each estimate
 * bring its own Student factor; the result is then slightly wide. Source: Fieller, J. R. Stat. Soc. B 16, 1954 (from memory).
 */
export function ratioInterval95(a: Estimate, b: Estimate): readonly [number, number] | undefined {
  const ha = halfWidth95(a);
  const hb = halfWidth95(b);
  const square = a.value ** 2 - ha ** 2;
  if (!(square > 0)) return undefined;
  const root = Math.sqrt(square * hb ** 2 + (b.value * ha) ** 2);
  const product = a.value * b.value;
  return [(product - root) / square, (product + root) / square];
}

/** 95 % interval of b - a for independent estimates: the half widths add in quadrature. */
export function differenceInterval95(a: Estimate, b: Estimate): readonly [number, number] {
  const half = Math.hypot(halfWidth95(a), halfWidth95(b));
  return [b.value - a.value - half, b.value - a.value + half];
}

/**
 * What a 95 % interval says of equality within the band `same` ± `margin`:
 *
 * - unchanged: the whole interval lies in the band, ends included (two one-sided tests, each at 2.5 %), so that equality is shown
 *   and not merely not refuted. A difference that is certain but small is no change.
 * - changed: the interval excludes `same` and the value itself lies outside the band: there is a difference, and it is not
 *   small as far as can be told.
 * - undecided: the rest.
 *
 * So equal values are called changed in at most 5 % of comparisons, far fewer when the uncertainty is below the margin, and
 * values that differ by the margin unchanged in at most 2.5 %.
 * Source: equivalence by two one-sided tests (Schuirmann 1987, from memory).
 */
export function changeVerdict(
  [lo, hi]: readonly [number, number],
  value: number,
  same: number,
  margin: number,
): ChangeVerdict {
  if (lo >= same - margin && hi <= same + margin) return 'unchanged';
  const excluded = lo > same || hi < same;
  return excluded && Math.abs(value - same) > margin ? 'changed' : 'undecided';
}
