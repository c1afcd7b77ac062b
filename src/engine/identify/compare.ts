import { TautlineError } from '../errors.js';
import type { Finding } from '../findings.js';
import { dragTorque } from '../line/drag.js';
import type { Drive } from '../line/drive.js';
import { type CurveComparison, compareDragCurves } from './compareDrag.js';
import { changeFindings, mismatchFindings } from './compareFindings.js';
import {
  type ChangeVerdict,
  differenceInterval95,
  equalityVerdict,
  ratioInterval95,
  ratioVerdict,
} from './equality.js';
import { type Direction, fittedDrag, halfWidthOf } from './fittedDrag.js';
import type { Estimate, Estimates, Identification, ParameterName } from './identification.js';
import { parameterNames } from './identification.js';

/** One visit to a drive: what its recording said and how the drive was stated. */
export interface Visit {
  readonly identification: Identification;
  readonly drive: Drive;
}

export interface CompareOptions {
  /** Relative change of a parameter that still counts as equal [1]; default 0.05 (ours). */
  readonly parameterTolerance?: number;
  /** The same for the drag curve [1]; default: that of the parameters. */
  readonly dragTolerance?: number;
  /** Web tension while running [N, total]: the change of tug is then also stated as a share of it. */
  readonly runningTension?: number;
}

/** One parameter at both visits, SI. A ratio is absent where it means nothing (offset) or is unbounded. */
export interface ParameterChange {
  readonly name: ParameterName;
  readonly earlier: number;
  readonly later: number;
  readonly ratio?: number;
  readonly ratioInterval95?: readonly [number, number];
  readonly difference: number;
  readonly differenceInterval95: readonly [number, number];
  readonly verdict: ChangeVerdict;
}

export interface DirectionComparison {
  readonly changes: readonly ParameterChange[];
  readonly drag?: CurveComparison;
}

/** Change of the tug that the roller's drag puts on the web. */
export interface TugChange {
  /** Magnitude of the largest change over the common speeds and both directions [N]. */
  readonly force: number;
  /** Its 95 % interval, later less earlier [N]: positive when the drag grew. */
  readonly interval95: readonly [number, number];
  /** Motor speed at which it stands [rad/s]. */
  readonly speed: number;
  readonly direction: Direction;
  /** Share of the running tension [1]; only when that was given. */
  readonly share?: number;
}

export interface Comparison {
  readonly parameterTolerance: number;
  readonly dragTolerance: number;
  readonly forward: DirectionComparison;
  /** Only what is particular to the reverse direction. */
  readonly reverse?: DirectionComparison;
  readonly tugChange?: TugChange;
  /** What only one of the two states, or neither. */
  readonly notCompared: readonly { readonly name: ParameterName | 'dragCurve'; readonly why: string }[];
  readonly findings: readonly Finding[];
}

/** Parameters that are zero as likely as not: a ratio of two offsets says nothing. */
const withoutRatio: readonly ParameterName[] = ['offset'];

/**
 * Two visits to one drive: which parameters changed beyond their uncertainty, the drag curves with the band of their
 * difference, and what the change does to the web. The recordings count as independent; an error that both share, as a
 * wrong torque scale, cancels in the ratios and stays in the differences. Theory: docs/models/compare.md.
 * @throws TautlineError argument_invalid for a tolerance or tension that is not above 0
 */
export function compareIdentifications(
  earlier: Visit,
  later: Visit,
  options: CompareOptions = {},
): Comparison {
  const parameterTolerance = above0('parameterTolerance', options.parameterTolerance ?? 0.05);
  const dragTolerance = above0('dragTolerance', options.dragTolerance ?? parameterTolerance);
  const [a, b] = [earlier.identification, later.identification];
  const forwardDrag = compareDragCurves(fittedDrag(a, 'forward'), fittedDrag(b, 'forward'), dragTolerance);
  const forward: DirectionComparison = {
    changes: compareEstimates(a.estimates, b.estimates, parameterTolerance, effects(a, forwardDrag)),
    drag: forwardDrag,
  };
  const reverse = compareReverse(a, b, parameterTolerance, dragTolerance);
  const tugChange = largestTugChange(forward, reverse, later.drive, options.runningTension);
  const notCompared = missing(a, b, forward);
  const findings = [
    ...mismatchFindings(earlier, later, dragTolerance),
    ...changeFindings({ forward, reverse, tugChange, parameterTolerance }, a, b),
  ];
  return {
    parameterTolerance,
    dragTolerance,
    forward,
    ...(reverse && { reverse }),
    ...(tugChange && { tugChange }),
    notCompared,
    findings,
  };
}

function above0(name: string, value: number): number {
  if (!(value > 0) || !Number.isFinite(value))
    throw new TautlineError(
      'argument_invalid',
      { [name]: value },
      `${name} is ${value} and must be above 0`,
      'give a tolerance as a fraction, 0.05 for 5 %, and a tension in newtons',
    );
  return value;
}

/** The drag at the highest common speed and what one unit of each parameter adds to it [N·m per unit]. */
interface Effects {
  readonly drag: number;
  readonly perUnit: Partial<Record<ParameterName, number>>;
}

