import { studentTQuantile } from '../numerics/distributions.js';
import { stribeckDecay } from './equation.js';
import { type Fit, termIndex } from './fit.js';
import type { DriveFit } from './fitDrive.js';
import type { DragPoint } from './identification.js';
import type { Stretch } from './stretch.js';

const curvePoints = 24;

/** Gradient of the drag at speed ω >= 0 [rad/s] with respect to the fit's coefficients, for one direction. */
function dragGradient(fit: Fit, omega: number, direction: 1 | -1): Float64Array {
  const g = new Float64Array(fit.model.terms.length);
  const put = (j: number, value: number): void => {
    if (j >= 0) g[j] = value;
  };
  put(termIndex(fit, 'coulomb', direction), 1);
  put(termIndex(fit, 'viscous', direction), omega);
  put(termIndex(fit, 'quadratic', direction), omega * omega);
  const { stribeck } = fit.model;
  if (stribeck !== undefined) {
    const { share, derivative } = stribeckDecay(stribeck, omega);
    put(termIndex(fit, 'stribeck', direction), share);
    put(termIndex(fit, 'stribeckSpeed', direction), stribeck.excess * derivative);
  }
  return g;
}

/** Fitted drag [N·m] at speed ω >= 0 [rad/s] and half the width of its 95 % interval. */
export function dragAt(fit: Fit, covariance: Float64Array, omega: number, direction: 1 | -1): DragPoint {
  const g = dragGradient(fit, omega, direction);
  const p = g.length;
  let torque = 0;
  let variance = 0;
  for (let i = 0; i < p; i++) {
    torque += g[i] * fit.coefficients[i];
    for (let j = 0; j < p; j++) variance += g[i] * covariance[i * p + j] * g[j];
  }
  const half = studentTQuantile(0.975, fit.degreesOfFreedom) * Math.sqrt(Math.max(0, variance));
  return { speed: omega, torque, halfWidth95: half, from: 'fit' };
}

/**
 * Drag measured on each plateau of a direction: torque less all that is not drag, averaged over the plateau. The band is
 * the larger of its own scatter and the scatter of all plateaus about the fit, since a plateau shares its ripple.
 */
function plateauPoints(fit: Fit, stretches: readonly Stretch[], direction: 1 | -1): DragPoint[] {
  const sums = new Map<
    number,
    { w: number; speed: number; torque: number; residual: number; square: number; n: number }
  >();
  fit.rows.forEach((row, i) => {
    if (row.direction !== direction || row.coasting || stretches[row.stretch].kind !== 'plateau') return;
    let s = sums.get(row.stretch);
    if (s === undefined)
      sums.set(row.stretch, (s = { w: 0, speed: 0, torque: 0, residual: 0, square: 0, n: 0 }));
    // The drag as fitted plus what the fit leaves: offset, ripple and drift are out of it.
    const { torque } = dragAt(fit, fit.covariance, Math.abs(row.speed), direction);
    s.w += row.duration;
    s.speed += row.duration * Math.abs(row.speed);
    s.torque += row.duration * (torque + direction * fit.residuals[i]);
    s.residual += row.duration * fit.residuals[i];
    s.square += row.duration * fit.residuals[i] ** 2;
    s.n++;
  });
  const plateaus = [...sums.entries()].map(([segment, s]) => ({ ...s, segment }));
  if (plateaus.length === 0) return [];
  const between = Math.sqrt(plateaus.reduce((a, s) => a + (s.residual / s.w) ** 2, 0) / plateaus.length);
  const t = studentTQuantile(0.975, fit.degreesOfFreedom);
  const points = plateaus.map((s) => {
    const within = Math.sqrt(Math.max(0, s.square / s.w - (s.residual / s.w) ** 2) / Math.max(1, s.n - 1));
    return {
      speed: s.speed / s.w,
      torque: s.torque / s.w,
      halfWidth95: t * Math.max(within, between),
      from: 'plateau' as const,
      segment: s.segment,
    };
  });
  // A plateau shorter than its own ripple says nothing that the curve does not say better.
  return points.filter((p) => p.halfWidth95 < 0.1 * Math.abs(p.torque));
}

/** Drag over speed of one direction, ascending: the fitted curve within the speeds seen and the plateaus it rests on. */
export function dragCurve(
  result: DriveFit,
  covariance: Float64Array,
  stretches: readonly Stretch[],
  direction: 1 | -1,
): DragPoint[] {
  const { fit } = result;
  const speeds = fit.rows.filter((r) => r.direction === direction).map((r) => Math.abs(r.speed));
  const lowest = Math.min(...speeds);
  const highest = Math.max(...speeds);
  const points = plateauPoints(fit, stretches, direction);
  const hasShape = termIndex(fit, 'viscous', direction) >= 0;
  if (hasShape)
    for (let k = 0; k < curvePoints; k++)
      points.push(dragAt(fit, covariance, lowest + (k / (curvePoints - 1)) * (highest - lowest), direction));
  return points.sort((a, b) => a.speed - b.speed);
}
