import { halfWidth95 } from '../dragBand.js';
import {
  type Estimate,
  type Estimates,
  type Identification,
  type ParameterName,
  parameterNames,
} from '../identification.js';
import type { Change } from './comparison.js';
import { changeVerdict, differenceInterval95, ratioInterval95 } from './ratioInterval.js';

/** What a change of a drag parameter is judged by when its ratio means nothing: a speed and the earlier drag there. */
export interface DragReference {
  /** [rad/s] */
  readonly speed: number;
  /** [N·m] */
  readonly drag: number;
}

/** Torque at a speed [N·m] per unit of a parameter; undefined for what is no torque. */
function torquePerUnit(name: ParameterName, speed: number): number | undefined {
  switch (name) {
    case 'coulomb':
    case 'stribeck':
    case 'offset':
      return 1;
    case 'viscous':
      return speed;
    case 'quadratic':
      return speed * speed;
    default:
      return undefined;
  }
}

/**
 * Every parameter that both visits state. Its ratio is judged; where there is none, because the earlier value is not told from
 * zero or, as with the offset, may be zero, its difference is judged by the torque that it makes at the reference speed, against the
 * tolerance times the drag there. Without a reference such a change stays undecided.
 */
export function compareEstimates(
  earlier: Estimates,
  later: Estimates,
  tolerance: number,
  reference: DragReference | undefined,
): Change[] {
  return parameterNames.flatMap((name) => {
    const a = earlier[name];
    const b = later[name];
    if (a === undefined || b === undefined) return [];
    const ratioInterval = name === 'offset' ? undefined : ratioInterval95(a, b);
    const difference = differenceInterval95(a, b);
    const perUnit = reference && torquePerUnit(name, reference.speed);
    const margin = reference && perUnit ? (tolerance * Math.abs(reference.drag)) / perUnit : undefined;
    const verdict =
      ratioInterval !== undefined
        ? changeVerdict(ratioInterval, b.value / a.value, 1, tolerance)
        : margin !== undefined
          ? changeVerdict(difference, b.value - a.value, 0, margin)
          : ('undecided' as const);
    return [
      {
        name,
        earlier: a.value,
        later: b.value,
        earlierInterval95: a.interval95,
        laterInterval95: b.interval95,
        ...(ratioInterval !== undefined && { ratio: b.value / a.value, ratioInterval95: ratioInterval }),
        differenceInterval95: difference,
        verdict,
      },
    ];
  });
}

/**
 * Estimates of a direction with the torque offset counted into Coulomb drag and breakaway, as a fit of one direction alone has them: it
 * cannot tell the two apart. `sign` is 1 forward, -1 reverse. The offset itself is left out.
 */
export function withOffsetJoined(id: Identification, estimates: Estimates, sign: 1 | -1): Estimates {
  const { offset } = id.estimates;
  if (offset === undefined) return estimates;
  const { offset: _, ...rest } = estimates;
  const { coulomb, breakaway } = estimates;
  return {
    ...rest,
    ...(coulomb && { coulomb: sum(coulomb, offset, sign, covarianceOf(id, 'coulomb', 'offset')) }),
    ...(breakaway && { breakaway: sum(breakaway, offset, sign, 0) }),
  };
}

/** a + sign·b with covariance c; without a covariance the standard errors add in full. */
function sum(a: Estimate, b: Estimate, sign: 1 | -1, c: number | undefined): Estimate {
  const value = a.value + sign * b.value;
  const standardError =
    c === undefined
      ? a.standardError + b.standardError
      : Math.sqrt(Math.max(0, a.standardError ** 2 + b.standardError ** 2 + 2 * sign * c));
  const t = a.standardError > 0 ? halfWidth95(a) / a.standardError : 0;
  const half = t > 0 ? t * standardError : halfWidth95(a) + halfWidth95(b);
  return { value, standardError, interval95: [value - half, value + half] };
}

function covarianceOf(id: Identification, a: ParameterName, b: ParameterName): number | undefined {
  const i = id.covariance?.names.indexOf(a) ?? -1;
  const j = id.covariance?.names.indexOf(b) ?? -1;
  return i < 0 || j < 0 ? undefined : id.covariance?.matrix[i][j];
}
