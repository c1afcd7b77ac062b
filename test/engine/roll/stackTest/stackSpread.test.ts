import { describe, expect, it, test } from 'vitest';
import { quantile } from '../../../../src/engine/numerics/quantile.js';
import { createRandom } from '../../../../src/engine/numerics/random.js';
import { fitStackLaw } from '../../../../src/engine/roll/stackTest/fitStackLaw.js';
import { type StackSpread, stackDraws } from '../../../../src/engine/roll/stackTest/stackSpread.js';
import { fitStackTest } from '../../../../src/engine/roll/stackTest/stackTest.js';
import type { StackLaw } from '../../../../src/engine/web/web.js';
import { demoStack, stackTestData } from '../../../support/stackTestData.js';

/** Strain of each law from its parameters, written here anew: the exponential and constant ones closed, the others by the trapezoidal rule in ln(1 + P/P₀). */
const integral = (modulus: (p: number) => number, pressure: number): number => {
  const [n, scale] = [4000, pressure / 100];
  const end = Math.log1p(pressure / scale);
  let sum = 0;
  for (let k = 0; k <= n; k++) {
    const p = scale * Math.expm1((k * end) / n);
    sum += ((k === 0 || k === n ? 0.5 : 1) * (p + scale)) / modulus(p);
  }
  return (sum * end) / n;
};
const strainOf: Record<StackLaw['law'], (theta: readonly number[], pressure: number) => number> = {
  exponential: ([k1 = 0, k2 = 0], p) => Math.log(1 + p / k1) / k2,
  constant: ([e = 0], p) => p / e,
  saturating: ([e0 = 0, rise = 0, ps = 0], p) => integral((x) => e0 + rise * (1 - Math.exp(-x / ps)), p),
  polynomial: ([c0 = 0, c1 = 0, c2 = 0], p) => integral((x) => c0 + c1 * x + c2 * x * x, p),
};
const thetaOf = (law: StackLaw): number[] => {
  switch (law.law) {
    case 'exponential':
      return [law.k1, law.k2];
    case 'constant':
      return [law.modulus];
    case 'saturating':
      return [law.atRest, law.highest - law.atRest, law.scale];
    case 'polynomial':
      return [...law.coefficients];
  }
};

/** Standard deviation of the strain by propagating the covariance, ∇ε·C·∇ε, with the gradient by central differences. */
function propagated(law: StackLaw, spread: StackSpread, pressure: number): number {
  const theta = thetaOf(law);
  const isLog = theta.map((_, k) => !(law.law === 'polynomial' && k === 2));
  const deviation = spread.interval95.map(
    ([lo, hi], k) => (isLog[k] ? Math.log(hi / lo) : hi - lo) / (2 * 1.959963984540054),
  );
  const gradient = theta.map((value, k) => {
    const step = 1e-4 * (deviation[k] as number);
    const at = (sign: number): number =>
      strainOf[law.law](
        theta.map((v, j) => (j !== k ? v : isLog[k] ? v * Math.exp(sign * step) : value + sign * step)),
        pressure,
      );
    return (at(1) - at(-1)) / (2 * step);
  });
  let sum = 0;
  for (let i = 0; i < theta.length; i++)
    for (let j = 0; j < theta.length; j++)
      sum +=
        (gradient[i] as number) *
        (gradient[j] as number) *
        (deviation[i] as number) *
        (deviation[j] as number) *
        (spread.correlation[i]?.[j] as number);
  return Math.sqrt(sum);
}

const draws = 4000;
function drawn(law: StackLaw, spread: StackSpread, pressure: number, seed = 1) {
  const draw = stackDraws(law, spread);
  const random = createRandom(seed);
  const strains = Array.from({ length: draws }, () => strainOf[law.law](thetaOf(draw(random)), pressure));
  const mean = strains.reduce((a, b) => a + b, 0) / draws;
  return { mean, deviation: Math.sqrt(strains.reduce((a, s) => a + (s - mean) ** 2, 0) / (draws - 1)) };
}

