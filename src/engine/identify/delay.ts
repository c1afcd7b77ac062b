import { projectedResiduals } from '../numerics/leastSquares.js';
import { designMatrix, dragTerms, type Model } from './equation.js';
import { fitRows } from './fit.js';
import type { DriveSignals } from './signals.js';
import type { Stretch } from './stretch.js';
import { type WindowRow, type WindowSource, windowRows } from './windows.js';

/** How late the torque column is against the speed column [s]; negative: the speed is late. */
export interface DelayEstimate {
  readonly delay: number;
  readonly standardError: number;
  /** True when the data tell the delay from none. */
  readonly significant: boolean;
}

/**
 * The torque as it was `delay` [s] later in the file: undoes a torque column that is late by that much. Linear between
 * samples; NaN beyond the ends and next to gaps.
 */
export function advanced(time: Float64Array, values: Float64Array, delay: number): Float64Array {
  if (delay === 0) return values;
  const out = new Float64Array(values.length).fill(Number.NaN);
  advanceInto(out, time, values, delay, 0, values.length);
  return out;
}

/** {@link advanced} for the samples [start, end) only. */
function advanceInto(
  out: Float64Array,
  time: Float64Array,
  values: Float64Array,
  delay: number,
  start: number,
  end: number,
): void {
  let j = start;
  for (let i = start; i < end; i++) {
    const t = time[i] + delay;
    while (j > 0 && time[j] > t) j--;
    while (j + 1 < time.length && time[j + 1] <= t) j++;
    if (time[j] > t) continue;
    if (time[j] === t) out[i] = values[j];
    else if (j + 1 < time.length)
      out[i] = values[j] + ((t - time[j]) / (time[j + 1] - time[j])) * (values[j + 1] - values[j]);
  }
}

/** Stretches of motion around the corners, where acceleration changes and a delay shows most. */
function cornerSources(
  signals: DriveSignals,
  stretches: readonly Stretch[],
  reach: number,
  length: number,
): WindowSource[] {
  const sources: WindowSource[] = [];
  for (let k = 0; k + 1 < stretches.length; k++) {
    const a = stretches[k];
    const b = stretches[k + 1];
    if (a.kind !== 'ramp' && b.kind !== 'ramp') continue;
    if (a.kind === 'coast' || b.kind === 'coast' || a.kind === 'rest' || b.kind === 'rest') continue;
    const samples = Math.round(reach / signals.interval);
    const start = Math.max(0, b.start - samples);
    const end = Math.min(signals.speed.length, b.start + samples);
    // Half-overlapping windows: two sources, one shifted by half a window.
    const count = Math.max(1, Math.floor((end - start) / length));
    const shift = Math.floor(length / 2);
    sources.push({ start, end, stretch: k, coasting: false, count });
    if (end - start > 2 * length)
      sources.push({ start: start + shift, end: end - shift, stretch: k, coasting: false, count: count - 1 });
  }
  return sources.length <= 200
    ? sources
    : sources.filter((_, i) => i % Math.ceil(sources.length / 200) === 0);
}

/**
 * Delay between torque and speed by the shift that makes the equation of motion hold best around ramp corners. A torque
 * filter of time constant τ shows as a delay of about τ. Undefined when the recording has no ramp corners in motion.
 * Standard error from the curvature of the residual sum of squares. Source: output-error delay scan (general method);
 * the corner selection is ours. Theory: docs/models/drive.md, section 4.
 */
export function estimateDelay(
  signals: DriveSignals,
  stretches: readonly Stretch[],
  lowestSpeed: number,
): DelayEstimate | undefined {
  const { torque, time, interval } = signals;
  if (torque === undefined) return undefined;
  const ramps = stretches.filter((s) => s.kind === 'ramp' && s.used);
  if (ramps.length < 2) return undefined;
  const durations = ramps.map((s) => time[s.end - 1] - time[s.start]).sort((a, b) => a - b);
  const ramp = durations[durations.length >> 1];
  const most = Math.max(3 * interval, Math.min(0.3, 0.3 * ramp));
  const length = Math.max(5, Math.min(40, Math.round(most / (3 * interval))));
  const sources = cornerSources(signals, stretches, Math.max(2 * most, 3 * length * interval), length);
  const bothWays = ramps.some((s) => s.level > 0) && ramps.some((s) => s.level < 0);
  const model: Model = {
    terms: [
      { name: 'inertia', direction: 0 },
      ...dragTerms({ viscous: true, quadratic: false, stribeck: false }, 0),
      ...(bothWays ? [{ name: 'offset', direction: 0 } as const] : []),
    ],
  };
  const moved = new Float64Array(torque.length);
  const rowsAt = (delay: number): WindowRow[] => {
    for (const s of sources) advanceInto(moved, time, torque, delay, s.start, s.end);
    return windowRows(signals, moved, sources, lowestSpeed);
  };
  const perTime = (rss: number, rows: readonly WindowRow[]): { rss: number; n: number } => ({
    rss: rss / rows.reduce((s, r) => s + r.duration, 0),
    n: rows.length,
  });
  // A shift moves the torque only: terms that can be told apart at one delay can be at all.
  const misfit = (delay: number): { rss: number; n: number } | undefined => {
    const rows = rowsAt(delay);
    const [n, p] = [rows.length, model.terms.length];
    if (n <= p) return undefined;
    const left = projectedResiduals(
      designMatrix(rows, model, signals),
      n,
      p,
      Float64Array.from(rows, (r) => r.torque),
      Float64Array.from(rows, (r) => r.duration),
    );
    return perTime(
      left.reduce((sum, r) => sum + r * r, 0),
      rows,
    );
  };
  const step = Math.max(interval / 2, most / 15);
  const count = Math.floor(most / step);
  let best = 0;
  const unmoved = rowsAt(0);
  const fitted = fitRows(unmoved, model, signals);
  if (fitted === undefined || unmoved.length < 12) return undefined;
  const none = perTime(fitted.rss, unmoved);
  let lowest = none.rss;
  const curve = new Map<number, number>([[0, none.rss]]);
  for (let k = -count; k <= count; k++) {
    const m = k === 0 ? none : misfit(k * step);
    if (m === undefined) continue;
    curve.set(k, m.rss);
    if (m.rss < lowest) {
      lowest = m.rss;
      best = k;
    }
  }
  const before = curve.get(best - 1);
  const after = curve.get(best + 1);
  // At the end of the scan there is no minimum: the delay is larger than ramps of this length can show.
  if (before === undefined || after === undefined) return undefined;
  const bend = before - 2 * lowest + after;
  if (!(bend > 0)) return undefined;
  const delay = step * (best + (0.5 * (before - after)) / bend);
  // Half of the windows overlap and residuals are correlated: count a third of them as independent.
  const independent = none.n / 3;
  const floor = lowest - (0.125 * (before - after) ** 2) / bend;
  const standardError = step * Math.sqrt((2 * Math.max(floor, 0)) / (independent * bend));
  const gain = (none.rss - floor) / Math.max(floor, 1e-300);
  const significant =
    gain * independent > 12 && Math.abs(delay) > Math.max(3 * standardError, 0.2 * interval);
  return { delay, standardError, significant };
}
