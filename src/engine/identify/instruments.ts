import { solveLeastSquares } from '../numerics/leastSquares.js';
import { designMatrix } from './equation.js';
import { type Fit, termIndex } from './fit.js';
import type { DriveSignals } from './signals.js';
import { kernelOf, type WindowRow } from './windows.js';

/** What instruments from the speed reference say about the least-squares fit. */
export interface InstrumentCheck {
  /** Inertia by instruments over inertia by least squares, less one. */
  readonly inertiaChange: number;
  /** The change in standard deviations of itself. */
  readonly score: number;
  /** The fit by instruments. */
  readonly fit: Fit;
}

/** The window as the reference would have it; a coast-down has no reference and stands for itself. */
function referenceRow(signals: DriveSignals, reference: Float64Array, row: WindowRow): WindowRow {
  if (row.coasting) return row;
  const kernel = kernelOf(signals, row.start, row.end);
  let acceleration = 0;
  let speed = 0;
  let speedSquared = 0;
  for (let k = row.start; k < row.end; k++) {
    const w = reference[k];
    acceleration += kernel.slope[k - row.start] * w;
    speed += kernel.mean[k - row.start] * w;
    speedSquared += kernel.mean[k - row.start] * w * Math.abs(w);
  }
  return { ...row, acceleration, speed, speedSquared };
}

/**
 * Under a speed loop the drive's torque reacts to noise in its own speed signal, so noise is in both sides of the equation
 * and least squares drifts. The speed reference is free of that noise: with it as instrument, θ = (Z'WX)⁻¹Z'Wy, and the
 * difference to least squares tells the bias. Its variance is summed over stretches from the difference of the two
 * influence functions, so it allows for correlated residuals. Undefined without a usable reference.
 * Source: instrumental variables and the Durbin-Wu-Hausman comparison (textbook, from memory).
 */
export function checkInstruments(signals: DriveSignals, fit: Fit): InstrumentCheck | undefined {
  const { reference } = signals;
  const inertia = termIndex(fit, 'inertia', fit.rows[0].direction);
  if (reference === undefined || inertia < 0) return undefined;
  const rows = fit.rows.map((row) => referenceRow(signals, reference, row));
  if (rows.some((r) => Number.isNaN(r.acceleration + r.speed))) return undefined;
  const p = fit.model.terms.length;
  const x = designMatrix(fit.rows, fit.model, signals);
  const z = designMatrix(rows, fit.model, signals);
  const zx = new Float64Array(p * p);
  const zy = new Float64Array(p);
  const xx = new Float64Array(p * p);
  fit.rows.forEach((row, i) => {
    for (let j = 0; j < p; j++) {
      zy[j] += row.duration * z[i * p + j] * row.torque;
      for (let k = 0; k < p; k++) {
        zx[j * p + k] += row.duration * z[i * p + j] * x[i * p + k];
        xx[j * p + k] += row.duration * x[i * p + j] * x[i * p + k];
      }
    }
  });
  const solved = solveLeastSquares(zx, p, p, zy);
  if (solved.rank < p) return undefined;
  const { coefficients } = solved;
  const residuals = Float64Array.from(fit.rows, (row, i) => {
    let r = row.torque;
    for (let j = 0; j < p; j++) r -= x[i * p + j] * coefficients[j];
    return r;
  });
  const clusters = new Map<number, { iv: Float64Array; ls: Float64Array }>();
  fit.rows.forEach((row, i) => {
    let c = clusters.get(row.stretch);
    if (c === undefined)
      clusters.set(row.stretch, (c = { iv: new Float64Array(p), ls: new Float64Array(p) }));
    for (let j = 0; j < p; j++) {
      c.iv[j] += row.duration * z[i * p + j] * residuals[i];
      c.ls[j] += row.duration * x[i * p + j] * fit.residuals[i];
    }
  });
  const covariance = new Float64Array(p * p);
  let varianceOfChange = 0;
  for (const c of clusters.values()) {
    const iv = solveLeastSquares(zx, p, p, c.iv).coefficients;
    const ls = solveLeastSquares(xx, p, p, c.ls).coefficients;
    varianceOfChange += (iv[inertia] - ls[inertia]) ** 2;
    for (let j = 0; j < p; j++) for (let k = 0; k < p; k++) covariance[j * p + k] += iv[j] * iv[k];
  }
  const change = coefficients[inertia] - fit.coefficients[inertia];
  // The larger of the two covariances: instruments never make an interval shorter.
  for (let j = 0; j < p; j++) {
    const scale = Math.sqrt(Math.max(1, fit.covariance[j * p + j] / covariance[j * p + j]));
    for (let k = 0; k < p; k++) {
      covariance[j * p + k] *= scale;
      covariance[k * p + j] *= scale;
    }
  }
  return {
    inertiaChange: change / fit.coefficients[inertia],
    score: change / Math.sqrt(varianceOfChange),
    fit: {
      ...fit,
      coefficients,
      covariance,
      residuals,
      rss: fit.rows.reduce((s, r, i) => s + r.duration * residuals[i] ** 2, 0),
    },
  };
}
