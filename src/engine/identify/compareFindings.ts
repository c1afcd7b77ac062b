import type { Finding } from '../findings.js';
import { chiSquareQuantile, normalQuantile } from '../numerics/distributions.js';
import type { CurveComparison } from './compareCurves.js';
import type { Change, TugChange } from './comparison.js';
import type { ParameterName } from './identification.js';

export interface ChangeSummary {
  readonly changes: readonly Change[];
  readonly reverseChanges: readonly Change[];
  readonly curves?: CurveComparison;
  readonly reverseCurves?: CurveComparison;
  readonly tugChange?: TugChange;
  readonly factor?: CommonFactor;
  readonly sameTerms: boolean;
  readonly tolerance: number;
}

/** A change of tug from this share of the running tension on is said to matter (ours: tension control holds about that). */
export const tugThatMatters = 0.01;

const words: Readonly<Record<ParameterName, string>> = {
  inertia: 'inertia',
  coulomb: 'Coulomb drag',
  viscous: 'viscous drag',
  quadratic: 'quadratic drag',
  stribeck: 'Stribeck excess',
  stribeckSpeed: 'Stribeck speed',
  breakaway: 'breakaway torque',
  offset: 'torque offset',
};

/** What the comparison amounts to, in coded form. */
export function changeFindings(summary: ChangeSummary): Finding[] {
  const { changes, reverseChanges, curves, reverseCurves, tugChange, factor, sameTerms, tolerance } = summary;
  const findings: Finding[] = [];
  const changed = changes.filter((c) => c.verdict === 'changed');
  const changedReverse = reverseChanges.filter((c) => c.verdict === 'changed');
  const curve = curves?.verdict === 'changed' || reverseCurves?.verdict === 'changed';
  if (changed.length > 0 || changedReverse.length > 0 || curve) {
    const what = [
      ...changed.map(said),
      ...changedReverse.map((c) => `${said(c)} in reverse`),
      ...(curve ? ['the drag curve as a whole'] : []),
    ];
    findings.push({
      code: 'pair_change',
      severity: 'warn',
      message: `changed between the visits: ${what.join(', ')}; ${tugSentence(tugChange, curve)}`,
      where: {
        changed: changed.map((c) => c.name),
        tolerance,
        ...(tugChange && { tugChange_N: tugChange.force, speed_rad_per_s: tugChange.speed }),
      },
      next:
        tugChange?.share === undefined
          ? 'find the cause (bearings, seals, lubrication, coupling), then renew the feed-forward from the later visit; state the running tension to see whether the change matters'
          : 'find the cause (bearings, seals, lubrication, coupling), then renew the feed-forward from the later visit',
    });
  }
  if (factor !== undefined)
    findings.push({
      code: 'pair_mismatch',
      severity: 'info',
      message: `inertia and drag all changed by one factor, ${factor.factor.toPrecision(4)} (95 %: ${factor.interval95.map((x) => x.toPrecision(4)).join(' to ')}): that is the scale of the torque signal, not mechanics`,
      where: { factor: factor.factor, parameters: factor.names },
      next: 'compare rated torque, torque constant and torque scaling of the drive at the two visits',
    });
  if (!sameTerms)
    findings.push({
      code: 'model_misfit',
      severity: 'info',
      message:
        'the drag laws of the two visits have different terms, so their drag parameters do not mean the same; the drag curves are compared instead',
      where: {},
      next: 'record plateaus at the same speeds at both visits',
    });
  return findings;
}

function said(c: Change): string {
  if (c.ratio === undefined || c.ratio <= 0) return words[c.name];
  const percent = 100 * (c.ratio - 1);
  return `${words[c.name]} by ${percent < 0 ? '−' : '+'}${Math.abs(percent).toPrecision(2)} %`;
}

function tugSentence(tug: TugChange | undefined, curveChanged: boolean): string {
  if (tug === undefined)
    return 'what it makes on the web is not known without drag curves and a roller diameter';
  const most = `at most ${tug.force.toPrecision(3)} N of web tug while the feed-forward stays as it was`;
  if (!curveChanged)
    return `${most}, which the drag curves do not show beyond their uncertainty and the tolerance`;
  if (tug.share === undefined) return most;
  const percent = `${(100 * tug.share).toPrecision(2)} % of the running tension`;
  return tug.share >= tugThatMatters
    ? `${most}, ${percent}: it matters`
    : `${most}, ${percent}: below ${100 * tugThatMatters} %, so it hardly matters`;
}

export interface CommonFactor {
  readonly factor: number;
  readonly interval95: readonly [number, number];
  readonly names: readonly ParameterName[];
}

/** What scales with the torque signal. An offset does not: it may be the zero of that very signal. */
const scaled: readonly ParameterName[] = [
  'inertia',
  'coulomb',
  'viscous',
  'quadratic',
  'stribeck',
  'breakaway',
];

/**
 * The one factor by which all torque-like parameters changed, when there is such: inertia, which mechanics seldom changes, has changed, so
 * has a drag parameter or the breakaway torque, there are three or more, and all ratios agree with their weighted mean (χ² at 95 %;
 * parameters are taken as independent). Undefined otherwise.
 */
export function commonFactor(changes: readonly Change[]): CommonFactor | undefined {
  const rows = changes.flatMap(({ name, ratio, ratioInterval95, verdict }) =>
    scaled.includes(name) && ratio !== undefined && ratioInterval95 !== undefined
      ? [{ name, ratio, verdict, half: 0.5 * (ratioInterval95[1] - ratioInterval95[0]) }]
      : [],
  );
  const changed = (inertia: boolean): boolean =>
    rows.some((r) => (r.name === 'inertia') === inertia && r.verdict === 'changed');
  if (rows.length < 3 || rows.some((r) => !(r.half > 0)) || !changed(true) || !changed(false))
    return undefined;
  const weights = rows.map((r) => r.half ** -2);
  const total = weights.reduce((s, w) => s + w, 0);
  const factor = rows.reduce((s, r, k) => s + weights[k] * r.ratio, 0) / total;
  const z = normalQuantile(0.975);
  const misfit = rows.reduce((s, r) => s + ((z * (r.ratio - factor)) / r.half) ** 2, 0);
  if (misfit > chiSquareQuantile(0.95, rows.length - 1)) return undefined;
  const half = 1 / Math.sqrt(total);
  return { factor, interval95: [factor - half, factor + half], names: rows.map((r) => r.name) };
}
