import { TautlineError } from '../../errors.js';
import { type Finding, verdictOf } from '../../findings.js';
import type { Drive } from '../../line/drive.js';
import { type DragBand, dragBand, dragTermsOf } from '../dragBand.js';
import { type Estimates, type Identification, parameterNames } from '../identification.js';
import type { Change, Comparison, TugChange } from './comparison.js';
import { type CurveComparison, compareCurves } from './curves.js';
import { changeFindings, commonFactor, nothingInCommon } from './findings.js';
import { pairFindings } from './pair.js';
import { compareEstimates, type DragReference, withOffsetJoined } from './parameters.js';

export interface CompareOptions {
  /** Relative difference that still counts as equal [1]; default 0.05 (ours). */
  readonly tolerance?: number;
  /** The same for the drag curve [1]; default: that of the parameters. */
  readonly dragTolerance?: number;
  /** Tension of the whole web while running [N], to judge the change of tug by. */
  readonly runningTension?: number;
}

const defaultTolerance = 0.05;

/**
 * Two visits to one drive: which parameters changed beyond their uncertainty, the drag curves with the interval of their difference, and what
 * the change does to the web. The recordings count as independent; an error that both share, as a wrong torque scale, cancels in
 * the ratios and stays in the differences. Theory: docs/models/compare.md.
 * @throws TautlineError argument_invalid for a tolerance or tension that is not above 0
 */
export function compareIdentifications(
  earlier: Identification,
  later: Identification,
  drives: { readonly earlier: Drive; readonly later: Drive },
  options: CompareOptions = {},
): Comparison {
  const tolerance = above0('tolerance', options.tolerance ?? defaultTolerance);
  const dragTolerance = above0('dragTolerance', options.dragTolerance ?? tolerance);
  if (options.runningTension !== undefined) above0('runningTension', options.runningTension);
  const pair = pairFindings(earlier, later, drives);
  const result = (findings: readonly Finding[], rest: Partial<Comparison>): Comparison => ({
    driveName: drives.later.name,
    verdict: verdictOf(findings),
    tolerance,
    changes: [],
    notCompared: [],
    dragCurves: [],
    ...rest,
    findings,
  });
  if (pair.some((f) => f.severity === 'refuse')) return result(pair, {});
  const tolerances = { tolerance, dragTolerance };
  const forward = compareDirection(earlier, later, 'forward', tolerances);
  const reverse = isReverseOfItsOwn(earlier, later)
    ? compareDirection(earlier, later, 'reverse', tolerances)
    : undefined;
  if (forward.changes.length === 0 && forward.curves === undefined)
    return result([...pair, nothingInCommon()], { notCompared: missing(earlier, later, false) });
  const reverseChanges = (reverse?.changes ?? []).filter(({ name }) =>
    [earlier, later].some((id) => reverseOf(id)[name]?.value !== id.estimates[name]?.value),
  );
  const tugChange = largestTugChange(forward.curves, reverse?.curves, drives.later, options.runningTension);
  const findings = [
    ...pair,
    ...changeFindings({
      changes: forward.changes,
      reverseChanges,
      curves: forward.curves,
      reverseCurves: reverse?.curves,
      tugChange,
      factor: commonFactor(forward.changes, forward.middle),
      sameTerms: forward.sameTerms && (reverse?.sameTerms ?? true),
      tolerance,
    }),
  ];
  return result(findings, {
    changes: forward.changes,
    notCompared: missing(earlier, later, forward.joined),
    dragCurves: forward.curves?.points ?? [],
    ...(forward.curves && { curveVerdict: forward.curves.verdict }),
    ...(reverse && { changesReverse: reverseChanges }),
    ...(reverse?.curves && {
      dragCurvesReverse: reverse.curves.points,
      curveVerdictReverse: reverse.curves.verdict,
    }),
    ...(tugChange && { tugChange }),
  });
}

function above0(name: string, value: number): number {
  if (!(value > 0 && value < Number.POSITIVE_INFINITY))
    throw new TautlineError(
      'argument_invalid',
      { [name]: value },
      `${name} is ${value} and must be above 0`,
      'give a tolerance as a fraction (0.05 for 5 %) and a tension in newtons',
    );
  return value;
}

interface DirectionResult {
  readonly changes: readonly Change[];
  readonly curves?: CurveComparison;
  /** Both drags in the middle of the common speeds, with half the width of their 95 % intervals [N·m]. */
  readonly middle?: readonly [ReturnType<DragBand['at']>, ReturnType<DragBand['at']>];
  readonly sameTerms: boolean;
  /** True when the offset that one visit tells apart was counted into its drag, as in the other. */
  readonly joined: boolean;
}

/**
 * One direction. When only one visit tells the torque offset from the drag, it is counted into the drag of that visit too, so that like is
 * compared with like.
 */
