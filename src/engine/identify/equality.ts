export type ChangeVerdict = 'changed' | 'unchanged' | 'undecided';

/** A value with half the width of its 95 % interval, same unit. */
export interface Measured {
  readonly value: number;
  readonly halfWidth95: number;
}

/**
 * 95 % interval of the ratio later/earlier by Fieller's method: the ratios ρ with
 *
 *   (later − ρ·earlier)² <= h_later² + ρ²·h_earlier²          h: half widths of the 95 % intervals
 *
 * Exact for independent normal values; with Student half widths of unequal degrees of freedom slightly wide. Undefined
 * when the earlier value is not told from zero, since the ratio is then unbounded. Swapping the two inverts the interval.
 * Source: Fieller, J. R. Stat. Soc. B 16, 1954, 175-185 (from memory); half widths in place of k·u after Cochran (from memory).
 */
export function ratioInterval95(earlier: Measured, later: Measured): readonly [number, number] | undefined {
  const a = earlier.value ** 2 - earlier.halfWidth95 ** 2;
  if (!(a > 0)) return undefined;
  const b = earlier.value * later.value;
  const c = later.value ** 2 - later.halfWidth95 ** 2;
  const root = Math.sqrt(Math.max(0, b * b - a * c));
  return [(b - root) / a, (b + root) / a];
}

/**
 * What an interval says of equality within a band `[low, high]` around `same`:
 *
 * - unchanged: the whole interval lies in the band (two one-sided tests; a difference that is certain but small is no change);
 * - changed: `same` lies outside the interval and the best value outside the band;
 * - undecided: everything else, also a difference that is certain while its best value lies in the band.
 *
 * So "changed" is wrong in at most 5 % of comparisons of equal values, and "unchanged" in at most 2.5 % of comparisons of
 * values that differ by the band. Source: equivalence by two one-sided tests (Schuirmann 1987, from memory); the rule for changed is ours.
 */
export function equalityVerdict(
  value: number,
  interval: readonly [number, number],
  band: readonly [number, number],
  same: number,
): ChangeVerdict {
  const [lo, hi] = interval;
  if (lo >= band[0] && hi <= band[1]) return 'unchanged';
  const differs = lo > same || hi < same;
  return differs && (value < band[0] || value > band[1]) ? 'changed' : 'undecided';
}

/** Ratios that count as equal within a tolerance, the same whichever of the two comes first: 1/(1+t) to 1+t. */
export const ratioBand = (tolerance: number): readonly [number, number] => [
  1 / (1 + tolerance),
  1 + tolerance,
];

/** Verdict on later/earlier within a relative tolerance; undecided when the ratio is unbounded. */
export function ratioVerdict(earlier: Measured, later: Measured, tolerance: number): ChangeVerdict {
  const interval = ratioInterval95(earlier, later);
  if (interval === undefined) return 'undecided';
  return equalityVerdict(later.value / earlier.value, interval, ratioBand(tolerance), 1);
}

/** 95 % interval of later − earlier for independent values. */
export function differenceInterval95(earlier: Measured, later: Measured): readonly [number, number] {
  const half = Math.hypot(earlier.halfWidth95, later.halfWidth95);
  const difference = later.value - earlier.value;
  return [difference - half, difference + half];
}
