import type { Where } from '../errors.js';
import type { Finding, Severity } from '../findings.js';
import type { Drive } from '../line/drive.js';
import { chiSquareQuantile, normalQuantile } from '../numerics/distributions.js';
import type { DirectionComparison, TugChange, Visit } from './compare.js';
import { dragWithBand } from './compareDrag.js';
import { type Measured, ratioInterval95 } from './equality.js';
import { fittedDrag, halfWidthOf } from './fittedDrag.js';
import type { Identification, ParameterName } from './identification.js';

const words: Record<ParameterName, string> = {
  inertia: 'inertia',
  coulomb: 'Coulomb drag',
  viscous: 'viscous drag',
  quadratic: 'quadratic drag',
  stribeck: 'Stribeck excess',
  stribeckSpeed: 'Stribeck speed',
  breakaway: 'breakaway torque',
  offset: 'torque offset',
};

const percent = (share: number): string => `${(100 * share).toPrecision(2).replace(/\.0$/, '')} %`;
const list = (items: readonly string[]): string => items.join(', ');

interface Changes {
  readonly forward: DirectionComparison;
  readonly reverse?: DirectionComparison;
  readonly tugChange?: TugChange;
  readonly parameterTolerance: number;
}

/** `pair_change` when anything changed, with what the pattern of the changes points to. */
export function changeFindings(c: Changes, a: Identification, b: Identification): Finding[] {
  const changed: string[] = [];
  for (const [side, suffix] of [[c.forward, ''] as const, [c.reverse, ' in reverse'] as const]) {
    for (const p of side?.changes ?? [])
      if (p.verdict === 'changed')
        changed.push(
          `${words[p.name]}${suffix}${p.ratio === undefined ? '' : ` ×${p.ratio.toPrecision(3)}`}`,
        );
    if (side?.drag?.verdict === 'changed') changed.push(`drag curve${suffix}`);
  }
  if (changed.length === 0) return [];
  const { tugChange } = c;
  const tug =
    tugChange === undefined
      ? ''
      : `; the web feels up to ${tugChange.force.toPrecision(3)} N of it${tugChange.share === undefined ? '' : ` (${percent(tugChange.share)} of the running tension)`}`;
  const pattern = changePattern(c, a, b);
  return [
    {
      code: 'pair_change',
      severity: 'warn',
      message: `changed beyond ${percent(c.parameterTolerance)} and their uncertainty: ${list(changed)}${tug}. ${pattern.message}`,
      where: { changed },
      next: pattern.next,
    },
  ];
}

/** What the ratios of inertia, drag and breakaway have in common: a torque scale moves all alike, mechanics do not. */
function changePattern(c: Changes, a: Identification, b: Identification): { message: string; next: string } {
  const inertia = c.forward.changes.find((p) => p.name === 'inertia');
  if (inertia === undefined)
    return {
      message: 'Without the inertia of both, a wrong torque scale cannot be told from a change of the drag',
      next: 'check that torque scale and rated torque were the same at both visits, then look for the mechanical cause',
    };
  const factor = commonFactor(c, a, b);
  if (factor !== undefined)
    return {
      message: `Inertia and drag changed by one factor, ${factor.toPrecision(3)}: this points to the torque scale (rated torque, torque constant, unit), not to the mechanics`,
      next: 'compare the torque scale of both recordings and the rated torque in both drive files before touching the roller',
    };
  if (inertia.verdict === 'changed')
    return {
      message: 'The inertia of a roller does not change by itself',
      next: 'check gear ratio, coupling and what was mounted on the shaft at both visits',
    };
  return {
    message:
      inertia.verdict === 'unchanged'
        ? 'The inertia is the same, so the torque scale is not the reason'
        : 'Whether the torque scale changed cannot be told from the inertia',
    next: 'look for the mechanical cause (bearing, seal, lubricant, temperature), or take the later values into the drive when the change was meant',
  };
}

/**
 * The factor by which inertia, mid-speed drag and breakaway changed together: the weighted mean of their logarithms, when the inertia and one of
 * the others are told from 1 and a chi-square test of homogeneity does not part them. Source: Cochran's Q (from memory).
 */
