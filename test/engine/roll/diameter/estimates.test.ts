import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  blend,
  blendShare,
  type DiameterErrors,
  intervalEstimate,
  lapCountEstimate,
  lengthEstimate,
  type RadiusEstimate,
  ratioEstimate,
  standardErrorOf,
  tensionErrorOf,
} from '../../../../src/engine/roll/diameter/estimates.js';
import { fromSI, toSI } from '../../../../src/engine/units/convert.js';

const exact: DiameterErrors = {
  caliper: 0,
  caliperScatter: 0,
  speedScale: 0,
  lengthScale: 0,
  speedNoise: 0,
  angularSpeedNoise: 0,
  lengthNoise: 0,
  angleNoise: 0,
};
const real = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const h = 1e-6;
const difference = (f: (x: number) => number): number => (f(h) - f(-h)) / (2 * h);
const radiusOf = (e: RadiusEstimate | undefined): number => e?.radius ?? Number.NaN;

describe('values', () => {
  test('8 m/s at 3 turns a second: 0.424413 m; 480 m over 2400 rad: 0.2 m', () => {
    // Worked out apart from this code.
    expect(radiusOf(ratioEstimate(8, 6 * Math.PI, exact))).toBeCloseTo(0.424413, 6);
    expect(radiusOf(intervalEstimate(480, 2400, 0, 1, exact))).toBeCloseTo(0.2, 12);
  });

  test('US twin: 1000 fpm at 100 rpm is 38.1972 in of diameter', () => {
    // 1000·12/(100·π) in
    const e = ratioEstimate(toSI(1000, 'speed', 'fpm'), toSI(100, 'angularSpeed', 'rpm'), exact);
    expect(fromSI(2 * radiusOf(e), 'length', 'in')).toBeCloseTo(12000 / (100 * Math.PI), 10);
  });

  test.each([1, -1] as const)('all four agree on an exact roll, sense %d', (sense) => {
    fc.assert(
      fc.property(real(0.3, 0.8), real(1e-5, 5e-4), real(1, 400), (start, caliper, laps) => {
        // Spiral: R = R₀ ± h·θ/2π, so L = ∫R·dθ.
        const angle = 2 * Math.PI * laps;
        const radius = start + sense * caliper * laps;
        const length = angle * (start + (sense * caliper * laps) / 2);
        for (const e of [
          ratioEstimate(3, 3 / radius, exact),
          lapCountEstimate(start, caliper, angle, sense, exact),
          lengthEstimate(start, caliper, length, sense, exact),
          intervalEstimate(length, angle, caliper, sense, exact),
        ])
          expect(radiusOf(e)).toBeCloseTo(radius, 10);
      }),
    );
  });

  test('no ratio at standstill, below ten times the noise, or with signs that do not match', () => {
    expect(ratioEstimate(0, 0, exact)).toBeUndefined();
    expect(ratioEstimate(1, 0, exact)).toBeUndefined();
    expect(ratioEstimate(-1, 5, exact)).toBeUndefined();
    expect(ratioEstimate(-1, -5, exact)?.radius).toBeCloseTo(0.2, 12);
    expect(ratioEstimate(1, 0.9, { ...exact, angularSpeedNoise: 0.1 })).toBeUndefined();
    expect(intervalEstimate(1, 0, 1e-4, 1, exact)).toBeUndefined();
  });
});

