import type { Drive } from '../line/drive.js';
import { studentTQuantile } from '../numerics/distributions.js';
import type { Term } from './equation.js';
import { type Fit, fitRows } from './fit.js';
import type { DriveSignals } from './signals.js';
import { kernelOf, type WindowRow } from './windows.js';

/** Torque ripple that repeats with every turn of a shaft. */
export interface RippleFit {
  readonly fit: Fit;
  /** Which shaft turns, and the amplitude at the motor [N·m]. */
  readonly ripples: readonly { readonly shaft: 'roller' | 'motor'; readonly amplitude: number }[];
  /** Ripple at the motor [N·m] at a time of the recording [s]: by the angle the shafts then stand at. */
  torqueAt(time: number): number;
}

/** Ripple must explain this share of the weighted residual squares at least, or it is left alone. */
const worthwhile = 0.1;

/** Windows of more turns than this average a ripple to below a thousandth of itself. */
const mostTurns = 40;

/** Angle of a shaft [rad] that turns `ratio` times as fast as the motor; a gap holds the last speed. */
export function shaftAngle(signals: DriveSignals, ratio: number): Float64Array {
  const { time, speed } = signals;
  const angle = new Float64Array(speed.length);
  let last = 0;
  for (let i = 1; i < speed.length; i++) {
    const w = Number.isNaN(speed[i]) || Number.isNaN(speed[i - 1]) ? last : 0.5 * (speed[i] + speed[i - 1]);
    angle[i] = angle[i - 1] + ratio * w * (time[i] - time[i - 1]);
    last = w;
  }
  return angle;
}

/** The rows with the kernel means of sin and cos of each shaft's angle beside them. */
function withRipple(
  signals: DriveSignals,
  rows: readonly WindowRow[],
  ratios: readonly number[],
): WindowRow[] {
  const angles = ratios.map((r) => shaftAngle(signals, r));
  return rows.map((row) => {
    const { mean } = kernelOf(signals, row.start, row.end);
    const ripple: number[] = [];
    for (const angle of angles) {
      let s = 0;
      let c = 0;
      // Over many turns the kernel mean is nothing, and its sine and cosine cost the most.
      if (Math.abs(angle[row.end - 1] - angle[row.start]) > mostTurns * 2 * Math.PI) {
        ripple.push(0, 0);
        continue;
      }
      for (let k = row.start; k < row.end; k++) {
        s += mean[k - row.start] * Math.sin(angle[k]);
        c += mean[k - row.start] * Math.cos(angle[k]);
      }
      ripple.push(s, c);
    }
    return { ...row, ripple };
  });
}

/**
 * Takes once-per-turn ripple of roller and motor out of the drag as a nuisance: slow plateaus hold a part of a turn only,
 * and what is left of the ripple there would count as drag. Undefined when no ripple stands out. One phase for the whole
 * recording, so it needs an unbroken speed; a slipping phase makes it insignificant, not wrong.
 */
export function fitRipple(signals: DriveSignals, fit: Fit, drive: Drive): RippleFit | undefined {
  const shafts = drive.gearRatio === 1 ? (['motor'] as const) : (['roller', 'motor'] as const);
  const rows = withRipple(
    signals,
    fit.rows,
    shafts.map((s) => (s === 'motor' ? 1 : 1 / drive.gearRatio)),
  );
  const terms: Term[] = shafts.flatMap((_, k) => [
    { name: 'ripple', direction: 0, component: 2 * k } as const,
    { name: 'ripple', direction: 0, component: 2 * k + 1 } as const,
  ]);
  const base = fit.model.terms.length;
  const all = fitRows(rows, { ...fit.model, terms: [...fit.model.terms, ...terms] }, signals);
  if (all === undefined) return undefined;
  const kept: Term[] = [];
  const ripples: { shaft: 'roller' | 'motor'; amplitude: number }[] = [];
  const limit = studentTQuantile(0.9995, all.degreesOfFreedom);
  shafts.forEach((shaft, k) => {
    const p = all.model.terms.length;
    const [i, j] = [base + 2 * k, base + 2 * k + 1];
    const z = Math.hypot(
      all.coefficients[i] / Math.sqrt(all.covariance[i * p + i]),
      all.coefficients[j] / Math.sqrt(all.covariance[j * p + j]),
    );
    if (!(z > limit)) return;
    kept.push(terms[2 * k], terms[2 * k + 1]);
    ripples.push({ shaft, amplitude: Math.hypot(all.coefficients[i], all.coefficients[j]) });
  });
  if (kept.length === 0) return undefined;
  const final = fitRows(rows, { ...fit.model, terms: [...fit.model.terms, ...kept] }, signals);
  if (final === undefined || final.rss > (1 - worthwhile) * fit.rss) return undefined;
  const parts = kept.map((term, k) => ({
    coefficient: final.coefficients[base + k],
    angle: shaftAngle(signals, shafts[(term.component ?? 0) >> 1] === 'motor' ? 1 : 1 / drive.gearRatio),
    isSine: (term.component ?? 0) % 2 === 0,
  }));
  return {
    fit: final,
    ripples,
    torqueAt: (time) =>
      parts.reduce((sum, { coefficient, angle, isSine }) => {
        const theta = valueAt(signals.time, angle, time);
        return sum + coefficient * (isSine ? Math.sin(theta) : Math.cos(theta));
      }, 0),
  };
}

/** Value of a sampled signal at a time, straight between samples and held beyond them. */
export function valueAt(time: Float64Array, values: Float64Array, at: number): number {
  let low = 0;
  let high = time.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (time[middle] <= at) low = middle;
    else high = middle;
  }
  const share = Math.max(0, Math.min(1, (at - time[low]) / (time[high] - time[low])));
  return values[low] + share * (values[high] - values[low]);
}
