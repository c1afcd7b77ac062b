import type { Finding } from '../../findings.js';
import { chiSquareQuantile, normalQuantile } from '../../numerics/distributions.js';
import type { ParameterName } from '../identification.js';
import type { Change, TugChange } from './comparison.js';
import type { CurveComparison } from './curves.js';

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
const tugThatMatters = 0.01;

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
    const { says, look } = cause(changes, factor);
    findings.push({
      code: 'pair_change',
      severity: 'warn',
      message: `changed between the visits: ${what.join(', ')}; ${tugSentence(tugChange, curve)}; ${says}`,
      where: {
        changed: changed.map((c) => c.name),
        tolerance,
        ...(tugChange && { tugChange_N: tugChange.force, speed_rad_per_s: tugChange.speed }),
      },
      next: `${look}, then renew the feed-forward from the later visit${
        tugChange !== undefined && tugChange.share === undefined
          ? '; state the running tension to see whether the change matters'
          : ''
      }`,
    });
  }
  if (factor !== undefined)
    findings.push({
      code: 'pair_mismatch',
      severity: 'info',
      message: `inertia and drag changed by one factor, ${factor.factor.toPrecision(4)} (95 %: ${factor.interval95.map((x) => x.toPrecision(4)).join(' to ')}): that is the scale of the torque signal, not mechanics`,
      where: { factor: factor.factor },
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

/** What the inertia says of the cause, and where to look: bearings do not change an inertia, a torque scale does. */
function cause(changes: readonly Change[], factor: CommonFactor | undefined): { says: string; look: string } {
  const mechanics = 'find the cause (bearings, seals, lubrication, temperature)';
  if (factor !== undefined)
    return {
      says: 'inertia and drag changed alike, which points to the torque scale and not to the mechanics',
      look: 'check rated torque, torque constant and torque scaling at both visits',
    };
  switch (changes.find((c) => c.name === 'inertia')?.verdict) {
    case 'unchanged':
      return { says: 'the inertia is the same, so the torque scale is not the reason', look: mechanics };
    case 'changed':
      return {
        says: 'the inertia of a roller does not change by itself',
        look: 'check gear, coupling, what was mounted, and the torque scale',
      };
    default:
      return { says: 'the inertia does not tell whether the torque scale changed', look: mechanics };
  }
}

function said(c: Change): string {
  if (c.ratio === undefined || c.ratio <= 0) return words[c.name];
  const percent = 100 * (c.ratio - 1);
  return `${words[c.name]} by ${percent < 0 ? '−' : '+'}${Math.abs(percent).toPrecision(2)} %`;
}

function tugSentence(tug: TugChange | undefined, curveChanged: boolean): string {
  if (tug === undefined)
    return 'what it makes on the web is not known without drag curves and a roller diameter';
  const most = `up to ${tug.force.toPrecision(3)} N of web tug while the feed-forward stays as it was`;
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
}

interface Measured {
  readonly value: number;
  readonly halfWidth: number;
}

/**
 * The one factor by which inertia, drag in the middle of the speeds and breakaway torque changed, when there is such: the inertia, which
 * mechanics seldom changes, differs with 95 % confidence, so does one of the others, and all ratios agree with their weighted mean (χ² at
 * 95 %). The three are nearly independent, which the terms of the drag law are not. Undefined otherwise. Source: Cochran's Q (from memory).
 */
export function commonFactor(
  changes: readonly Change[],
  drag: readonly [{ torque: number; halfWidth: number }, { torque: number; halfWidth: number }] | undefined,
): CommonFactor | undefined {
  const pairs: (readonly [Measured, Measured])[] = (['inertia', 'breakaway'] as const).flatMap((name) => {
    const c = changes.find((change) => change.name === name);
    const half = ([lo, hi]: readonly [number, number]): number => 0.5 * (hi - lo);
    return c
      ? [
          [
            { value: c.earlier, halfWidth: half(c.earlierInterval95) },
            { value: c.later, halfWidth: half(c.laterInterval95) },
          ] as const,
        ]
      : [];
  });
  if (!changes.some((c) => c.name === 'inertia')) return undefined;
  if (drag !== undefined) {
    const [a, b] = drag;
    pairs.push([
      { value: a.torque, halfWidth: a.halfWidth },
      { value: b.torque, halfWidth: b.halfWidth },
    ]);
  }
  const z = normalQuantile(0.975);
  const rows = pairs.map(([a, b]) => ({
    log: Math.log(b.value / a.value),
    standardError: Math.hypot(a.halfWidth / a.value, b.halfWidth / b.value) / z,
  }));
  if (rows.some((r) => !(r.standardError > 0 && Number.isFinite(r.log)))) return undefined;
  const [inertia, ...others] = rows.map((r) => Math.abs(r.log) > z * r.standardError);
  if (!inertia || !others.includes(true)) return undefined;
  const total = rows.reduce((s, r) => s + r.standardError ** -2, 0);
  const mean = rows.reduce((s, r) => s + r.log / r.standardError ** 2, 0) / total;
  const misfit = rows.reduce((s, r) => s + ((r.log - mean) / r.standardError) ** 2, 0);
  if (misfit > chiSquareQuantile(0.95, rows.length - 1)) return undefined;
  const half = z / Math.sqrt(total);
  return { factor: Math.exp(mean), interval95: [Math.exp(mean - half), Math.exp(mean + half)] };
}

/** Two documents without a common number. */
export const nothingInCommon = (): Finding => ({
  code: 'pair_mismatch',
  severity: 'refuse',
  message: 'the two documents have no parameter and no drag curve in common, so there is nothing to compare',
  where: {},
  next: 'give two identifications of tests without web; notEstimated in each says what its recording lacks',
});