function commonFactor(c: Changes, a: Identification, b: Identification): number | undefined {
  const pairs: (readonly [Measured, Measured])[] = [];
  for (const name of ['inertia', 'breakaway'] as const) {
    const [x, y] = [a.estimates[name], b.estimates[name]];
    if (x && y)
      pairs.push([
        { value: x.value, halfWidth95: halfWidthOf(x) },
        { value: y.value, halfWidth95: halfWidthOf(y) },
      ]);
  }
  const points = c.forward.drag?.points;
  const middle = points?.[points.length >> 1]?.speed;
  const [dragA, dragB] = [fittedDrag(a, 'forward'), fittedDrag(b, 'forward')];
  if (middle !== undefined && dragA && dragB) {
    const [x, y] = [dragWithBand(dragA, middle), dragWithBand(dragB, middle)];
    if (x && y) pairs.push([x, y]);
  }
  const told = pairs.map(([x, y]) => {
    const interval = ratioInterval95(x, y);
    return interval !== undefined && (interval[0] > 1 || interval[1] < 1);
  });
  if (!told[0] || !told.slice(1).some(Boolean) || pairs.some(([x, y]) => !(x.value > 0 && y.value > 0)))
    return undefined;
  const k = normalQuantile(0.975);
  const logs = pairs.map(([x, y]) => ({
    log: Math.log(y.value / x.value),
    weight: k ** 2 / ((x.halfWidth95 / x.value) ** 2 + (y.halfWidth95 / y.value) ** 2),
  }));
  const total = logs.reduce((s, l) => s + l.weight, 0);
  const mean = logs.reduce((s, l) => s + l.weight * l.log, 0) / total;
  const heterogeneity = logs.reduce((s, l) => s + l.weight * (l.log - mean) ** 2, 0);
  return heterogeneity <= chiSquareQuantile(0.95, logs.length - 1) ? Math.exp(mean) : undefined;
}

const mismatch = (severity: Severity, message: string, where: Where, next: string): Finding => ({
  code: 'pair_mismatch',
  severity,
  message,
  where,
  next,
});

/** `pair_mismatch` when the two are not a pair: another drive, gear, roller or torque scale, one recording twice, nothing in common. */
export function mismatchFindings(earlier: Visit, later: Visit, tolerance: number): Finding[] {
  const out: Finding[] = [];
  const differences = driveDifferences(earlier.drive, later.drive);
  if (differences.length > 0)
    out.push(
      mismatch(
        'warn',
        `the two are not of the same drive, gear and roller: ${list(differences)}`,
        { differences },
        'check that the right two documents were given; when gear or roller were exchanged, a comparison at the motor says little of the rest',
      ),
    );
  const [a, b] = [earlier.identification, later.identification];
  if (a.inputs.sha256 === b.inputs.sha256)
    out.push(
      mismatch(
        'warn',
        `both come from the same recording, ${b.inputs.file}: a comparison cannot find a change of the drive`,
        { file: b.inputs.file },
        'give the identifications of two visits',
      ),
    );
  const [x, y] = [a.estimates, b.estimates];
  const split = x.offset ?? y.offset;
  const coulomb = (x.offset ? x : y).coulomb;
  if (split && coulomb && x.coulomb && y.coulomb && (x.offset === undefined) !== (y.offset === undefined))
    if (Math.abs(split.value) + halfWidthOf(split) > tolerance * Math.abs(coulomb.value))
      out.push(
        mismatch(
          'warn',
          `the ${x.offset ? 'later' : 'earlier'} recording does not part the torque offset from the Coulomb drag and the other does (offset ${split.value.toPrecision(2)} N·m), so the two Coulomb values are not alike`,
          { offset_Nm: Number(split.value.toPrecision(6)) },
          'record both directions, or a coast-down, at both visits',
        ),
      );
  const common = (Object.keys(x) as ParameterName[]).some((n) => x[n] && y[n]);
  if (!common)
    out.push(
      mismatch(
        'refuse',
        'no parameter is stated in both documents, so there is nothing to compare',
        {},
        'give two identifications of designed tests; their notEstimated says what each recording lacks',
      ),
    );
  return out;
}

/** Typed numbers count as equal to one part in a thousand; what only one of the two states is no difference. */
function driveDifferences(a: Drive, b: Drive): string[] {
  const out: string[] = [];
  const text = (label: string, x: string, y: string): void => {
    if (x !== y) out.push(`${label} "${x}" against "${y}"`);
  };
  const number = (
    label: string,
    x: number | undefined,
    y: number | undefined,
    unit: string,
    times = 1,
  ): void => {
    if (x !== undefined && y !== undefined && Math.abs(x - y) > 1e-3 * Math.abs(x))
      out.push(`${label} ${(times * x).toPrecision(4)} against ${(times * y).toPrecision(4)}${unit}`);
  };
  text('drive', a.name, b.name);
  text('element', a.element, b.element);
  number('gear ratio', a.gearRatio, b.gearRatio, '');
  number('roller diameter', a.rollerRadius, b.rollerRadius, ' m', 2);
  number('core diameter', a.coreRadius, b.coreRadius, ' m', 2);
  number('rated torque', a.ratedTorque, b.ratedTorque, ' N·m');
  number('torque constant', a.torqueConstant, b.torqueConstant, ' N·m/A');
  return out;
}
