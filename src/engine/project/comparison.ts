import type { Finding, Verdict } from '../findings.js';
import type { Change, ChangeVerdict, Comparison, DragDifference } from '../identify/compare/comparison.js';
import { type EstimateKey, estimateKeys } from './identification.js';
import { plain, tidy } from './plain.js';

export interface ChangeDocument {
  readonly name: EstimateKey;
  readonly earlier: number;
  readonly later: number;
  readonly earlierInterval95: readonly [number, number];
  readonly laterInterval95: readonly [number, number];
  readonly ratio?: number;
  readonly ratioInterval95?: readonly [number, number];
  readonly differenceInterval95: readonly [number, number];
  readonly verdict: ChangeVerdict;
}

export interface DragDifferenceDocument {
  readonly speed_rad_per_s: number;
  readonly earlier_Nm: number;
  readonly later_Nm: number;
  readonly differenceInterval95_Nm: readonly [number, number];
}

/** `tautline/comparison@1`: what `tautline compare` prints; everything at the motor shaft but the tug. */
export interface ComparisonDocument {
  readonly schema: 'tautline/comparison@1';
  readonly name: string;
  readonly verdict: Verdict;
  readonly findings: readonly Finding[];
  readonly tolerance_percent: number;
  readonly changes: readonly ChangeDocument[];
  readonly changesReverse?: readonly ChangeDocument[];
  readonly notCompared: readonly { readonly name: EstimateKey; readonly why: string }[];
  readonly dragCurves: readonly DragDifferenceDocument[];
  readonly dragCurvesReverse?: readonly DragDifferenceDocument[];
  readonly dragCurveVerdict?: ChangeVerdict;
  readonly dragCurveVerdictReverse?: ChangeVerdict;
  readonly tugChange_N?: number;
  readonly tugChangeInterval95_N?: readonly [number, number];
  readonly tugChangeSpeed_rad_per_s?: number;
  readonly tugChangeDirection?: 'forward' | 'reverse';
  readonly tugChangeSense?: 'rose' | 'fell';
  readonly tugChange_percent?: number;
}

const tidyPair = ([a, b]: readonly [number, number]): [number, number] => [tidy(a), tidy(b)];

const changeOut = (c: Change): ChangeDocument => ({
  name: estimateKeys[c.name],
  earlier: tidy(c.earlier),
  later: tidy(c.later),
  earlierInterval95: tidyPair(c.earlierInterval95),
  laterInterval95: tidyPair(c.laterInterval95),
  ...(c.ratio !== undefined && { ratio: tidy(c.ratio) }),
  ...(c.ratioInterval95 !== undefined && { ratioInterval95: tidyPair(c.ratioInterval95) }),
  differenceInterval95: tidyPair(c.differenceInterval95),
  verdict: c.verdict,
});

const pointOut = (p: DragDifference): DragDifferenceDocument => ({
  speed_rad_per_s: tidy(p.speed),
  earlier_Nm: tidy(p.earlier),
  later_Nm: tidy(p.later),
  differenceInterval95_Nm: tidyPair(p.differenceInterval95),
});

/** The document of a comparison. A number that is absent stays absent. @throws TautlineError internal when one is not finite */
export function toComparisonDocument(c: Comparison): ComparisonDocument {
  const tug = c.tugChange;
  return plain<ComparisonDocument>({
    schema: 'tautline/comparison@1',
    name: c.driveName,
    verdict: c.verdict,
    findings: c.findings,
    tolerance_percent: tidy(100 * c.tolerance),
    changes: c.changes.map(changeOut),
    changesReverse: c.changesReverse?.map(changeOut),
    notCompared: c.notCompared.map((n) => ({ name: estimateKeys[n.name], why: n.why })),
    dragCurves: c.dragCurves.map(pointOut),
    dragCurvesReverse: c.dragCurvesReverse?.map(pointOut),
    dragCurveVerdict: c.curveVerdict,
    dragCurveVerdictReverse: c.curveVerdictReverse,
    ...(tug && {
      tugChange_N: tidy(tug.force),
      tugChangeInterval95_N: tidyPair(tug.interval95),
      tugChangeSpeed_rad_per_s: tidy(tug.speed),
      tugChangeDirection: tug.direction,
      tugChangeSense: tug.sense,
      ...(tug.share !== undefined && { tugChange_percent: tidy(100 * tug.share) }),
    }),
  });
}
