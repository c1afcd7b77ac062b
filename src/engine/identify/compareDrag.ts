import { type DragLaw, dragTorque } from '../line/drag.js';
import { chiSquareQuantile, normalQuantile } from '../numerics/distributions.js';
import { type ChangeVerdict, differenceInterval95, type Measured, ratioVerdict } from './equality.js';
import type { FittedDrag } from './fittedDrag.js';

/** Drag at the motor of both visits at one speed, SI, with the 95 % interval of later − earlier at this speed. */
export interface DragDifference {
  readonly speed: number;
  readonly earlier: number;
  readonly later: number;
  readonly differenceInterval95: readonly [number, number];
}

export interface CurveComparison {
  readonly points: readonly DragDifference[];
  readonly verdict: ChangeVerdict;
}

const curvePoints = 25;

/**
 * Both drag curves over the speeds that both recordings cover. The interval of a point holds for that point. The verdict is
 * on the whole curve: unchanged when it is at every speed (needs no allowance for many speeds, since all must pass), changed when it is at any
 * speed with bands widened to hold for all speeds at once: by √χ²(95 %, p)/1.96, p the number of drag terms.
 * Source: Scheffé's simultaneous bands (from memory), with a chi-square since the half widths hold Student's t already.
 */
export function compareDragCurves(
  earlier: FittedDrag | undefined,
  later: FittedDrag | undefined,
  tolerance: number,
): CurveComparison | undefined {
  if (earlier === undefined || later === undefined) return undefined;
  const from = Math.max(earlier.range[0], later.range[0]);
  const to = Math.min(earlier.range[1], later.range[1]);
  if (!(to > from)) return undefined;
  const widening =
    Math.sqrt(chiSquareQuantile(0.95, termsOf(earlier.law, later.law))) / normalQuantile(0.975);
  const points: DragDifference[] = [];
  const verdicts: { atPoint: ChangeVerdict; atAll: ChangeVerdict }[] = [];
  for (let k = 0; k < curvePoints; k++) {
    const speed = k + 1 === curvePoints ? to : from + (k / (curvePoints - 1)) * (to - from);
    const x = dragWithBand(earlier, speed);
    const y = dragWithBand(later, speed);
    if (x === undefined || y === undefined) continue;
    points.push({
      speed,
      earlier: x.value,
      later: y.value,
      differenceInterval95: differenceInterval95(x, y),
    });
    const wide = (m: Measured): Measured => ({ ...m, halfWidth95: widening * m.halfWidth95 });
    verdicts.push({
      atPoint: ratioVerdict(x, y, tolerance),
      atAll: ratioVerdict(wide(x), wide(y), tolerance),
    });
  }
  if (points.length < 2) return undefined;
  const verdict = verdicts.every((v) => v.atPoint === 'unchanged')
    ? 'unchanged'
    : verdicts.some((v) => v.atAll === 'changed')
      ? 'changed'
      : 'undecided';
  return { points, verdict };
}

export function dragWithBand(drag: FittedDrag, speed: number): Measured | undefined {
  const halfWidth95 = drag.halfWidth95(speed);
  return halfWidth95 === undefined ? undefined : { value: dragTorque(drag.law, speed), halfWidth95 };
}

/** Number of terms that make the difference of two curves: those that either law has. */
function termsOf(a: DragLaw, b: DragLaw): number {
  const has = (key: 'viscous' | 'quadratic' | 'stribeck'): number => (a[key] !== 0 || b[key] !== 0 ? 1 : 0);
  return 1 + has('viscous') + has('quadratic') + 2 * has('stribeck');
}
