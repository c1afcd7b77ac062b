import { TautlineError } from '../errors.js';
import { brent } from './root.js';
import { incompleteBeta, incompleteGamma, type Tails } from './specialFunctions.js';

/*
 * Distribution functions and quantiles to 12 digits or better, also far in the tails; degrees of freedom may be any number
 * above 0. Identities with the incomplete gamma and beta functions: any statistics text.
 */

/** Standard normal distribution function. */
export function normalCdf(z: number): number {
  const { lower, upper } = incompleteGamma(0.5, (z * z) / 2);
  return z < 0 ? upper / 2 : 0.5 + lower / 2;
}

/** Quantile of the standard normal distribution; ±Infinity at 0 and 1. @throws TautlineError argument_invalid */
export function normalQuantile(probability: number): number {
  return signedQuantile(probability, (z) => incompleteGamma(0.5, (z * z) / 2));
}

/** Student's t distribution function with `dof` > 0 degrees of freedom. */
export function studentTCdf(t: number, dof: number): number {
  if (dof === Number.POSITIVE_INFINITY) return normalCdf(t);
  const { lower, upper } = centralT(Math.abs(t), dof);
  return t < 0 ? upper / 2 : 0.5 + lower / 2;
}

/** Quantile of Student's t; `dof` > 0, Infinity gives the normal one. @throws TautlineError argument_invalid */
export function studentTQuantile(probability: number, dof: number): number {
  if (dof === Number.POSITIVE_INFINITY) return normalQuantile(probability);
  checkDof(dof);
  return signedQuantile(probability, (t) => centralT(t, dof));
}

/** Distribution function of F with `dof1` and `dof2` degrees of freedom, both > 0 and finite. */
export function fCdf(f: number, dof1: number, dof2: number): number {
  return f <= 0 ? 0 : fTails(f, dof1, dof2).lower;
}

/** Quantile of F. @throws TautlineError argument_invalid */
export function fQuantile(probability: number, dof1: number, dof2: number): number {
  checkDof(dof1);
  checkDof(dof2);
  checkProbability(probability);
  return positiveQuantile(probability, 1 - probability, (f) => fTails(f, dof1, dof2));
}

/** Distribution function of chi-square with `dof` > 0 degrees of freedom. */
export function chiSquareCdf(x: number, dof: number): number {
  return x <= 0 ? 0 : incompleteGamma(dof / 2, x / 2).lower;
}

/** Quantile of chi-square. @throws TautlineError argument_invalid */
export function chiSquareQuantile(probability: number, dof: number): number {
  checkDof(dof);
  checkProbability(probability);
  return positiveQuantile(probability, 1 - probability, (x) => incompleteGamma(dof / 2, x / 2));
}

/** Probability of |T| below and above t >= 0. */
function centralT(t: number, dof: number): Tails {
  const square = t * t;
  if (square === Number.POSITIVE_INFINITY) return { lower: 1, upper: 0 };
  return incompleteBeta(0.5, dof / 2, square / (dof + square), dof / (dof + square));
}

function fTails(f: number, dof1: number, dof2: number): Tails {
  if (f === Number.POSITIVE_INFINITY) return { lower: 1, upper: 0 };
  const product = dof1 * f;
  return incompleteBeta(dof1 / 2, dof2 / 2, product / (product + dof2), dof2 / (product + dof2));
}

/** Quantile of a symmetric distribution from the distribution of its absolute value. */
function signedQuantile(probability: number, tailsOfAbsolute: (x: number) => Tails): number {
  checkProbability(probability);
  if (probability === 0.5) return 0;
  const tail = Math.min(probability, 1 - probability);
  const magnitude = positiveQuantile(Math.abs(2 * probability - 1), 2 * tail, tailsOfAbsolute);
  return probability < 0.5 ? -magnitude : magnitude;
}

/**
 * Quantile of a positive variable, found in ln x on the logarithm of the smaller tail, where the equation is nearly
 * straight far out on either side.
 */
function positiveQuantile(lower: number, upper: number, tails: (x: number) => Tails): number {
  if (lower === 0) return 0;
  if (upper === 0) return Number.POSITIVE_INFINITY;
  const onLower = lower < upper;
  const wanted = Math.log(onLower ? lower : upper);
  // Rises with ln x on either tail.
  const miss = (logX: number): number => {
    const at = tails(Math.exp(logX));
    return onLower ? Math.log(at.lower) - wanted : wanted - Math.log(at.upper);
  };
  const clamp = (value: number): number =>
    Number.isFinite(value) ? value : value > 0 ? Number.MAX_VALUE : -Number.MAX_VALUE;
  const step0 = miss(0) > 0 ? -1 : 1;
  let near = 0;
  let far: number = step0;
  while (miss(far) * step0 < 0) {
    // Beyond the range of doubles the quantile is 0 or infinite for every purpose.
    if (Math.abs(far) > 700) return step0 < 0 ? 0 : Number.POSITIVE_INFINITY;
    near = far;
    far *= 2;
  }
  return Math.exp(brent((u) => clamp(miss(u)), near, far));
}

function checkDof(dof: number): void {
  if (!(dof > 0 && dof < Number.POSITIVE_INFINITY))
    throw new TautlineError(
      'argument_invalid',
      { dof },
      `degrees of freedom of ${dof} are not a finite number above 0`,
      'check that there are more observations than parameters',
    );
}

function checkProbability(probability: number): void {
  if (!(probability >= 0 && probability <= 1))
    throw new TautlineError(
      'argument_invalid',
      { probability },
      `probability ${probability} is not between 0 and 1`,
      'pass a fraction, not a percentage',
    );
}