const exponential: StackLaw = { law: 'exponential', k1: 8000, k2: 40, testedTo: 5e5 };
const pair = (r: number) => [
  [1, r],
  [r, 1],
];
const spreadOfExponential = (r: number): StackSpread => ({
  law: 'exponential',
  interval95: [
    [7500, 64e6 / 7500],
    [39, 1600 / 39],
  ],
  correlation: pair(r),
});
const three = (a: number, b: number, c: number) => [
  [1, a, b],
  [a, 1, c],
  [b, c, 1],
];

describe('stack laws drawn from a stack test', () => {
  // The deviation of 4000 draws is known to 1/√8000 = 1.1 %; small intervals, so that propagation of first order holds.
  const cases: [string, StackLaw, StackSpread, number][] = [
    ['K1 and K2 against each other', exponential, spreadOfExponential(-0.95), 2e5],
    ['K1 and K2 together', exponential, spreadOfExponential(0.95), 2e5],
    [
      'a constant modulus',
      { law: 'constant', modulus: 4e6 },
      { law: 'constant', interval95: [[3.8e6, 16 / 3.8e-6]], correlation: [[1]] },
      2e5,
    ],
    [
      'a saturating law',
      { law: 'saturating', atRest: 3e5, highest: 1.03e7, scale: 2e5 },
      {
        law: 'saturating',
        interval95: [
          [2.9e5, 9e10 / 2.9e5],
          [0.95e7, 1e14 / 0.95e7],
          [1.9e5, 4e10 / 1.9e5],
        ],
        correlation: three(-0.6, -0.7, 0.9),
      },
      2e5,
    ],
    [
      'a polynomial',
      { law: 'polynomial', coefficients: [3e5, 40, -5e-6], testedTo: 5e5 },
      {
        law: 'polynomial',
        interval95: [
          [2.9e5, 9e10 / 2.9e5],
          [39, 1600 / 39],
          [-1e-5, 0],
        ],
        correlation: three(-0.8, 0.6, -0.9),
      },
      2e5,
    ],
  ];
  it.each(cases)(
    'spread the strain at the middle of the test as their covariance propagates: %s',
    (_name, law, spread, p) => {
      const { mean, deviation } = drawn(law, spread, p);
      expect(Math.abs(deviation / propagated(law, spread, p) - 1)).toBeLessThan(0.04);
      expect(Math.abs(mean / strainOf[law.law](thetaOf(law), p) - 1)).toBeLessThan(0.002);
    },
  );

  it('would spread it otherwise without their correlation, so that the check can fail', () => {
    const at = (r: number): number => drawn(exponential, spreadOfExponential(r), 2e5).deviation;
    expect(at(-0.95)).toBeLessThan(0.6 * at(0));
    expect(at(0)).toBeLessThan(0.85 * at(0.95));
  });

  it('hold each parameter in its interval 95 times of a hundred, with the correlation of their logarithms', () => {
    const spread = spreadOfExponential(-0.9);
    const draw = stackDraws(exponential, spread);
    const random = createRandom(7);
    const laws = Array.from({ length: draws }, () => thetaOf(draw(random)));
    for (const k of [0, 1]) {
      const [lo, hi] = spread.interval95[k] as readonly [number, number];
      const inside = laws.filter((t) => (t[k] as number) >= lo && (t[k] as number) <= hi).length / draws;
      // binomial: 0.95 ± 4·0.0034
      expect(Math.abs(inside - 0.95)).toBeLessThan(0.014);
    }
    const logs = laws.map(([a = 0, b = 0]) => [Math.log(a / 8000), Math.log(b / 40)] as const);
    const sum = (f: (x: number, y: number) => number): number => logs.reduce((s, [x, y]) => s + f(x, y), 0);
    const r = sum((x, y) => x * y) / Math.sqrt(sum((x) => x * x) * sum((_, y) => y * y));
    // (1 − r²)/√n = 0.003
    expect(Math.abs(r + 0.9)).toBeLessThan(0.012);
  });

  it('are the same for the same seed, others for another, and the law itself for intervals of no width', () => {
    const spread = spreadOfExponential(-0.95);
    const first = (seed: number, s = spread): StackLaw => stackDraws(exponential, s)(createRandom(seed));
    expect(first(3)).toEqual(first(3));
    expect(first(3)).not.toEqual(first(4));
    const still: StackSpread = {
      ...spread,
      interval95: [
        [8000, 8000],
        [40, 40],
      ],
    };
    expect(first(3, still)).toEqual(exponential);
  });

  it('never fall within their test: such polynomials are drawn again, and a spread of nothing else is refused', () => {
    const law: StackLaw = { law: 'polynomial', coefficients: [3e5, 40, 0], testedTo: 5e5 };
    const wide: StackSpread = {
      law: 'polynomial',
      interval95: [
        [3e5, 3e5],
        [40, 40],
        [-2e-4, 2e-4],
      ],
      correlation: three(0, 0, 0),
    };
    const draw = stackDraws(law, wide);
    const random = createRandom(1);
    // E′(P) = c1 + 2·c2·P is above 0 up to 5e5 Pa from c2 = −4e-5 on
    const c2 = Array.from({ length: 500 }, () => thetaOf(draw(random))[2] as number);
    expect(Math.min(...c2)).toBeGreaterThan(-4e-5 - 1e-9);
    expect(Math.min(...c2)).toBeLessThan(-3e-5);
    const falling: StackLaw = { ...law, coefficients: [3e5, 40, -2e-4] };
    const always: StackSpread = {
      ...wide,
      interval95: [
        [3e5, 3e5],
        [40, 40],
        [-2.1e-4, -1.9e-4],
      ],
    };
    expect(() => stackDraws(falling, always)(createRandom(1))).toThrow(/all fall with pressure/);
  });

  test.each([
    ['another law', { ...spreadOfExponential(0), law: 'constant' }, /that of a constant law/],
    ['too few intervals', { ...spreadOfExponential(0), interval95: [[1, 2]] }, /has 2 parameters/],
    [
      'an interval upside down',
      {
        ...spreadOfExponential(0),
        interval95: [
          [9000, 7000],
          [39, 41],
        ],
      },
      /no interval of k1/,
    ],
    [
      'an interval from 0',
      {
        ...spreadOfExponential(0),
        interval95: [
          [0, 9000],
          [39, 41],
        ],
      },
      /no interval of k1/,
    ],
    [
      'a value outside its interval',
      {
        ...spreadOfExponential(0),
        interval95: [
          [7000, 9000],
          [41, 43],
        ],
      },
      /k2 of the stack law is 40/,
    ],
    ['a correlation beyond 1', spreadOfExponential(1.2), /no correlation/],
    ['a correlation that is NaN', spreadOfExponential(Number.NaN), /no correlation/],
    [
      'one correlation twice',
      {
        ...spreadOfExponential(0),
        correlation: [
          [1, 0.5],
          [0.4, 1],
        ],
      },
      /no correlation/,
    ],
    [
      'a diagonal that is not 1',
      {
        ...spreadOfExponential(0),
        correlation: [
          [0.9, 0],
          [0, 1],
        ],
      },
      /no correlation/,
    ],
    ['a row too few', { ...spreadOfExponential(0), correlation: [[1, 0]] }, /2 rows of 2/],
    ['a correlation of exactly 1', spreadOfExponential(1), /contradict/],
  ] as unknown as [string, StackSpread, RegExp][])('are refused for %s', (_name, spread, words) => {
    expect(() => stackDraws(exponential, spread)).toThrow(words);
  });
});

