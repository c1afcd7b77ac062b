import { advanced } from './delay.js';
import { type Fit, fitRows } from './fit.js';
import { type FitContext, observations } from './observations.js';

/**
 * Covariance of the coefficients with what repetition would not show added: the fit is repeated with the torque moved by
 * the uncertainty of the delay, with half as many windows and with wider cuts at the corners, and each change of the
 * coefficients counts as one standard deviation. p x p, row-major. Source: type B evaluation in the sense of JCGM 100
 * (from memory); the choice of variations is ours.
 */
export function covarianceWithSystematic(context: FitContext, fit: Fit, delayError: number): Float64Array {
  const p = fit.coefficients.length;
  const covariance = Float64Array.from(fit.covariance);
  const addChange = (varied: Fit | undefined, weight: number): void => {
    if (varied === undefined) return;
    for (let i = 0; i < p; i++)
      for (let j = 0; j < p; j++)
        covariance[i * p + j] +=
          weight *
          (varied.coefficients[i] - fit.coefficients[i]) *
          (varied.coefficients[j] - fit.coefficients[j]);
  };
  const { signals, torque, stretches, scales, cutting } = context;
  const again = (column: Float64Array | undefined, cut: typeof cutting): Fit | undefined =>
    fitRows(observations(signals, column, stretches, scales, cut), fit.model, signals);
  if (torque !== undefined && delayError > 0)
    addChange(again(advanced(signals.time, torque, delayError), cutting), 1);
  addChange(again(torque, { ...cutting, fineness: 0.5 * cutting.fineness }), 0.25);
  addChange(again(torque, { ...cutting, trim: 2 * cutting.trim }), 0.25);
  return covariance;
}