function effects(id: Identification, curve: CurveComparison | undefined): Effects | undefined {
  const drag = fittedDrag(id, 'forward');
  if (drag === undefined) return undefined;
  const speed = curve?.points[curve.points.length - 1]?.speed ?? drag.range[1];
  return {
    drag: Math.abs(dragTorque(drag.law, speed)),
    perUnit: { offset: 1, coulomb: 1, stribeck: 1, viscous: speed, quadratic: speed * speed },
  };
}

function compareEstimates(
  a: Estimates,
  b: Estimates,
  tolerance: number,
  effect: Effects | undefined,
): ParameterChange[] {
  return parameterNames.flatMap((name) => {
    const [earlier, later] = [a[name], b[name]];
    return earlier && later ? [compareParameter(name, earlier, later, tolerance, effect)] : [];
  });
}

/**
 * A parameter that is told from zero is judged by its ratio. One that is not is judged by what its difference does to the
 * torque at the highest common speed, against the tolerance times the drag there; without such an effect it stays undecided.
 */
function compareParameter(
  name: ParameterName,
  earlier: Estimate,
  later: Estimate,
  tolerance: number,
  effect: Effects | undefined,
): ParameterChange {
  const x = { value: earlier.value, halfWidth95: halfWidthOf(earlier) };
  const y = { value: later.value, halfWidth95: halfWidthOf(later) };
  const difference = y.value - x.value;
  const interval = differenceInterval95(x, y);
  const common = { name, earlier: x.value, later: y.value, difference, differenceInterval95: interval };
  const ratios = withoutRatio.includes(name) ? undefined : ratioInterval95(x, y);
  if (ratios !== undefined)
    return {
      ...common,
      ratio: y.value / x.value,
      ratioInterval95: ratios,
      verdict: ratioVerdict(x, y, tolerance),
    };
  const perUnit = effect?.perUnit[name];
  if (effect === undefined || perUnit === undefined || !(perUnit > 0))
    return { ...common, verdict: 'undecided' };
  const margin = (tolerance * effect.drag) / perUnit;
  return { ...common, verdict: equalityVerdict(difference, interval, [-margin, margin], 0) };
}

/** Reverse direction, less what is one and the same number for both directions. */
function compareReverse(
  a: Identification,
  b: Identification,
  tolerance: number,
  dragTolerance: number,
): DirectionComparison | undefined {
  if (a.reverse === undefined || b.reverse === undefined) return undefined;
  const shared = (id: Identification, name: ParameterName): boolean =>
    id.reverse?.estimates[name]?.value === id.estimates[name]?.value;
  const own = (estimates: Estimates): Estimates =>
    Object.fromEntries(
      parameterNames
        .filter((n) => n !== 'inertia' && n !== 'offset' && !(shared(a, n) && shared(b, n)))
        .map((n) => [n, estimates[n]]),
    );
  const changes = compareEstimates(own(a.reverse.estimates), own(b.reverse.estimates), tolerance, undefined);
  const drag = changes.some((c) => c.name !== 'breakaway')
    ? compareDragCurves(fittedDrag(a, 'reverse'), fittedDrag(b, 'reverse'), dragTolerance)
    : undefined;
  return changes.length > 0 || drag ? { changes, ...(drag && { drag }) } : undefined;
}

/** Tug of the web = drag torque at the motor · gear ratio / roller radius [N]. */
function largestTugChange(
  forward: DirectionComparison,
  reverse: DirectionComparison | undefined,
  drive: Drive,
  runningTension: number | undefined,
): TugChange | undefined {
  const tension = runningTension === undefined ? undefined : above0('runningTension', runningTension);
  if (drive.rollerRadius === undefined) return undefined;
  const perTorque = drive.gearRatio / drive.rollerRadius;
  let largest: TugChange | undefined;
  for (const [direction, side] of [['forward', forward] as const, ['reverse', reverse] as const])
    for (const p of side?.drag?.points ?? []) {
      const force = perTorque * Math.abs(p.later - p.earlier);
      if (largest !== undefined && force <= largest.force) continue;
      const [lo, hi] = p.differenceInterval95;
      largest = {
        force,
        interval95: [perTorque * lo, perTorque * hi],
        speed: p.speed,
        direction,
        ...(tension !== undefined && { share: force / tension }),
      };
    }
  return largest;
}

function missing(
  a: Identification,
  b: Identification,
  forward: DirectionComparison,
): Comparison['notCompared'] {
  const why = (inA: boolean, inB: boolean): string =>
    inA
      ? 'the later recording does not give it'
      : inB
        ? 'the earlier recording does not give it'
        : 'neither recording gives it';
  const out: { name: ParameterName | 'dragCurve'; why: string }[] = parameterNames
    .filter((n) => a.estimates[n] === undefined || b.estimates[n] === undefined)
    .filter(
      (n) => a.estimates[n] !== b.estimates[n] || n === 'inertia' || n === 'coulomb' || n === 'breakaway',
    )
    .map((name) => ({ name, why: why(a.estimates[name] !== undefined, b.estimates[name] !== undefined) }));
  if (forward.drag === undefined) {
    const [inA, inB] = [fittedDrag(a, 'forward') !== undefined, fittedDrag(b, 'forward') !== undefined];
    out.push({
      name: 'dragCurve',
      why: inA && inB ? 'the two share no range of speeds with a band' : why(inA, inB),
    });
  }
  return out;
}
