import { isTautlineError, TautlineError } from '../../errors.js';
import { choleskyFactor } from '../../numerics/cholesky.js';
import { normalQuantile } from '../../numerics/distributions.js';
import type { Random } from '../../numerics/random.js';
import type { StackLaw } from '../../web/web.js';
import { stackModulus } from '../stress/stackModulus.js';
import { logarithmicParameters, parametersOf, stackLawFrom, stackParameters } from './stackParameters.js';

/** How uncertain a stack law is, as its stack test states it; everything in the order of `stackParameters`. */
export interface StackSpread {
  readonly law: StackLaw['law'];
  readonly interval95: readonly (readonly [number, number])[];
  /** Between the logarithms of the parameters, between values where one may have any sign. */
  readonly correlation: readonly (readonly number[])[];
}

/** What is wrong with a spread, and where in it. */
export interface SpreadProblem {
  readonly part: 'law' | 'interval95' | 'correlation';
  readonly entry?: number;
  readonly message: string;
  readonly next: string;
}

/** Six digits of a document may cut a value just out of its own interval. */
const rounding = 1e-5;
const pasteAgain = 'paste stack and uncertainty of one stack test';

/**
 * Why a stack law cannot be drawn from a spread; undefined when it can. The law must be the spread's, each of its parameters [Pa, 1] within its interval, and the correlation
 * symmetric, 1 on its diagonal and positive definite. `names` of the parameters, for the message. Source: definition.
 */
export function stackSpreadProblem(
  law: StackLaw,
  spread: StackSpread,
  names: readonly string[] = stackParameters(law.law),
): SpreadProblem | undefined {
  const values = parametersOf(law);
  if (values === undefined || law.law !== spread.law)
    return {
      part: 'law',
      message: `the uncertainty is that of ${article(spread.law)} law, and the stack has ${values === undefined ? 'a polynomial of another degree' : `${article(law.law)} one`}`,
      next: pasteAgain,
    };
  const n = values.length;
  const logarithmic = logarithmicParameters(law.law);
  if (spread.interval95.length !== n)
    return {
      part: 'interval95',
      message: `${article(law.law)} law has ${n} parameters, and the uncertainty states ${spread.interval95.length}`,
      next: `state ${names.join(', ')}`,
    };
  for (const [k, [low, high]] of spread.interval95.entries()) {
    const value = values[k] as number;
    const slack = rounding * Math.abs(value);
    if (!(low <= high && Number.isFinite(low) && Number.isFinite(high) && (low > 0 || !logarithmic[k])))
      return {
        part: 'interval95',
        entry: k,
        message: `${low} to ${high} is no interval of ${names[k]}`,
        next: `state the lower end first${logarithmic[k] ? ', above 0' : ''}`,
      };
    if (!(value >= low - slack && value <= high + slack))
      return {
        part: 'interval95',
        entry: k,
        message: `${names[k]} of the stack law is ${value}, outside its own interval from ${low} to ${high}`,
        next: pasteAgain,
      };
  }
  const { correlation: rows } = spread;
  const at = (i: number, j: number): number => rows[i]?.[j] ?? Number.NaN;
  if (rows.length !== n || rows.some((row) => row.length !== n))
    return {
      part: 'correlation',
      message: `a correlation of ${n} parameters has ${n} rows of ${n}`,
      next: `state the rows of ${names.join(', ')}`,
    };
  for (let i = 0; i < n; i++)
    for (let j = 0; j <= i; j++)
      if (i === j ? at(i, i) !== 1 : !(Math.abs(at(i, j)) <= 1 && Math.abs(at(i, j) - at(j, i)) < 1e-9))
        return {
          part: 'correlation',
          entry: i,
          message: `${at(i, j)} and ${at(j, i)} are no correlation of ${names[i]} and ${names[j]}`,
          next: 'state numbers from −1 to 1, the same in both places, and 1 on the diagonal',
        };
  if (choleskyFactor(rows.flat(), n) === undefined)
    return {
      part: 'correlation',
      message: 'these correlations contradict each other: no numbers vary together like this',
      next: pasteAgain,
    };
  return undefined;
}

const article = (law: StackLaw['law']): string => `${law === 'exponential' ? 'an' : 'a'} ${law}`;

/** Standard deviations between the ends of a 95 % interval of a normal distribution. */
const ends95 = 2 * normalQuantile(0.975);

/**
 * Draws stack laws whose parameters vary together as their stack test says: log-normal about the law's own parameters [Pa, 1] (normal where one may have any sign), with the stated 95 %
 * intervals and correlations. A drawn polynomial that falls within its test, as no stack does, is drawn again.
 * @throws TautlineError argument_invalid for a spread with a problem, or when a hundred draws in a row are no law. Source: {@link stackSpreadProblem}, Cholesky.
 */
export function stackDraws(law: StackLaw, spread: StackSpread): (random: Random) => StackLaw {
  const problem = stackSpreadProblem(law, spread);
  if (problem !== undefined)
    throw new TautlineError(
      'argument_invalid',
      { value: `uncertainty.stack.${problem.part}` },
      problem.message,
      problem.next,
    );
  const values = parametersOf(law) as readonly number[];
  const n = values.length;
  const logarithmic = logarithmicParameters(law.law);
  const deviations = spread.interval95.map(
    ([low, high], k) => (logarithmic[k] ? Math.log(high / low) : high - low) / ends95,
  );
  const factor = choleskyFactor(spread.correlation.flat(), n) as Float64Array;
  const draw = (random: Random): StackLaw => {
    const independent = Array.from({ length: n }, () => random.normal());
    const drawn = values.map((value, i) => {
      let z = 0;
      for (let k = 0; k <= i; k++) z += (factor[i * n + k] as number) * (independent[k] as number);
      const off = (deviations[i] as number) * z;
      return logarithmic[i] ? value * Math.exp(off) : value + off;
    });
    return stackLawFrom(law.law, drawn, law.testedTo);
  };
  return (random) => {
    for (let k = 0; k < 100; k++) {
      const drawn = draw(random);
      if (isLaw(drawn)) return drawn;
    }
    throw new TautlineError(
      'argument_invalid',
      { value: 'uncertainty.stack' },
      'a hundred stack laws drawn from this uncertainty all fall with pressure within their test',
      'the test does not determine its law: choose one with fewer parameters, or test over a wider range',
    );
  };
}

function isLaw(law: StackLaw): boolean {
  try {
    stackModulus(law);
    return true;
  } catch (error) {
    if (isTautlineError(error)) return false;
    throw error;
  }
}
