import { stribeckDecay } from './equation.js';
import { type Fit, termIndex } from './fit.js';
import type { FitTrace } from './identification.js';
import type { DriveSignals } from './signals.js';
import type { Stretch } from './stretch.js';

const mostPoints = 3000;

/**
 * Measured and modelled torque over time, thinned by averaging: for plots only. The acceleration is the slope over a few
 * points, so the model is shown only where those points lie within one stretch that the fit used.
 */
export function fitTrace(
  signals: DriveSignals,
  torque: Float64Array | undefined,
  fit: Fit,
  stretches: readonly Stretch[],
): FitTrace {
  const size = Math.max(1, Math.ceil(signals.speed.length / mostPoints));
  const n = Math.floor(signals.speed.length / size);
  const time = new Float64Array(n);
  const speed = new Float64Array(n);
  const mean = new Float64Array(n).fill(Number.NaN);
  for (let c = 0; c < n; c++) {
    let t = 0;
    let w = 0;
    let m = 0;
    for (let i = c * size; i < (c + 1) * size; i++) {
      t += signals.time[i] / size;
      w += signals.speed[i] / size;
      if (torque !== undefined) m += torque[i] / size;
    }
    time[c] = t;
    speed[c] = w;
    if (torque !== undefined) mean[c] = m;
  }
  const fitted = new Float64Array(n).fill(Number.NaN);
  const reach = 3;
  const slowest = Math.min(...fit.rows.map((r) => Math.abs(r.speed)));
  const value = (name: Parameters<typeof termIndex>[1], direction: 1 | -1): number => {
    const j = termIndex(fit, name, direction);
    return j < 0 ? 0 : fit.coefficients[j];
  };
  const inside = insideOneStretch(stretches, n, size, reach);
  for (let c = reach; c + reach < n; c++) {
    if (inside[c] === 0) continue;
    const w = speed[c];
    if (!(Math.abs(w) >= 0.8 * slowest)) continue;
    const direction = w > 0 ? 1 : -1;
    const a = (speed[c + reach] - speed[c - reach]) / (time[c + reach] - time[c - reach]);
    const decay = fit.model.stribeck === undefined ? 0 : stribeckDecay(fit.model.stribeck, Math.abs(w)).share;
    fitted[c] =
      value('inertia', direction) * a +
      direction * (value('coulomb', direction) + decay * value('stribeck', direction)) +
      value('viscous', direction) * w +
      value('quadratic', direction) * w * Math.abs(w) +
      value('offset', direction);
  }
  return { time, speed, torque: mean, torqueFitted: fitted };
}

/** 1 for every point whose `reach` neighbours on both sides lie within the same used stretch. */
function insideOneStretch(
  stretches: readonly Stretch[],
  points: number,
  size: number,
  reach: number,
): Uint8Array {
  const inside = new Uint8Array(points);
  for (const s of stretches) {
    if (!s.used || s.kind === 'breakaway') continue;
    const from = Math.ceil(s.start / size) + reach;
    const to = Math.floor(s.end / size) - reach;
    if (to > from) inside.fill(1, from, Math.min(points, to));
  }
  return inside;
}
