import { formatNumber, formatQuantity } from '../../units/format.js';
import type { UnitSystem } from '../../units/quantity.js';
import { largest, smallest } from './band.js';
import { type Interval, isKnown, type RollerTug, type TugCriteria } from './types.js';

/** A roller before its verdict; `best` its reserve at the better end of what is not known. */
export interface Candidate {
  readonly tug: RollerTug;
  readonly best?: number;
}

/** What a zone is judged by. */
export interface ZoneTension {
  /** Lowest tension in the zone [N]; undefined where none is stated. */
  readonly tension?: number;
  readonly heldAt: 'beginning' | 'end';
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
  unstatedAcceleration: boolean,
): RollerTug[] {
  const certain = reasonsOf(candidates, zone, criteria, units, 'certain');
  const possible = reasonsOf(candidates, zone, criteria, units, 'possible');
  return candidates.map(({ tug }): RollerTug => {
    if (tug.carrier === 'helper drive' || tug.reasons.length > 0) return tug;
    const why = certain.get(tug.name) ?? [];
    if (why.length > 0) return { ...tug, verdict: 'needs a helper drive', reasons: why };
    const missing = missingOf(tug, unstatedAcceleration);
    if (missing.length > 0)
      return { ...tug, verdict: 'not known', reasons: [`not known: ${missing.join(', ')}`] };
    const unclear = possible.get(tug.name) ?? [];
    return unclear.length > 0 ? { ...tug, verdict: 'not known', reasons: unclear } : tug;
  });
}

type Sureness = 'certain' | 'possible';

function reasonsOf(
  candidates: readonly Candidate[],
  { tension }: ZoneTension,
  criteria: TugCriteria,
  units: UnitSystem,
  sureness: Sureness,
): Map<string, string[]> {
  const reasons = new Map<string, string[]>();
  const add = (tug: RollerTug, reason: string): void => {
    reasons.set(tug.name, [...(reasons.get(tug.name) ?? []), reason]);
  };
  const carried = candidates.filter((c) => c.tug.carrier === 'web');
  const size = sureness === 'certain' ? smallest : largest;
  const atMost = sureness === 'certain' ? '' : 'up to ';
  for (const { tug, best } of carried) {
    const reserve = sureness === 'certain' ? best : tug.reserve;
    if (reserve !== undefined && reserve < criteria.reserve) add(tug, gripWords(tug, reserve, criteria, sureness));
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
  const moving = (t: RollerTug): Interval | undefined =>
    t.inertia === undefined || t.stopping === undefined || largest(t.inertia) >= largest(t.stopping)
      ? t.inertia
      : t.stopping;
  const stops = carried.some(({ tug }) => moving(tug) === tug.stopping && tug.stopping !== undefined);
  heaviest(
    moving,
    criteria.accelerationShare,
    (sum, own) =>
      `${stops ? 'stopping gives back' : 'speeding up takes'} ${percent(sum)} of the tension in its zone, and ${force(own)} of it is its own`,
  );
  return reasons;
}

/** Why its grip is too small. */
function gripWords(tug: RollerTug, reserve: number, criteria: TugCriteria, sureness: Sureness): string {
  const when = `while the line ${tug.worstWhen === 'running' ? 'runs' : tug.worstWhen === 'stopping' ? 'stops' : 'speeds up'} at top speed`;
  const may = sureness === 'certain' ? '' : 'may ';
  if (reserve >= 1)
    return `${when} the friction that is there ${may === '' ? 'is' : 'may be'} only ${formatNumber(reserve, 3)} times what it needs, below ${criteria.reserve}`;
  const air = tug.friction === 0 ? ', on an air film,' : '';
  return tug.frictionNeeded === undefined
    ? `the web ${may}${may === '' ? 'goes' : 'go'} slack at it ${when}`
    : `the web ${may}${may === '' ? 'slips' : 'slip'} on it ${when}: the friction that is there${air} is ${formatNumber(100 * reserve, 3)} % of what it needs`;
}

/** What a verdict would need and nobody stated or measured. */
const missingOf = (t: RollerTug, unstatedAcceleration: boolean): string[] => [
  ...(t.drag === undefined || !isKnown(t.drag) ? ['drag'] : []),
  ...(unstatedAcceleration
    ? ['acceleration of the line']
    : t.inertia === undefined
      ? ['inertia']
      : []),
  ...(t.tensionBefore === undefined ? ['tension of its zone'] : []),
  ...(t.wrap === undefined ? ['wrap'] : []),
  ...(t.tensionBefore !== undefined && t.wrap !== undefined && t.friction === undefined
    ? ['friction']
    : []),
];
