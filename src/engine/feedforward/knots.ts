import { TautlineError } from '../errors.js';

/** More knots than this no drive's table takes; a tolerance that asks for them is a slip. */
const mostKnots = 256;
/** Places per piece at which its error is looked for; for a parabola the middle, which is among them, is the worst. */
const looksPerPiece = 64;

/** Largest |f - chord| over one piece from a to b. */
function pieceError(f: (x: number) => number, a: number, b: number): number {
  const fa = f(a);
  const slope = (f(b) - fa) / (b - a);
  let worst = 0;
  for (let k = 1; k < looksPerPiece; k++) {
    const x = a + (k / looksPerPiece) * (b - a);
    worst = Math.max(worst, Math.abs(f(x) - fa - slope * (x - a)));
  }
  return worst;
}

/** Knots on the curve, each piece as long as the tolerance allows; undefined when more than `most` would be needed. */
function longestPieces(
  f: (x: number) => number,
  from: number,
  to: number,
  tolerance: number,
  most: number,
): number[] | undefined {
  const knots = [from];
  let a = from;
  while (a < to) {
    if (knots.length >= most) return undefined;
    let b = to;
    if (pieceError(f, a, to) > tolerance) {
      let good = a;
      let bad = to;
      for (let k = 0; k < 50; k++) {
        const middle = 0.5 * (good + bad);
        if (pieceError(f, a, middle) <= tolerance) good = middle;
        else bad = middle;
      }
      // Rounding alone can make an ever shorter piece seem too long; then no table meets the tolerance.
      if (!(good > a)) return undefined;
      b = good;
    }
    knots.push(b);
    a = b;
  }
  return knots;
}

/**
 * The fewest knots on a curve for which straight lines between them stay within `tolerance` of it, and among tables of that size the one
 * with the smallest error: pieces as long as allowed (the fewest where the curve bends one way, since then a part of a good piece is
 * good), then the tolerance is lowered by bisection as long as the number stays. Source: derived here.
 *
 * @param f the curve; @param tolerance [unit of f], above 0
 * @throws TautlineError argument_invalid for an empty range or a tolerance that asks for more than 256 knots
 */
export function fewestKnots(f: (x: number) => number, from: number, to: number, tolerance: number): number[] {
  if (!(to > from) || !(tolerance > 0))
    throw new TautlineError(
      'argument_invalid',
      { from, to, tolerance },
      `no table can be made from ${from} to ${to} with a tolerance of ${tolerance}`,
      'give a range that rises and a tolerance above 0',
    );
  let best = longestPieces(f, from, to, tolerance, mostKnots);
  if (best === undefined)
    throw new TautlineError(
      'argument_invalid',
      { tolerance, mostKnots },
      `a tolerance of ${tolerance} asks for more than ${mostKnots} knots`,
      'allow a larger interpolation error; 1 % of the drag at top speed needs a handful of knots',
    );
  let good = tolerance;
  let bad = 0;
  for (let k = 0; k < 40; k++) {
    const middle = 0.5 * (good + bad);
    const knots = longestPieces(f, from, to, middle, best.length);
    if (knots === undefined) bad = middle;
    else {
      best = knots;
      good = middle;
    }
  }
  return best;
}

const densePoints = 4000;

/** Largest error of straight lines between knots on the curve, on a dense grid over the whole range. */
export function interpolationError(f: (x: number) => number, knots: readonly number[]): number {
  const values = knots.map(f);
  const from = knots[0];
  const to = knots[knots.length - 1];
  let worst = 0;
  let k = 1;
  for (let i = 0; i <= densePoints; i++) {
    const x = from + (i / densePoints) * (to - from);
    while (k < knots.length - 1 && knots[k] < x) k++;
    const share = (x - knots[k - 1]) / (knots[k] - knots[k - 1]);
    worst = Math.max(worst, Math.abs(f(x) - values[k - 1] - share * (values[k] - values[k - 1])));
  }
  return worst;
}
