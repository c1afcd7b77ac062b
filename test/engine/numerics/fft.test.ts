import { expect, test } from 'vitest';
import { createRandom, fft, inverseFft, realFft } from '../../../src/engine/numerics/index.js';
import { largestDifference, scipy } from './scipyReference.js';

test.each(scipy.fft)('length $n agrees with SciPy', ({ n, re, im }) => {
  const x = Float64Array.from(scipy.signal.slice(0, n));
  const whole = fft(x, new Float64Array(n));
  // Values up to 20; rounding grows with log n, a little faster in the convolution of odd lengths.
  expect(largestDifference(whole.re, re)).toBeLessThan(1e-13);
  expect(largestDifference(whole.im, im)).toBeLessThan(1e-13);
  const half = realFft(x);
  expect(half.re.length).toBe(Math.floor(n / 2) + 1);
  expect(largestDifference(half.im, im.slice(0, half.im.length))).toBeLessThan(1e-13);
});

test.each([1, 2, 3, 97, 1000, 1024, 30011])(
  'length %i: the inverse undoes it, energy is kept (Parseval)',
  (n) => {
    const random = createRandom(n);
    const re = Float64Array.from({ length: n }, () => random.normal());
    const im = Float64Array.from({ length: n }, () => random.normal());
    const spectrum = fft(re, im);
    const back = inverseFft(spectrum.re, spectrum.im);
    expect(largestDifference(back.re, re)).toBeLessThan(1e-12);
    expect(largestDifference(back.im, im)).toBeLessThan(1e-12);
    const energy = (a: Float64Array, b: Float64Array): number =>
      a.reduce((s, v, i) => s + v * v + b[i] * b[i], 0);
    expect(energy(spectrum.re, spectrum.im) / n / energy(re, im)).toBeCloseTo(1, 12);
  },
);

test('a tone of k turns stands in bin k alone; unequal lengths are refused', () => {
  const n = 90;
  const tone = Float64Array.from({ length: n }, (_, i) => Math.cos((2 * Math.PI * 7 * i) / n + 0.5));
  const { re, im } = realFft(tone);
  for (let k = 0; k <= 45; k++) expect(Math.hypot(re[k], im[k])).toBeCloseTo(k === 7 ? n / 2 : 0, 11);
  expect(Math.atan2(im[7], re[7])).toBeCloseTo(0.5, 12);
  expect(() => fft(tone, new Float64Array(3))).toThrow(/3 and 90/);
});
