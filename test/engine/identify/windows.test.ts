import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { windowKernel } from '../../../src/engine/identify/windows.js';

/** Laws of the kernel, not values of ours: what it must give for any sample times. */
const times = fc
  .array(fc.double({ min: 0.2, max: 1.8, noNaN: true }), { minLength: 3, maxLength: 40 })
  .map((steps) => {
    let t = 100;
    return Float64Array.from(steps, (s) => (t += 0.01 * s));
  });

const sum = (weights: Float64Array, f: (k: number) => number): number =>
  weights.reduce((s, w, k) => s + w * f(k), 0);

describe('window kernel', () => {
  test('the slope of a straight line is its slope, the mean weights sum to one', () => {
    fc.assert(
      fc.property(times, fc.double({ min: -50, max: 50, noNaN: true }), (time, slope) => {
        const { slope: c, mean } = windowKernel(time, 0, time.length);
        expect(sum(c, (k) => 7 + slope * (time[k] - time[0]))).toBeCloseTo(slope, 6);
        expect(sum(mean, () => 1)).toBeCloseTo(1, 9);
      }),
    );
  });

  test('slope of the speed and mean of the acceleration are one: exact for speeds whose acceleration is linear in time', () => {
    // ω = t²/2 has a = t; the trapezoidal rule is exact for linear a, whatever the sample times.
    fc.assert(
      fc.property(times, (time) => {
        const { slope, mean } = windowKernel(time, 0, time.length);
        const t0 = time[0];
        const bySpeed = sum(slope, (k) => (time[k] - t0) ** 2 / 2);
        const byAcceleration = sum(mean, (k) => time[k] - t0);
        expect(bySpeed).toBeCloseTo(byAcceleration, 9);
      }),
    );
  });

  test('white noise: the slope has the variance of least squares, 12σ²/(n(n²-1)Δ²), and not that of two end samples', () => {
    const n = 50;
    const step = 0.01;
    const { slope } = windowKernel(
      Float64Array.from({ length: n }, (_, k) => k * step),
      0,
      n,
    );
    // Source: least-squares slope of evenly spaced samples, any statistics text.
    expect(
      sum(
        slope.map((c) => c * c),
        () => 1,
      ),
    ).toBeCloseTo(12 / (n * (n * n - 1) * step * step), 8);
  });
});
