import { advanced } from './delay.js';
import { type Fit, fitRows } from './fit.js';
import { type FitContext, observations } from './observations.js';

/**
 * Covariance that repetition would not show, to be added to that of the coefficients: the fit is repeated with the torque
 * moved by the uncertainty of the delay, with half as many windows and with wider cuts at the corners. The first change
 * counts as one standard deviation, the others as half of one. p x p, row-major. Source: type B evaluation in the sense
 * of JCGM 100 (from memory); the choice of variations is ours.
 */
export function systematicCovariance(context: FitContext, fit: Fit, delayError: number): Float64Array {
  const p = fit.coefficients.length;
  const added = new Float64Array(p * p);
  const addChange = (varied: Fit | undefined, weight: number): void => {
    if (varied === undefined) return;
    const change = varied.coefficients.map((c, i) => c - fit.coefficients[i]);
    for (let i = 0; i < p; i++)
      for (let j = 0; j < p; j++) added[i * p + j] += weight * change[i] * change[j];
  };
  const { signals, torque, stretches, scales, cutting } = context;
  const again = (column: Float64Array | undefined, cut: typeof cutting): Fit | undefined =>
    fitRows(observations(signals, column, stretches, scales, cut), fit.model, signals);
  if (torque !== undefined && delayError > 0)
    addChange(again(advanced(signals.time, torque, delayError), cutting), 1);
  addChange(again(torque, { ...cutting, fineness: 0.5 * cutting.fineness }), 0.25);
  addChange(again(torque, { ...cutting, trim: 2 * cutting.trim }), 0.25);
  return added;
}

/** The fit with a covariance added to its leading terms. */
export function withAddedCovariance(fit: Fit, added: Float64Array): Fit {
  const p = fit.coefficients.length;
  const q = Math.sqrt(added.length);
  const covariance = Float64Array.from(fit.covariance);
  for (let i = 0; i < q; i++) for (let j = 0; j < q; j++) covariance[i * p + j] += added[i * q + j];
  return { ...fit, covariance };
}
