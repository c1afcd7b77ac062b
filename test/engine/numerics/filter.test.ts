import { describe, expect, test } from 'vitest';
import {
  butterworth,
  chebyshev1,
  decimate,
  filtfilt,
  type SectionFilter,
  savitzkyGolay,
  savitzkyGolayWeights,
} from '../../../src/engine/numerics/index.js';
import { largestDifference, scipy } from './scipyReference.js';

const signal = Float64Array.from(scipy.signal);

/** Gain at an angular frequency a sample, straight from the sections. */
function gainAt(filter: SectionFilter, omega: number): number {
  let gain = 1;
  const size = ([c0, c1, c2]: readonly [number, number, number]): number =>
    Math.hypot(
      c0 + c1 * Math.cos(omega) + c2 * Math.cos(2 * omega),
      c1 * Math.sin(omega) + c2 * Math.sin(2 * omega),
    );
  for (const { b, a } of filter.sections) gain *= size(b) / size(a);
  return gain;
}

describe.each(scipy.filters)('order $order, ripple $ripple_dB, cut-off $cutoff', (reference) => {
  const { order, ripple_dB, cutoff } = reference;
  const filter = ripple_dB === null ? butterworth(order, cutoff) : chebyshev1(order, ripple_dB, cutoff);

  test('gain agrees with SciPy', () => {
    // Rounding of the pole positions, magnified by the resonance of the sections: below 1e-11 of the gain.
    reference.omega.forEach((omega, i) => {
      expect(Math.abs(gainAt(filter, omega) - reference.gain[i])).toBeLessThan(
        1e-11 * reference.gain[i] + 1e-15,
      );
    });
  });

  test('forward and backward filtering agrees with SciPy, ends included', () => {
    expect(largestDifference(filtfilt(filter, signal), reference.filtfilt)).toBeLessThan(1e-11);
  });

  test('half power at the Butterworth cut-off, the ripple at the Chebyshev edge', () => {
    const wanted = ripple_dB === null ? Math.SQRT1_2 : 10 ** (-ripple_dB / 20);
    expect(gainAt(filter, Math.PI * cutoff)).toBeCloseTo(wanted, 11);
  });

  test('a straight line passes scaled by the squared gain at 0, and time reversal changes nothing', () => {
    const line = Float64Array.from({ length: 3000 }, (_, i) => 0.01 * (i - 1500));
    const gain = gainAt(filter, 0) ** 2;
    // Away from the ends: the filter starts settled at a level, not at a slope.
    const middle = filtfilt(filter, line).slice(1400, 1600);
    expect(
      largestDifference(
        middle,
        line.slice(1400, 1600).map((v) => v * gain),
      ),
    ).toBeLessThan(1e-10);
    const inside = filtfilt(butterworth(2, 0.4), signal);
    const back = filtfilt(butterworth(2, 0.4), signal.slice().reverse()).reverse();
    // Starting states differ at the ends and die out within some tens of samples.
    expect(largestDifference(inside.slice(60, 140), back.slice(60, 140))).toBeLessThan(1e-12);
  });
});

test('decimation agrees with SciPy; the last sample can be the one kept', () => {
  expect(largestDifference(decimate(signal, 10), scipy.decimate10)).toBeLessThan(1e-10);
  const smooth = filtfilt(chebyshev1(8, 0.05, 0.08), signal);
  const last = decimate(signal, 10, 'last');
  expect(last.length).toBe(20);
  expect(last[19]).toBe(smooth[199]);
  expect(last[0]).toBe(smooth[9]);
  expect(decimate(signal, 1)).toEqual(signal);
});

describe.each(scipy.savgol)('Savitzky-Golay $window, $degree, $derivative', (reference) => {
  const { window, degree, derivative, step } = reference;
  test('agrees with SciPy, ends included', () => {
    const scale = Math.max(...reference.weights.map(Math.abs));
    const weights = savitzkyGolayWeights(window, degree, derivative, step);
    expect(largestDifference(weights, reference.weights)).toBeLessThan(1e-11 * scale);
    const values = savitzkyGolay(signal, window, degree, derivative, step).slice(0, 40);
    // SciPy fits the ends with plain powers of the sample number: 1e-9 is its condition there.
    expect(largestDifference(values, reference.values)).toBeLessThan(1e-9 * scale * window);
  });

  test('a polynomial of its degree is differentiated exactly, ends included', () => {
    const at = (i: number): number => i * step - 1;
    const power = (x: number, k: number): number => (k < 0 ? 0 : x ** k);
    const x = Float64Array.from({ length: 80 }, (_, i) => 2 - at(i) + 3 * power(at(i), degree));
    let factor = 3;
    for (let k = 0; k < derivative; k++) factor *= degree - k;
    const lower = (v: number): number => (derivative === 0 ? 2 - v : derivative === 1 ? -1 : 0);
    const wanted = x.map((_, i) => lower(at(i)) + factor * power(at(i), degree - derivative));
    expect(largestDifference(savitzkyGolay(x, window, degree, derivative, step), wanted)).toBeLessThan(1e-9);
  });
});

test('variance of the quadratic first derivative: 1/(step² m(m+1)(2m+1)/3)', () => {
  const m = 6;
  const weights = savitzkyGolayWeights(2 * m + 1, 2, 1, 0.01);
  const variance = weights.reduce((s, w) => s + w * w, 0);
  expect((variance * (0.01 ** 2 * m * (m + 1) * (2 * m + 1))) / 3).toBeCloseTo(1, 12);
});

test('refusals', () => {
  expect(() => butterworth(0, 0.2)).toThrow(/order of 0/);
  expect(() => butterworth(2, 1)).toThrow(/cut-off of 1/);
  expect(() => chebyshev1(4, 0, 0.2)).toThrow(/ripple of 0/);
  expect(() => filtfilt(butterworth(4, 0.2), new Float64Array(15))).toThrow(/15 samples are too few/);
  expect(() =>
    filtfilt(
      butterworth(1, 0.2),
      signal.map((v, i) => (i === 5 ? Number.NaN : v)),
    ),
  ).toThrow(/sample 5/);
  expect(() => decimate(signal, 2.5)).toThrow(/2.5/);
  expect(() => savitzkyGolayWeights(5, 5)).toThrow(/degree 5/);
  expect(() => savitzkyGolay(signal, 4, 2)).toThrow(/window of 4/);
});