describe('the correlation that a stack test states', () => {
  it('is the one that refitting the same stack with other noise shows', () => {
    // independent noise: 300 loadings of one invented stack; r of 300 pairs is known to (1 − r²)/√300
    const random = createRandom('correlation');
    const pressure = Float64Array.from({ length: 46 }, (_, k) => 1000 * 500 ** (k / 45));
    const fits = Array.from({ length: 300 }, () => {
      const height = pressure.map((p) => 0.01 * (1 - demoStack.strain(p)) + 3e-6 * random.normal());
      const fit = fitStackLaw('exponential', { pressure, height });
      return { theta: thetaOf(fit?.law as StackLaw).map(Math.log), r: fit?.correlation[1] as number };
    });
    const stated = fits.reduce((a, f) => a + f.r, 0) / fits.length;
    const mean = [0, 1].map((k) => fits.reduce((a, f) => a + (f.theta[k] as number), 0) / fits.length);
    const moment = (i: number, j: number): number =>
      fits.reduce(
        (a, f) =>
          a + ((f.theta[i] as number) - (mean[i] as number)) * ((f.theta[j] as number) - (mean[j] as number)),
        0,
      );
    const seen = moment(0, 1) / Math.sqrt(moment(0, 0) * moment(1, 1));
    expect(stated).toBeLessThan(-0.8);
    expect(Math.abs(stated - seen)).toBeLessThan((4 * (1 - seen ** 2)) / Math.sqrt(300));
  });

  it('is symmetric, 1 on its diagonal, and can be drawn from', () => {
    const { fits } = fitStackTest({ ...stackTestData(demoStack), isLength: true, sheets: demoStack.sheets });
    expect(fits.map((f) => f.law.law).sort()).toEqual(['constant', 'exponential', 'polynomial']);
    for (const { law, parameters, correlation } of fits) {
      correlation.forEach((row, i) => {
        expect(row[i]).toBe(1);
        row.forEach((r, j) => {
          expect(r).toBeCloseTo(correlation[j]?.[i] as number, 12);
        });
      });
      const spread = { law: law.law, interval95: parameters.map((p) => p.interval95), correlation };
      expect(stackDraws(law, spread)(createRandom(1)).law).toBe(law.law);
    }
  });
});

