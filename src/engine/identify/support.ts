import type { Drive } from '../line/drive.js';
import type { NotEstimated } from './identification.js';
import type { Scales, Stretch } from './stretch.js';
import type { WindowRow } from './windows.js';

/** What the recording can support in one direction of rotation, and why not more. */
export interface Support {
  /** Plateau speeds [rad/s], magnitudes, neighbours within 3 % of the range taken as one; ascending. */
  readonly levels: readonly number[];
  readonly lowest: number;
  readonly highest: number;
  readonly viscous: boolean;
  readonly quadratic: boolean;
  readonly refused: readonly NotEstimated[];
}

/** Fewest plateau levels for a drag of one, two and three terms: one level more than terms, or the fit cannot be checked. */
const levelsForViscous = 2;
export const levelsForQuadratic = 4;
/** Share of the top speed that must be reached before drag that grows with speed squared may be told from viscous drag. */
const topShare = 0.5;

/** Speeds [rad/s], magnitudes, at which one direction has used plateaus; neighbours within 3 % of the range count once. */
export function plateauLevels(stretches: readonly Stretch[], direction: 1 | -1, range: number): number[] {
  const levels: number[] = [];
  for (const level of stretches
    .filter((s) => s.kind === 'plateau' && s.used && Math.sign(s.level) === direction)
    .map((s) => Math.abs(s.level))
    .sort((a, b) => a - b))
    if (levels.length === 0 || level - levels[levels.length - 1] > 0.03 * range) levels.push(level);
  return levels;
}

/** Decides which drag terms one direction supports. `rows` are the windows of that direction. */
export function dragSupport(
  rows: readonly WindowRow[],
  stretches: readonly Stretch[],
  direction: 1 | -1,
  drive: Drive,
  scales: Scales,
): Support {
  const levels = plateauLevels(stretches, direction, scales.range);
  const speeds = rows.map((r) => Math.abs(r.speed));
  const lowest = Math.min(...speeds);
  const highest = Math.max(...speeds);
  const curve = hasContinuousCoverage(rows, highest);
  const spread = highest > 1.5 * lowest;
  const viscous = spread && (levels.length >= levelsForViscous || curve);
  const top = Math.max(drive.maxMotorSpeed ?? 0, scales.range);
  const reachesTop = highest >= topShare * top;
  const quadratic = viscous && reachesTop && (levels.length >= levelsForQuadratic || curve);
  const refused: NotEstimated[] = [];
  if (!viscous)
    refused.push({
      name: 'viscous',
      why: `the drag was seen at ${levels.length === 1 ? 'one speed' : 'too few speeds'} only`,
      next: 'record plateaus at four or more speeds from 5 % to top speed',
    });
  if (!quadratic)
    refused.push({
      name: 'quadratic',
      why: reachesTop
        ? `${levels.length} plateau speeds cannot tell drag that grows with speed from drag that grows with its square`
        : `the recording reaches ${highest.toPrecision(3)} of ${top.toPrecision(3)} rad/s: drag that grows with speed squared shows at the top`,
      next: 'record plateaus at four or more speeds up to top speed, or a coast-down from top speed',
    });
  return { levels, lowest, highest, viscous, quadratic, refused };
}

/** True when coast-downs, or ramps both up and down, sweep the speeds finely enough to draw the drag curve. */
function hasContinuousCoverage(rows: readonly WindowRow[], highest: number): boolean {
  const bins = 8;
  const seen = { coast: new Set<number>(), up: new Set<number>(), down: new Set<number>() };
  for (const row of rows) {
    const bin = Math.min(bins - 1, Math.floor((bins * Math.abs(row.speed)) / highest));
    if (row.coasting) seen.coast.add(bin);
    else if (row.acceleration * row.direction > 0) seen.up.add(bin);
    else seen.down.add(bin);
  }
  return seen.coast.size >= 5 || (seen.up.size >= 5 && seen.down.size >= 5);
}
