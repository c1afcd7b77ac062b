import { formatNumber, formatQuantity } from '../../units/format.js';
import type { UnitSystem } from '../../units/quantity.js';
import { largest, nearestToNothing } from './band.js';
import { type Interval, isKnown, type RollerTug, type TugCriteria } from './types.js';

/** A roller before its verdict. */
export interface Candidate {
  readonly tug: RollerTug;
  /** Its reserve at the worse and the better end of what is not known. */
  readonly reserve?: Interval;
}

/** What a zone is judged by. */
export interface ZoneTension {
  /** Lowest tension that is held in the zone [N]; undefined where none is stated. */
  readonly tension?: number;
  /** True where the line stops harder than it speeds up. */
  readonly stops: boolean;
}

/**
 * Marks the rollers that need a drive: those that slip, and the heaviest of a zone that asks too much as a whole. A limit that is passed only at the
 * far end of a band makes the roller not known, not in need. Source: docs/models/tug-budget.md.
 */
export function judge(
  candidates: readonly Candidate[],
  zone: ZoneTension,
  criteria: TugCriteria,
  units: UnitSystem,
  isAccelerationStated: boolean,
): RollerTug[] {
  const certain = reasonsOf(candidates, zone, criteria, units, 'certain');
  const possible = reasonsOf(candidates, zone, criteria, units, 'possible');
  return candidates.map(({ tug }): RollerTug => {
    if (tug.carrier === 'helper drive' || tug.reasons.length > 0) return tug;
    const why = certain.get(tug.name) ?? [];
    if (why.length > 0) return { ...tug, verdict: 'needs a helper drive', reasons: why };
    const missing = missingOf(tug, zone.tension !== undefined, isAccelerationStated);
    if (missing.length > 0)
      return { ...tug, missing, verdict: 'not known', reasons: [`not known: ${missing.join(', ')}`] };
    const unclear = possible.get(tug.name) ?? [];
    return unclear.length > 0 ? { ...tug, verdict: 'not known', reasons: unclear } : tug;
  });
}

type Sureness = 'certain' | 'possible';

function reasonsOf(
  candidates: readonly Candidate[],
  { tension, stops }: ZoneTension,
  criteria: TugCriteria,
  units: UnitSystem,
  sureness: Sureness,
): Map<string, string[]> {
  const reasons = new Map<string, string[]>();
  const add = (tug: RollerTug, reason: string): void => {
    reasons.set(tug.name, [...(reasons.get(tug.name) ?? []), reason]);
  };
  const carried = candidates.filter((c) => c.tug.carrier === 'web');
  const size = (of: Interval): number =>
    sureness === 'certain' ? Math.abs(nearestToNothing(of)) : largest(of);
  const atMost = sureness === 'certain' ? '' : 'up to ';
  for (const { tug, reserve } of carried) {
    const held = sureness === 'certain' ? reserve?.high : reserve?.low;
    if (held !== undefined && held < criteria.reserve) add(tug, gripWords(tug, held, criteria, sureness));
  }
  if (tension === undefined) return reasons;
  const force = (x: number): string => formatQuantity(x, 'tension', units, 3);
  const heaviest = (
    of: (tug: RollerTug) => Interval | undefined,
    share: number,
    words: (sum: number, own: number) => string,
  ): void => {
    const sizes = carried
      .map(({ tug }) => ({ tug, own: size(of(tug) ?? { low: 0, high: 0 }) }))
      // Of a roller that is not known nothing is said here: it is not known anyway.
      .filter(({ own }) => own > 0 && Number.isFinite(own))
      .sort((a, b) => b.own - a.own);
    const whole = sizes.reduce((sum, { own }) => sum + own, 0);
    let left = whole;
    for (const { tug, own } of sizes) {
      if (left <= share * tension) break;
      add(tug, words(whole, own));
      left -= own;
    }
  };
  const percent = (x: number): string => `${formatNumber((100 * x) / tension, 3)} %`;
  heaviest(
    (t) => t.drag,
    criteria.dragShare,
    (sum, own) =>
      `drag in its zone takes ${atMost}${percent(sum)} of the tension, and ${atMost}${force(own)} of it is its own`,
  );
  heaviest(
    (t) => (stops ? t.stopping : t.inertia),
    criteria.accelerationShare,
    (sum, own) =>
      `${stops ? 'stopping gives back' : 'speeding up takes'} ${percent(sum)} of the tension in its zone, and ${force(own)} of it is its own`,
  );
  return reasons;
}

/** Why its grip is too small. */
function gripWords(tug: RollerTug, reserve: number, criteria: TugCriteria, sureness: Sureness): string {
  const doing = { running: 'runs', 'speeding up': 'speeds up', stopping: 'stops' }[
    tug.worstWhen ?? 'running'
  ];
  const when = `while the line ${doing} at top speed`;
  const verb = (is: string, mayBe: string): string => (sureness === 'certain' ? is : mayBe);
  if (reserve >= 1)
    return `${when} the friction that is there ${verb('is', 'may be')} only ${formatNumber(reserve, 3)} times what it needs, below ${criteria.reserve}`;
  if (reserve === 0 && tug.friction !== 0) return `the web ${verb('goes', 'may go')} slack at it ${when}`;
  const air = tug.friction === 0 ? ', on an air film,' : '';
  return `the web ${verb('slips', 'may slip')} on it ${when}: the friction that is there${air} is ${formatNumber(100 * reserve, 3)} % of what it needs`;
}

/** What a verdict would need and nobody stated or measured. */
function missingOf(t: RollerTug, hasTension: boolean, isAccelerationStated: boolean): string[] {
  const isPlaced = t.tensionBefore !== undefined && t.wrap !== undefined;
  const missing = [
    ...(t.drag === undefined || !isKnown(t.drag) ? ['drag'] : []),
    ...(!isAccelerationStated ? ['acceleration of the line'] : t.inertia === undefined ? ['inertia'] : []),
    ...(t.tensionBefore !== undefined
      ? []
      : hasTension
        ? ['tension before it, since a roller of its zone is not known']
        : ['tension of its zone']),
    ...(t.wrap === undefined ? ['wrap'] : []),
    ...(isPlaced && t.friction === undefined ? ['friction'] : []),
  ];
  return missing.length === 0 && t.reserve === undefined
    ? ['tension before it while the speed changes, since an inertia in its zone is not known']
    : missing;
}
