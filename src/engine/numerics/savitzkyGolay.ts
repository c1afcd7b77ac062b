import { TautlineError } from '../errors.js';
import { solveLeastSquares } from './leastSquares.js';

/**
 * Weights that, multiplied with `window` evenly spaced samples and summed, give the polynomial of `degree` fitted to them,
 * or its `derivative`-th derivative, at sample `at` (the middle one by default). `step` is the sample interval; the
 * weights of a derivative have the unit 1/step^derivative.
 * Valid: 0 <= derivative <= degree < window. @throws TautlineError argument_invalid
 * Source: Savitzky and Golay, Analytical Chemistry 36(8), 1964 (from memory).
 */
export function savitzkyGolayWeights(
  window: number,
  degree: number,
  derivative = 0,
  step = 1,
  at = (window - 1) / 2,
): Float64Array {
  if (!(derivative >= 0 && derivative <= degree && degree < window && step > 0))
    throw new TautlineError(
      'argument_invalid',
      { window, degree, derivative, step },
      `no polynomial of degree ${degree} and derivative ${derivative} over ${window} samples of step ${step}`,
      'use a window longer than the degree, and a degree no lower than the derivative',
    );
  // Positions from `at` in units of the half window: powers of them stay of like size.
  const half = Math.max(1, (window - 1) / 2);
  const p = degree + 1;
  const design = new Float64Array(window * p);
  for (let i = 0; i < window; i++) for (let j = 0; j < p; j++) design[i * p + j] = ((i - at) / half) ** j;
  // Row `derivative` of (X'X)^-1·X' picks that coefficient of the fitted polynomial.
  const { unscaledCovariance } = solveLeastSquares(design, window, p, new Float64Array(window));
  let factor = 1 / (half * step) ** derivative;
  for (let k = 2; k <= derivative; k++) factor *= k;
  return Float64Array.from({ length: window }, (_, i) => {
    let sum = 0;
    for (let j = 0; j < p; j++) sum += unscaledCovariance[derivative * p + j] * design[i * p + j];
    return factor * sum;
  });
}

/**
 * Smooth evenly spaced samples, or differentiate them, by a moving polynomial fit; `window` odd. The first and last half
 * window take the polynomial of the first and last whole window. A gap (NaN) spreads to the samples whose window holds it.
 * @throws TautlineError argument_invalid, also for fewer samples than the window.
 */
export function savitzkyGolay(
  x: Float64Array,
  window: number,
  degree: number,
  derivative = 0,
  step = 1,
): Float64Array {
  if (!(window % 2 === 1 && x.length >= window))
    throw new TautlineError(
      'argument_invalid',
      { window, length: x.length },
      `a window of ${window} is not odd, or longer than the ${x.length} samples`,
      'use an odd window within the record',
    );
  const half = (window - 1) / 2;
  const last = x.length - window;
  const middle = savitzkyGolayWeights(window, degree, derivative, step);
  return Float64Array.from({ length: x.length }, (_, i) => {
    const start = Math.min(Math.max(0, i - half), last);
    const weights =
      i - start === half ? middle : savitzkyGolayWeights(window, degree, derivative, step, i - start);
    let sum = 0;
    for (let k = 0; k < window; k++) sum += weights[k] * x[start + k];
    return sum;
  });
}
