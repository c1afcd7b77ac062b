import { chiSquareQuantile, normalQuantile } from '../../numerics/distributions.js';
import type { DragBand } from '../dragBand.js';
import type { ChangeVerdict, DragDifference } from './comparison.js';

const gridPoints = 13;

/** Two drag curves on the speeds that both visits saw, with the verdict on the whole and on the lowest speed. */
export interface CurveComparison {
  readonly points: readonly DragDifference[];
  readonly verdict: ChangeVerdict;
  readonly lowEnd: ChangeVerdict;
}

/**
 * Compares two independent drag curves at 13 speeds over the common range. A point's interval holds at its speed alone. The curve
 * has changed where the difference leaves the band that holds at all speeds together (Scheffé: √χ²(p) instead of the normal factor, p drag terms)
 * and exceeds the tolerance, as a share of the earlier drag, at the same speed; it is unchanged when the interval of
 * every point lies within the tolerance, for which no allowance for many speeds is needed (an intersection-union test). Terms that trade against each other,
 * as viscous and quadratic drag do, do not disturb this. Undefined when the speeds do not overlap.
 * Source: Scheffé 1953, Berger 1982 (from memory).
 */
export function compareCurves(
  earlier: DragBand,
  later: DragBand,
  tolerance: number,
): CurveComparison | undefined {
  const from = Math.max(earlier.range[0], later.range[0]);
  const to = Math.min(earlier.range[1], later.range[1]);
  if (!(to > from)) return undefined;
  const terms = Math.max(earlier.parameters, later.parameters);
  const everywhere = Math.sqrt(chiSquareQuantile(0.95, terms)) / normalQuantile(0.975);
  const points: DragDifference[] = [];
  const verdicts: ChangeVerdict[] = [];
  for (let k = 0; k < gridPoints; k++) {
    const speed = from + (k / (gridPoints - 1)) * (to - from);
    const a = earlier.at(speed);
    const b = later.at(speed);
    const difference = b.torque - a.torque;
    const half = Math.hypot(a.halfWidth, b.halfWidth);
    const allowed = tolerance * Math.abs(a.torque);
    points.push({
      speed,
      earlier: a.torque,
      later: b.torque,
      differenceInterval95: [difference - half, difference + half],
    });
    const size = Math.abs(difference);
    verdicts.push(
      size + half <= allowed
        ? 'unchanged'
        : size > everywhere * half && size > allowed
          ? 'changed'
          : 'undecided',
    );
  }
  const verdict = verdicts.includes('changed')
    ? 'changed'
    : verdicts.every((v) => v === 'unchanged')
      ? 'unchanged'
      : 'undecided';
  return { points, verdict, lowEnd: verdicts[0] };
}
