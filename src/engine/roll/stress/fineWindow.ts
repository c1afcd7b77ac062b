import { TautlineError } from '../../errors.js';
import { settle, sizeCell, type Winding } from './winding.js';
import type { FineWindow } from './windingInput.js';

/** @throws TautlineError argument_invalid for a window that follows nothing */
export function requireWindow(window: FineWindow | undefined): void {
  if (window === undefined) return;
  const { fine, thinning } = window;
  if (Number.isInteger(fine) && Number.isInteger(thinning) && fine >= 2 && thinning >= 1) return;
  throw new TautlineError(
    'argument_invalid',
    { fine, thinning },
    `no fine window follows the newest ${fine} laps and every ${thinning}th of the older ones`,
    'state whole numbers, at least 2 laps and a thinning of at least 1',
  );
}

/** The most interfaces that are followed at a time [1]. Source: the newest laps, the groups that wait to be thinned, one of each group. */
export const nodesAtMost = (laps: number, { fine, thinning }: FineWindow): number =>
  Math.min(laps, fine + 5 * thinning + Math.ceil(laps / thinning));

/** What was in the roll when laps ceased to be followed, so that only what came on top of it has to be interpolated. */
export interface Thinned {
  /** r·P under each lap when it was last followed [N/m]. */
  readonly load: Float64Array;
  /** Of each group of laps, r·P at that time under the four kept laps that it is interpolated from. */
  readonly around: Float64Array;
}

/** Nothing thinned yet: no load [N/m]. Source: definition. */
export const startThinned = (laps: number, { thinning }: FineWindow): Thinned => ({
  load: new Float64Array(laps),
  around: new Float64Array(4 * Math.ceil(laps / thinning)),
});

/** First of the four kept laps around a group, counted in groups: one before it and one behind it where there is one. */
const firstAround = (group: number): number => Math.max(0, group - 1);

/**
 * Thins what has left the window: once a whole group of `thinning` laps is older than the newest `fine` ones, only its innermost interface is
 * still followed.
 */
export function thin(winding: Winding, { fine, thinning }: FineWindow, thinned: Thinned): void {
  if (thinning === 1) return;
  const { lapAt, radius, pressure, nodes } = winding;
  const newest = lapAt[nodes - 1];
  // A group is due together with the two behind it still followed lap by lap: it is interpolated from them.
  const group = (newest - Math.max(fine, 3 * thinning)) / thinning - 1;
  if (!(group >= 0 && Number.isInteger(group))) return;
  settle(winding);
  const first = group * thinning;
  const at = nodes - 1 - (newest - first);
  const load = (node: number): number => radius[node] * pressure[node];
  for (let k = 1; k < thinning; k++) thinned.load[first + k] = load(at + k);
  for (let k = 0; k < 4; k++) {
    const lap = (firstAround(group) + k) * thinning;
    // Kept laps before this group lie next to each other, later ones a thinning apart.
    thinned.around[4 * group + k] = load(lap < first ? at - (first - lap) / thinning : at + lap - first);
  }
  const after = at + thinning;
  for (const values of [
    lapAt,
    radius,
    pressure,
    winding.width,
    winding.perRadius,
    winding.shape,
    winding.slope,
  ])
    values.copyWithin(at + 1, after, nodes);
  winding.nodes = nodes - thinning + 1;
  sizeCell(winding, at);
  winding.from = Math.min(winding.from, at);
}

/**
 * Pressure under every lap [Pa]: of those that are followed as it is, of the others r·P when they were last followed and what came on top of it,
 * a cubic through the kept laps around. Source: docs/models/wound-roll.md.
 */
export function everyLap(
  { lapAt, radius, pressure, nodes, caliper }: Winding,
  { thinning }: FineWindow,
  { load, around }: Thinned,
  laps: number,
): Float64Array {
  const found = new Float64Array(laps);
  const nodeOf = new Map<number, number>();
  for (let i = 0; i < nodes; i++) {
    found[lapAt[i]] = pressure[i];
    if (lapAt[i] % thinning === 0) nodeOf.set(lapAt[i], i);
  }
  for (let i = 0; i + 1 < nodes; i++) {
    const from = lapAt[i];
    if (lapAt[i + 1] === from + 1) continue;
    const group = from / thinning;
    const start = firstAround(group);
    const added = [0, 1, 2, 3].map((k) => {
      const node = nodeOf.get((start + k) * thinning) as number;
      return radius[node] * pressure[node] - around[4 * group + k];
    });
    for (let k = 1; k < thinning; k++) {
      const u = k / thinning + group - start;
      const onTop =
        ((u - 1) * (u - 2) * (u - 3) * added[0]) / -6 +
        (u * (u - 2) * (u - 3) * added[1]) / 2 +
        (u * (u - 1) * (u - 3) * added[2]) / -2 +
        (u * (u - 1) * (u - 2) * added[3]) / 6;
      found[from + k] = (load[from + k] + onTop) / (radius[0] + (from + k) * caliper);
    }
  }
  return found;
}
