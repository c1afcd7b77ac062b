import type { Model } from './equation.js';
import { fitRows, termEstimate } from './fit.js';
import type { RampPairInertia } from './identification.js';
import type { DriveSignals } from './signals.js';
import type { Stretch } from './stretch.js';
import type { WindowRow } from './windows.js';

/** Fewer windows of a ramp than this in the speeds that both pass say nothing of it. */
const fewestWindows = 2;
/** Three terms, and some to tell the scatter from. */
const fewestTogether = 6;
/** Share of the shorter ramp's speeds that both must pass. */
const leastOverlap = 0.5;

interface Ramp {
  readonly stretch: number;
  readonly rows: readonly WindowRow[];
  /** Speed magnitudes of its windows, least and greatest [rad/s]. */
  readonly low: number;
  readonly high: number;
}

/**
 * Inertia from pairs of ramps, each by itself: `T = J·dω/dt + s·c0 + c1·ω` over the windows of one ramp up and the nearest ramp down [N·m, kg·m²,
 * rad/s], in the speeds that both pass. Drag opposes both and inertia only one, so no drag law is needed: a straight line does in so small a range.
 * Pairs that agree show that the inertia is one; a pair that does not, where to look. A ramp belongs to one pair at most.
 * Valid for ramps long enough for two windows each; interval from the scatter of the windows (Student's t), systematic parts not in it.
 * Source: derived here from the equation of motion, docs/models/drive.md section 6.
 */
export function rampPairs(
  signals: DriveSignals,
  rows: readonly WindowRow[],
  stretches: readonly Stretch[],
): RampPairInertia[] {
  const pairs: RampPairInertia[] = [];
  for (const direction of [1, -1] as const) {
    const ramps = rampsOf(rows, stretches, direction);
    const isUp = ({ stretch }: Ramp): boolean => direction * (stretches[stretch] as Stretch).slope > 0;
    const down = ramps.filter((r) => !isUp(r));
    const taken = new Set<Ramp>();
    for (const up of ramps.filter(isUp)) {
      const partner = down
        .filter((d) => !taken.has(d) && overlap(up, d) >= leastOverlap)
        .sort((a, b) => Math.abs(a.stretch - up.stretch) - Math.abs(b.stretch - up.stretch))[0];
      const inertia = partner && inertiaOf(signals, up, partner, direction);
      if (partner === undefined || inertia === undefined) continue;
      taken.add(partner);
      pairs.push({ up: up.stretch, down: partner.stretch, direction, inertia });
    }
  }
  return pairs.sort((a, b) => a.up - b.up);
}

function rampsOf(rows: readonly WindowRow[], stretches: readonly Stretch[], direction: 1 | -1): Ramp[] {
  const byStretch = new Map<number, WindowRow[]>();
  for (const row of rows)
    if (row.direction === direction && !row.coasting && stretches[row.stretch]?.kind === 'ramp')
      byStretch.set(row.stretch, [...(byStretch.get(row.stretch) ?? []), row]);
  return [...byStretch].map(([stretch, own]) => {
    const speeds = own.map((r) => Math.abs(r.speed));
    return { stretch, rows: own, low: Math.min(...speeds), high: Math.max(...speeds) };
  });
}

/** Speeds that both ramps pass as a share of those of the shorter one [1]. */
function overlap(a: Ramp, b: Ramp): number {
  const shorter = Math.min(a.high - a.low, b.high - b.low);
  return shorter > 0 ? (Math.min(a.high, b.high) - Math.max(a.low, b.low)) / shorter : 0;
}

function inertiaOf(
  signals: DriveSignals,
  up: Ramp,
  down: Ramp,
  direction: 1 | -1,
): RampPairInertia['inertia'] | undefined {
  const [low, high] = [Math.max(up.low, down.low), Math.min(up.high, down.high)];
  // half a window more at either end: windows of the two do not lie at the same speeds
  const room = 0.5 * Math.max((up.high - up.low) / up.rows.length, (down.high - down.low) / down.rows.length);
  const inBoth = (r: WindowRow): boolean =>
    Math.abs(r.speed) >= low - room && Math.abs(r.speed) <= high + room;
  const [a, b] = [up.rows.filter(inBoth), down.rows.filter(inBoth)];
  if (Math.min(a.length, b.length) < fewestWindows || a.length + b.length < fewestTogether) return undefined;
  const model: Model = {
    terms: [
      { name: 'inertia', direction: 0 },
      { name: 'coulomb', direction: 0 },
      { name: 'viscous', direction: 0 },
    ],
  };
  const fit = fitRows([...a, ...b], model, signals);
  return fit && termEstimate(fit, 'inertia', direction);
}
