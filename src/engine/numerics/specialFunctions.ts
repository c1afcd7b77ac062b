const HALF_LOG_TWO_PI = 0.9189385332046728;
const TINY = 1e-300;

/** Both tails of a distribution function: the small one keeps its digits where 1 minus the other would lose them. */
export interface Tails {
  readonly lower: number;
  readonly upper: number;
}

/**
 * ln Γ(x), x > 0, to about 1e-15 of max(1, |ln Γ|). Stirling's series from x = 15 on, the recurrence below.
 * NaN outside its range.
 */
export function logGamma(x: number): number {
  if (!(x > 0)) return Number.NaN;
  if (x === Number.POSITIVE_INFINITY) return x;
  let product = 1;
  let z = x;
  for (; z < 15; z++) product *= z;
  return (z - 0.5) * Math.log(z) - z + HALF_LOG_TWO_PI + stirlingSeries(z) - Math.log(product);
}

/** ln Γ(x) minus Stirling's leading terms, (x - 1/2) ln x - x + ln(2π)/2. */
function stirlingCorrection(x: number): number {
  return x >= 15 ? stirlingSeries(x) : logGamma(x) - ((x - 0.5) * Math.log(x) - x + HALF_LOG_TWO_PI);
}

/** Σ B2k / (2k (2k-1) x^(2k-1)); seven terms leave less than 1e-17 at x = 15. */
function stirlingSeries(x: number): number {
  const s = 1 / (x * x);
  const inner = 1 / 1188 - s * (691 / 360360 - s / 156);
  return (1 / 12 - s * (1 / 360 - s * (1 / 1260 - s * (1 / 1680 - s * inner)))) / x;
}

/** ln(1 + u) - u without cancellation; `ratio` is 1 + u, which u near -1 no longer tells. */
function logMinusDeviation(ratio: number, u: number): number {
  if (!(Math.abs(u) < 0.3)) return Math.log(ratio) - u;
  // ln(1 + u) = 2 artanh(t) with t = u/(2 + u), and u = 2t + tu: the leading terms cancel by hand.
  const t = u / (2 + u);
  const square = t * t;
  let sum = 0;
  let power = square;
  for (let k = 3; power > Number.EPSILON * 1e-2 * (square + TINY); k += 2) {
    sum += power / k;
    power *= square;
  }
  return 2 * t * sum - t * u;
}

/**
 * Regularised incomplete gamma functions P(a, x) and Q(a, x), a > 0, x >= 0: series below a + 1, continued fraction above.
 * The factor x^a e^-x / Γ(a) is formed from its deviation from the peak, so large a costs no digits.
 */
export function incompleteGamma(a: number, x: number): Tails {
  if (!(a > 0 && x >= 0)) return { lower: Number.NaN, upper: Number.NaN };
  if (x === 0) return { lower: 0, upper: 1 };
  if (x === Number.POSITIVE_INFINITY) return { lower: 1, upper: 0 };
  const factor =
    Math.exp(a * logMinusDeviation(x / a, (x - a) / a) - stirlingCorrection(a)) *
    Math.sqrt(a / (2 * Math.PI));
  if (x < a + 1) {
    let term = 1 / a;
    let sum = term;
    for (let k = 1; term > sum * 1e-17; k++) sum += term *= x / (a + k);
    const lower = Math.min(1, factor * sum);
    return { lower, upper: 1 - lower };
  }
  let b = x + 1 - a;
  const fraction = lentz(
    (k) => (k === 1 ? 1 : -(k - 1) * (k - 1 - a)),
    (k) => (k === 1 ? b : (b += 2)),
  );
  const upper = Math.min(1, factor * fraction);
  return { lower: 1 - upper, upper };
}

/**
 * Regularised incomplete beta function I_x(a, b) and its complement; a, b > 0. Both x and y = 1 - x are asked for, since a
 * caller often knows the small one of them to more digits than a difference from 1 would leave.
 */
export function incompleteBeta(a: number, b: number, x: number, y: number): Tails {
  if (!(a > 0 && b > 0 && x >= 0 && y >= 0)) return { lower: Number.NaN, upper: Number.NaN };
  if (x === 0) return { lower: 0, upper: 1 };
  if (y === 0) return { lower: 1, upper: 0 };
  if (x > (a + 1) / (a + b + 2)) {
    const swapped = incompleteBeta(b, a, y, x);
    return { lower: swapped.upper, upper: swapped.lower };
  }
  const sum = a + b;
  // x - a/(a+b), from whichever of x and y is the smaller.
  const off = x < y ? x - a / sum : b / sum - y;
  const exponent =
    a * logMinusDeviation(x * (sum / a), (off * sum) / a) +
    b * logMinusDeviation(y * (sum / b), (-off * sum) / b) +
    stirlingCorrection(sum) -
    stirlingCorrection(a) -
    stirlingCorrection(b);
  const factor = Math.exp(exponent) * Math.sqrt(((a / sum) * b) / (2 * Math.PI));
  // Didonato and Morris, TOMS 708 (1992), continued fraction in the distance from the mean (from memory): with x near 1 it
  // keeps the digits of y, which the textbook fraction loses.
  const fraction = lentz(
    (k) => {
      const m = k - 1;
      return m === 0 ? 1 : ((a + m - 1) * (sum + m - 1) * m * (b - m) * x * x) / (a + 2 * m - 1) ** 2;
    },
    (k) => {
      const m = k - 1;
      const term = m === 0 ? 0 : (m * (b - m) * x) / (a + 2 * m - 1);
      return m + term + ((a + m) * (1 - off * sum + m * (1 + y))) / (a + 2 * m + 1);
    },
  );
  const lower = Math.min(1, factor * fraction);
  return { lower, upper: 1 - lower };
}

/** Continued fraction a1/(b1 + a2/(b2 + ...)) by the modified Lentz method; asks for b(k) once a step, in order. */
function lentz(a: (k: number) => number, b: (k: number) => number): number {
  let value = TINY;
  let c = TINY;
  let d = 0;
  for (let k = 1; k < 1e6; k++) {
    const ak = a(k);
    const bk = b(k);
    d = bk + ak * d;
    c = bk + ak / c;
    if (d === 0) d = TINY;
    if (c === 0) c = TINY;
    d = 1 / d;
    const change = c * d;
    value *= change;
    if (Math.abs(change - 1) < 3e-16) break;
  }
  return value;
}
