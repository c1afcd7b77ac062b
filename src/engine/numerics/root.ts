import { TautlineError } from '../errors.js';

/**
 * Root of a continuous function between two points of opposite sign, by Brent's method: inverse quadratic and secant
 * steps where they help, bisection where they do not. Never leaves the bracket.
 * `tolerance`: absolute error allowed in x; 0 asks for the last digit.
 * @throws TautlineError argument_invalid when f has the same sign at both ends or is NaN there.
 * Source: Brent, Algorithms for Minimization without Derivatives, 1973, chapter 4 (from memory).
 */
export function brent(f: (x: number) => number, from: number, to: number, tolerance = 0): number {
  let [a, b] = [from, to];
  let [fa, fb] = [f(a), f(b)];
  if (fa === 0) return a;
  if (fb === 0) return b;
  if (!(fa < 0 !== fb < 0) || Number.isNaN(fa + fb))
    throw new TautlineError(
      'argument_invalid',
      { from, to, atFrom: fa, atTo: fb },
      `no change of sign between ${from} (${fa}) and ${to} (${fb})`,
      'widen the interval, or check that a solution exists',
    );
  let [c, fc] = [a, fa];
  let step = b - a;
  let lastStep = step;
  for (let iteration = 0; iteration < 300; iteration++) {
    if (fb < 0 === fc < 0) {
      [c, fc] = [a, fa];
      step = lastStep = b - a;
    }
    if (Math.abs(fc) < Math.abs(fb)) {
      [a, b, c] = [b, c, b];
      [fa, fb, fc] = [fb, fc, fb];
    }
    const smallest = 2 * Number.EPSILON * Math.abs(b) + tolerance / 2;
    const half = (c - b) / 2;
    if (Math.abs(half) <= smallest || fb === 0) return b;
    let bisect = true;
    if (Math.abs(lastStep) >= smallest && Math.abs(fa) > Math.abs(fb)) {
      const s = fb / fa;
      let p: number;
      let q: number;
      if (a === c) {
        p = 2 * half * s;
        q = 1 - s;
      } else {
        const u = fa / fc;
        const v = fb / fc;
        p = s * (2 * half * u * (u - v) - (b - a) * (v - 1));
        q = (u - 1) * (v - 1) * (s - 1);
      }
      if (p > 0) q = -q;
      p = Math.abs(p);
      if (2 * p < Math.min(3 * half * q - Math.abs(smallest * q), Math.abs(lastStep * q))) {
        lastStep = step;
        step = p / q;
        bisect = false;
      }
    }
    if (bisect) step = lastStep = half;
    [a, fa] = [b, fb];
    b += Math.abs(step) > smallest ? step : half > 0 ? smallest : -smallest;
    fb = f(b);
  }
  return b;
}
