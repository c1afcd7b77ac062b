import { isTautlineError } from '../../errors.js';
import { levenbergMarquardt } from '../../numerics/levenbergMarquardt.js';
import type { Pressure, Ratio } from '../../units/quantity.js';
import type { StackLaw } from '../../web/web.js';
import { lawBreaksAt, type StackModulus, stackModulus } from '../stress/stackModulus.js';
import { logarithmicParameters, stackLawFrom } from './stackParameters.js';

/** One loading of a stack: pressures [Pa] and what is left of the stack's height, as a length or a share of a height. */
export interface LoadingData {
  readonly pressure: Float64Array;
  readonly height: Float64Array;
}

/** A law fitted to a loading; uncertainties are left to {@link StackLawFit.standardErrors} and the number of independent samples. */
export interface StackLawFit {
  readonly name: StackLaw['law'];
  readonly law: StackLaw;
  /** In the order of `stackParameters`. */
  readonly parameters: Float64Array;
  /** Of the parameters' logarithms (of the value itself where it may be 0 or negative), for independent residuals. */
  readonly standardErrors: Float64Array;
  /** Of the same quantities, row by row. */
  readonly correlation: Float64Array;
  /** Height without pressure, in the unit of the data, with its standard error. */
  readonly heightAtRest: number;
  readonly heightAtRestError: number;
  /** Measured less fitted height. */
  readonly residuals: Float64Array;
  readonly rss: number;
  /** Fitted values, the height at rest included. */
  readonly count: number;
}

/** Where a search begins: pressures and strain over the loading. */
interface Ends {
  readonly lowest: Pressure;
  readonly highest: Pressure;
  readonly strain: Ratio;
}

const exponentialStarts = ({ lowest, highest, strain }: Ends): number[][] =>
  [0.3, 3, 30].map((k) => {
    const k1 = Math.min(k * Math.max(lowest, 1e-4 * highest), highest);
    return [k1, Math.log((highest + k1) / (lowest + k1)) / strain];
  });

/** Parameters from which each law is sought. */
const starts: Readonly<Record<StackLaw['law'], (ends: Ends) => number[][]>> = {
  constant: ({ lowest, highest, strain }) => [[(highest - lowest) / strain]],
  exponential: exponentialStarts,
  // Begins as the exponential law, levelling off within or beyond the loading.
  saturating: (ends) =>
    exponentialStarts(ends).flatMap(([k1, k2]) =>
      [0.3, 2].map((s) => [
        (k1 as number) * (k2 as number),
        (k2 as number) * s * ends.highest,
        s * ends.highest,
      ]),
    ),
  polynomial: (ends) =>
    exponentialStarts(ends).map(([k1, k2]) => [(k1 as number) * (k2 as number), k2 as number, 0]),
};

/**
 * Fits one stack law to a loading by least squares on the height, H = H₀·(1 − ε(P)) with H₀ the height without pressure, which is fitted too: where the first pressure was
 * read is then no part of the law. Pressures [Pa], heights in any unit. Several starts, the best is kept. undefined when no start ends in a law that rises over the
 * loading with all parameters determined.
 * Valid: errors of the height independent of the pressure and far above those of the pressure. Source: {@link stackModulus}, Levenberg-Marquardt.
 */
export function fitStackLaw(name: StackLaw['law'], data: LoadingData): StackLawFit | undefined {
  const logarithmic = logarithmicParameters(name);
  const { pressure, height } = data;
  const n = pressure.length;
  const highest = pressure.reduce((a, b) => Math.max(a, b), 0);
  const lowest = pressure.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY);
  const top = height.reduce((a, b) => Math.max(a, b), 0);
  const bottom = height.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY);
  const toParameters = (x: ArrayLike<number>): number[] =>
    logarithmic.map((isLog, k) => (isLog ? Math.exp(x[k] as number) : (x[k] as number)));
  const count = logarithmic.length + 1;
  if (n <= count + 2) return undefined;
  let best: ReturnType<typeof levenbergMarquardt> | undefined;
  for (const start of starts[name]({ lowest, highest, strain: (top - bottom) / top })) {
    const x = [...start.map((v, k) => (logarithmic[k] ? Math.log(v) : v)), top];
    const solved = solve(x);
    if (!(solved?.converged && solved.rank === count)) continue;
    const again = best !== undefined && Math.abs(solved.rss - best.rss) <= 1e-6 * best.rss;
    if (best === undefined || solved.rss < best.rss) best = solved;
    // Two starts that meet are enough.
    if (again) break;
  }
  if (best === undefined) return undefined;
  const parameters = toParameters(best.parameters);
  const law = stackLawFrom(name, parameters, highest);
  const modulus = modulusOf(law);
  if (modulus === undefined || lawBreaksAt(modulus, highest) !== undefined) return undefined;
  const variance = best.rss / (n - count);
  const errors = Float64Array.from({ length: count }, (_, k) =>
    Math.sqrt(variance * (best.unscaledCovariance[k * count + k] as number)),
  );
  // A parameter known within a factor of 4 at best is not determined: the law is not told from a simpler one.
  if (!errors.every((e, k) => Number.isFinite(e) && !(logarithmic[k] === true && e > Math.log(4))))
    return undefined;
  return {
    name,
    law,
    parameters: Float64Array.from(parameters),
    standardErrors: errors.slice(0, -1),
    correlation: correlationOf(best.unscaledCovariance, count),
    heightAtRest: best.parameters[count - 1] as number,
    heightAtRestError: errors[count - 1] as number,
    residuals: best.residuals,
    rss: best.rss,
    count,
  };

  function solve(start: number[]): ReturnType<typeof levenbergMarquardt> | undefined {
    try {
      return levenbergMarquardt({
        n,
        start,
        maxIterations: 200,
        residuals(x, out) {
          const modulus = modulusOf(stackLawFrom(name, toParameters(x)));
          const rest = x[count - 1] as number;
          for (let i = 0; i < n; i++)
            out[i] =
              modulus === undefined
                ? Number.NaN
                : (height[i] as number) - rest * (1 - modulus.strain(pressure[i] as number));
        },
      });
    } catch (error) {
      // A start from which the model has no value or slope; the others remain.
      if (isTautlineError(error)) return undefined;
      throw error;
    }
  }
}

/** Correlations of all fitted values but the last, the height at rest, whatever that one is. */
function correlationOf(covariance: Float64Array, count: number): Float64Array {
  const n = count - 1;
  const at = (i: number, j: number): number => covariance[i * count + j] as number;
  return Float64Array.from({ length: n * n }, (_, m) => {
    const [i, j] = [Math.floor(m / n), m % n];
    return i === j ? 1 : at(i, j) / Math.sqrt(at(i, i) * at(j, j));
  });
}

/** The modulus of a law, without the promise that it rises up to its test's end: the search may pass such places. */
function modulusOf({ testedTo: _, ...law }: StackLaw): StackModulus | undefined {
  try {
    return stackModulus(law as StackLaw);
  } catch (error) {
    if (isTautlineError(error)) return undefined;
    throw error;
  }
}