describe('what is drawn from a stack test', () => {
  it('holds the strain of the true stack about as often as it says, and tells it far better than without the correlation', () => {
    const pressure = 1e5;
    const truth = demoStack.strain(pressure);
    let inside = 0;
    const widths: [number, number][] = [];
    const tests = 120;
    for (let k = 0; k < tests; k++) {
      const data = stackTestData({ ...demoStack, loadings: 2, seed: `coverage ${k}` });
      const { fits } = fitStackTest({ ...data, isLength: true, sheets: demoStack.sheets });
      const fit = fits.find((f) => f.law.law === 'exponential');
      if (fit === undefined) throw new Error('no exponential law');
      const ends = (correlation: readonly (readonly number[])[]): [number, number] => {
        const interval95 = fit.parameters.map((p) => p.interval95);
        const draw = stackDraws(fit.law, { law: 'exponential', interval95, correlation });
        const random = createRandom(k);
        const strains = Array.from({ length: 1000 }, () =>
          strainOf.exponential(thetaOf(draw(random)), pressure),
        );
        return [quantile(strains, 0.025), quantile(strains, 0.975)];
      };
      const [low, high] = ends(fit.correlation);
      if (low <= truth && truth <= high) inside++;
      const [wideLow, wideHigh] = ends(pair(0));
      widths.push([high - low, wideHigh - wideLow]);
    }
    // Should be 95 of a hundred, which 120 tests know to 2; with noise that resembles its neighbour (0.3 here) the effective number of samples is itself an estimate: 300 tests gave 92, and 94 with
    // independent noise.
    expect(inside / tests).toBeGreaterThan(0.88);
    expect(inside / tests).toBeLessThan(1);
    const sum = (k: 0 | 1): number => widths.reduce((a, w) => a + w[k], 0);
    expect(sum(0) / sum(1)).toBeLessThan(0.6);
  }, 60_000);
});