describe('sensitivities are finite differences of the estimate', () => {
  test.each([1, -1] as const)('sense %d', (sense) => {
    const [start, caliper, laps] = [0.4, 2e-4, 300];
    const angle = 2 * Math.PI * laps;
    const length = 700;
    const near = (got: number, want: number): void => expect(got).toBeCloseTo(want, 7);

    const count = lapCountEstimate(start, caliper, angle, sense, exact).sensitivity;
    near(
      count.start,
      difference((x) => radiusOf(lapCountEstimate(start + x, caliper, angle, sense, exact))),
    );
    near(
      count.caliper,
      difference((x) => radiusOf(lapCountEstimate(start, caliper * (1 + x), angle, sense, exact))),
    );

    const byLength = (s: number, c: number, l: number): number =>
      radiusOf(lengthEstimate(s, c, l, sense, exact));
    const { sensitivity } = lengthEstimate(start, caliper, length, sense, exact);
    near(
      sensitivity.start,
      difference((x) => byLength(start + x, caliper, length)),
    );
    near(
      sensitivity.caliper,
      difference((x) => byLength(start, caliper * (1 + x), length)),
    );
    near(
      sensitivity.lengthScale,
      difference((x) => byLength(start, caliper, length * (1 + x))),
    );

    const ratio = ratioEstimate(8, 20, exact)?.sensitivity;
    near(
      ratio?.speedScale ?? Number.NaN,
      difference((x) => radiusOf(ratioEstimate(8 * (1 + x), 20, exact))),
    );

    const over = intervalEstimate(50, 125, caliper, sense, exact)?.sensitivity;
    near(
      over?.lengthScale ?? Number.NaN,
      difference((x) => radiusOf(intervalEstimate(50 * (1 + x), 125, caliper, sense, exact))),
    );
    near(
      over?.caliper ?? Number.NaN,
      difference((x) => radiusOf(intervalEstimate(50, 125, caliper * (1 + x), sense, exact))),
    );
  });

  test('noise: each reading by its derivative, in quadrature', () => {
    const errors = {
      ...exact,
      speedNoise: 0.02,
      angularSpeedNoise: 0.05,
      lengthNoise: 0.01,
      angleNoise: 0.02,
    };
    const byV = difference((x) => radiusOf(ratioEstimate(8 + x, 20, exact))) * 0.02;
    const byW = difference((x) => radiusOf(ratioEstimate(8, 20 + x, exact))) * 0.05;
    expect(ratioEstimate(8, 20, errors)?.noise).toBeCloseTo(Math.hypot(byV, byW), 9);
    // an interval has two readings of each, at its ends
    const byL = difference((x) => radiusOf(intervalEstimate(50 + x, 125, 0, 1, exact))) * 0.01;
    const byA = difference((x) => radiusOf(intervalEstimate(50, 125 + x, 0, 1, exact))) * 0.02;
    expect(intervalEstimate(50, 125, 0, 1, errors)?.noise).toBeCloseTo(Math.hypot(byL, byL, byA, byA), 9);
    // a ratio gets twice as noisy at half the speed
    expect(ratioEstimate(4, 10, errors)?.noise).toBeCloseTo(
      2 * (ratioEstimate(8, 20, errors)?.noise ?? 0),
      12,
    );
  });

  test('speed and length from one encoder share the scale error', () => {
    const one = { ...exact, lengthScale: undefined, speedScale: 0.01 };
    expect(intervalEstimate(50, 125, 0, 1, one)?.sensitivity).toMatchObject({
      speedScale: 0.4,
      lengthScale: 0,
    });
    expect(lengthEstimate(0.1, 1e-4, 500, 1, one).sensitivity.speedScale).toBeGreaterThan(0);
  });
});

describe('blend', () => {
  const of = (radius: number, noise: number, sensitivity = {}): RadiusEstimate => ({
    radius,
    noise,
    sensitivity: { start: 0, caliper: 0, speedScale: 0, lengthScale: 0, ...sensitivity },
  });

  test('independent estimates: weights by inverse variance', () => {
    const [a, b] = [of(0.4, 0.001), of(0.41, 0.002)];
    const share = blendShare(a, b, 0, exact);
    expect(share).toBeCloseTo(1 / 4 / (1 + 1 / 4), 12);
    const both = blend(a, b, share);
    expect(both.radius).toBeCloseTo(0.402, 12);
    expect(both.noise).toBeCloseTo(1 / Math.sqrt(1 / 0.001 ** 2 + 1 / 0.002 ** 2), 12);
  });

  test('no other share has a smaller error, and a shared error does not average out', () => {
    const errors = { ...exact, speedScale: 0.01, caliper: 0.03 };
    fc.assert(
      fc.property(
        real(0, 0.01),
        real(1e-4, 0.01),
        real(-0.2, 0.5),
        real(0, 0.5),
        real(0, 1),
        (n, m, c, s, other) => {
          const a = of(0.4, n, { speedScale: s, caliper: c });
          const b = of(0.4, m, { speedScale: 0.4 });
          const error = (k: number): number => standardErrorOf(blend(a, b, k), 0, errors);
          expect(error(blendShare(a, b, 0, errors))).toBeLessThanOrEqual(error(other) + 1e-12);
        },
      ),
    );
    const same = of(0.4, 0, { speedScale: 0.4 });
    expect(standardErrorOf(blend(same, same, 0.5), 0, errors)).toBeCloseTo(0.004, 12);
  });
});

describe('tension', () => {
  test('a radius read 1 % too large winds 1 % too tight; at one torque a larger roll is slacker', () => {
    const [tension, radius] = [300, 0.4];
    const torque = tension * (radius * 1.01);
    expect(tensionErrorOf(radius * 1.01, radius)).toBeCloseTo(torque / radius / tension - 1, 12);
    // dT/T = −dR/R for the true radius, by finite difference of T = M/R
    const slope = difference((x) => torque / (radius * (1 + x))) / (torque / radius);
    expect(slope).toBeCloseTo(-1, 6);
    expect(difference((x) => tensionErrorOf(radius, radius * (1 + x)))).toBeCloseTo(slope, 6);
    expect(() => tensionErrorOf(0.4, 0)).toThrowError(/0 m/);
  });
});