function compareDirection(
  earlier: Identification,
  later: Identification,
  direction: 'forward' | 'reverse',
  { tolerance, dragTolerance }: { readonly tolerance: number; readonly dragTolerance: number },
): DirectionResult {
  const sign = direction === 'forward' ? 1 : -1;
  const joined = (earlier.estimates.offset === undefined) !== (later.estimates.offset === undefined);
  const estimates = (id: Identification): Estimates => {
    const own = direction === 'forward' ? id.estimates : reverseOf(id);
    return joined ? withOffsetJoined(id, own, sign) : own;
  };
  const [a, b] = [estimates(earlier), estimates(later)];
  const bands = [earlier, later].map((id) => dragBand(id, direction, joined ? sign : 0));
  const [bandA, bandB] = bands;
  const curves = bandA && bandB && compareCurves(bandA, bandB, dragTolerance);
  const top = curves?.points[curves.points.length - 1];
  const reference: DragReference | undefined = top && { speed: top.speed, drag: top.earlier };
  const sameTerms =
    dragTermsOf(a).join() === dragTermsOf(b).join() && earlier.stribeckExponent === later.stribeckExponent;
  const all = compareEstimates(a, b, tolerance, reference);
  const changes = sameTerms ? all : all.map((c) => withOtherTerms(c, curves));
  const middle = curves?.points[curves.points.length >> 1]?.speed;
  return {
    changes,
    ...(curves && { curves }),
    ...(bandA && bandB && middle !== undefined && { middle: [bandA.at(middle), bandB.at(middle)] as const }),
    sameTerms,
    joined,
  };
}

/**
 * A drag parameter means something else when the other law has another term: without a quadratic term the viscous one takes its place. Such
 * a parameter is undecided; Coulomb drag, the drag towards standstill, has changed when the low end of the curve has.
 */
function withOtherTerms(change: Change, curves: CurveComparison | undefined): Change {
  switch (change.name) {
    case 'coulomb':
      return change.verdict === 'changed' && curves?.lowEnd === 'changed'
        ? change
        : { ...change, verdict: 'undecided' };
    case 'viscous':
    case 'quadratic':
    case 'stribeck':
    case 'stribeckSpeed':
      return { ...change, verdict: 'undecided' };
    default:
      return change;
  }
}

/** What the reverse direction has of its own: inertia and offset are one number for both directions. */
function reverseOf(id: Identification): Estimates {
  const { inertia: _inertia, offset: _offset, ...own } = id.reverse?.estimates ?? {};
  return own;
}

/** Both visits ran both ways, and at least one of them with something that differs between the directions. */
function isReverseOfItsOwn(earlier: Identification, later: Identification): boolean {
  const differs = (id: Identification): boolean =>
    parameterNames.some((n) => reverseOf(id)[n] && reverseOf(id)[n]?.value !== id.estimates[n]?.value);
  return earlier.reverse !== undefined && later.reverse !== undefined && (differs(earlier) || differs(later));
}

/** Tug on the web F = ΔM·i/r [N] from the change ΔM of the drag at the motor [N·m], gear ratio i and roller radius r [m]. */
function largestTugChange(
  forward: CurveComparison | undefined,
  reverse: CurveComparison | undefined,
  { gearRatio, rollerRadius }: Drive,
  runningTension: number | undefined,
): TugChange | undefined {
  if (rollerRadius === undefined) return undefined;
  let largest: TugChange | undefined;
  for (const [direction, curves] of [['forward', forward] as const, ['reverse', reverse] as const])
    for (const { speed, earlier, later, differenceInterval95 } of curves?.points ?? []) {
      const force = (Math.abs(later - earlier) * gearRatio) / rollerRadius;
      if (largest !== undefined && force <= largest.force) continue;
      const [lo, hi] = differenceInterval95.map((m) => (m * gearRatio) / rollerRadius);
      const rose = later >= earlier;
      largest = {
        force,
        interval95: rose ? [lo, hi] : [-hi, -lo],
        sense: rose ? 'rose' : 'fell',
        speed,
        direction,
        ...(runningTension !== undefined && { share: force / runningTension }),
      };
    }
  return largest;
}

/** Parameters that every designed test should give: said to be missing even when neither visit has them. */
const expected: readonly string[] = ['inertia', 'coulomb', 'breakaway'];

function missing(earlier: Identification, later: Identification, joined: boolean): Comparison['notCompared'] {
  return parameterNames.flatMap((name) => {
    const [a, b] = [earlier.estimates[name] !== undefined, later.estimates[name] !== undefined];
    if ((a && b) || (!a && !b && !expected.includes(name))) return [];
    if (!a && !b) return [{ name, why: 'neither visit states it' }];
    const lacking = a ? 'later' : 'earlier';
    if (name === 'offset' && joined)
      return [
        {
          name,
          why: `the ${lacking} visit cannot tell it from drag; it is counted into Coulomb drag and breakaway of both`,
        },
      ];
    const reason = (a ? later : earlier).notEstimated.find((n) => n.name === name)?.why;
    return [
      { name, why: `the ${lacking} visit does not state it${reason === undefined ? '' : `: ${reason}`}` },
    ];
  });
}
