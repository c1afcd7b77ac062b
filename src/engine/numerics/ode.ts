import { TautlineError } from '../errors.js';

export interface OdeOptions {
  /** Error allowed a step, relative to each state; default 1e-6. */
  readonly relative?: number;
  /** Error allowed a step, absolute, in the states' unit (one value, or one a state); default 1e-9. */
  readonly absolute?: number | ArrayLike<number>;
  readonly maxStep?: number;
  /** Times at which the states are wanted, ascending within the span; every accepted step when absent. */
  readonly at?: ArrayLike<number>;
  /** Default 1e6 steps, tried ones included. */
  readonly maxSteps?: number;
}

export interface OdeSolution {
  readonly times: Float64Array;
  /** One array of states a time. */
  readonly states: Float64Array[];
  readonly steps: number;
  readonly rejected: number;
}

const NODE = [0, 1 / 5, 3 / 10, 4 / 5, 8 / 9, 1, 1];
const STAGE = [
  [],
  [1 / 5],
  [3 / 40, 9 / 40],
  [44 / 45, -56 / 15, 32 / 9],
  [19372 / 6561, -25360 / 2187, 64448 / 6561, -212 / 729],
  [9017 / 3168, -355 / 33, 46732 / 5247, 49 / 176, -5103 / 18656],
  [35 / 384, 0, 500 / 1113, 125 / 192, -2187 / 6784, 11 / 84],
];
/** Fifth minus fourth order weights. */
const ERROR = [71 / 57600, 0, -71 / 16695, 71 / 1920, -17253 / 339200, 22 / 525, -1 / 40];
/** Weights of the fourth-order interpolant inside a step. */
const DENSE = [
  -12715105075 / 11282082432,
  0,
  87487479700 / 32700410799,
  -10690763975 / 1880347072,
  701980252875 / 199316789632,
  -1453857185 / 822651844,
  69997945 / 29380423,
];

/**
 * Integrate dy/dt = f(t, y) by the Dormand-Prince 5(4) pair with step control. `derivative` writes dy/dt to `out`.
 * For smooth, non-stiff systems: split the span at jumps of the right-hand side, and do not use it for stiff friction.
 * @throws TautlineError argument_invalid when the step shrinks to nothing or the steps run out: stiff or singular there.
 * Source: Dormand and Prince, J. Comput. Appl. Math. 6(1), 1980; Hairer, Nørsett, Wanner, Solving Ordinary Differential
 * Equations I, II.4-II.6 (from memory; the test checks the order of both step and interpolant).
 */
export function solveOde(
  derivative: (t: number, y: Float64Array, out: Float64Array) => void,
  from: number,
  to: number,
  start: ArrayLike<number>,
  options: OdeOptions = {},
): OdeSolution {
  const { relative = 1e-6, absolute = 1e-9, maxStep = to - from, at, maxSteps = 1e6 } = options;
  if (!(to > from && relative >= 0 && maxStep > 0))
    throw new TautlineError(
      'argument_invalid',
      { from, to, relative, maxStep },
      `cannot integrate from ${from} to ${to} with tolerance ${relative} and steps up to ${maxStep}`,
      'integrate forward in time with positive steps',
    );
  const m = start.length;
  const floor = (i: number): number => (typeof absolute === 'number' ? absolute : absolute[i]);
  let y = Float64Array.from(start);
  let t = from;
  const slopes = Array.from({ length: 7 }, () => new Float64Array(m));
  derivative(t, y, slopes[0]);
  let h = Math.min(maxStep, firstStep(y, slopes[0], to - from, relative, floor));
  const times: number[] = [];
  const states: Float64Array[] = [];
  let wanted = 0;
  const record = (time: number, state: Float64Array): void => {
    times.push(time);
    states.push(state);
  };
  if (!at) record(t, y.slice());
  else while (wanted < at.length && at[wanted] <= t) record(at[wanted++], y.slice());
  let steps = 0;
  let rejected = 0;
  let next = new Float64Array(m);
  while (t < to) {
    const isLast = t + h * 1.0000001 >= to;
    if (isLast) h = to - t;
    if (steps + rejected >= maxSteps || !(t + h > t))
      throw new TautlineError(
        'argument_invalid',
        { t, step: h, steps, rejected },
        `the integration stalls at t = ${t} with step ${h} after ${steps} steps`,
        'check the equations there: a jump, a singularity or a stiff term',
      );
    for (let s = 1; s < 7; s++) {
      for (let i = 0; i < m; i++) {
        let sum = 0;
        for (let k = 0; k < s; k++) sum += STAGE[s][k] * slopes[k][i];
        next[i] = y[i] + h * sum;
      }
      derivative(t + NODE[s] * h, next, slopes[s]);
    }
    let square = 0;
    for (let i = 0; i < m; i++) {
      let sum = 0;
      for (let k = 0; k < 7; k++) sum += ERROR[k] * slopes[k][i];
      square += ((h * sum) / (floor(i) + relative * Math.max(Math.abs(y[i]), Math.abs(next[i])))) ** 2;
    }
    const error = Math.sqrt(square / m);
    // NaN (the model left its range) counts as a refused step.
    if (!(error <= 1)) {
      rejected++;
      h *= Number.isFinite(error) ? Math.max(0.2, 0.9 * error ** -0.2) : 0.2;
      continue;
    }
    steps++;
    const tNext = isLast ? to : t + h;
    if (!at) record(tNext, next.slice());
    else
      for (; wanted < at.length && at[wanted] <= tNext; wanted++)
        record(at[wanted], interpolate((at[wanted] - t) / h, h, y, next, slopes));
    t = tNext;
    [y, next] = [next, y];
    [slopes[0], slopes[6]] = [slopes[6], slopes[0]];
    h = Math.min(maxStep, h * Math.min(5, 0.9 * Math.max(error, 1e-10) ** -0.2));
  }
  return { times: Float64Array.from(times), states, steps, rejected };
}

function interpolate(
  theta: number,
  h: number,
  y: Float64Array,
  next: Float64Array,
  slopes: readonly Float64Array[],
): Float64Array {
  const rest = 1 - theta;
  return y.map((value, i) => {
    const change = next[i] - value;
    const bend = h * slopes[0][i] - change;
    const curl = change - h * slopes[6][i] - bend;
    let dense = 0;
    for (let k = 0; k < 7; k++) dense += DENSE[k] * slopes[k][i];
    return value + theta * (change + rest * (bend + theta * (curl + rest * h * dense)));
  });
}

/** A first step that would change the states by about a hundredth of their scale; the control corrects it at once. */
function firstStep(
  y: Float64Array,
  slope: Float64Array,
  span: number,
  relative: number,
  floor: (i: number) => number,
): number {
  let size = 0;
  let rate = 0;
  for (let i = 0; i < y.length; i++) {
    const scale = floor(i) + relative * Math.abs(y[i]);
    size += (y[i] / scale) ** 2;
    rate += (slope[i] / scale) ** 2;
  }
  const guess = size > 0 && rate > 0 ? 0.01 * Math.sqrt(size / rate) : span * 1e-3;
  return Math.min(span, Math.max(guess, span * 1e-9));
}
