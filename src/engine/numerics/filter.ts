import { TautlineError } from '../errors.js';

/** Second-order section y = (b0 + b1 z⁻¹ + b2 z⁻²)/(1 + a1 z⁻¹ + a2 z⁻²) x; of first order when b2 = a2 = 0. */
export interface Section {
  readonly b: readonly [number, number, number];
  readonly a: readonly [1, number, number];
}

/** A filter as a cascade of sections: unlike one long polynomial it keeps its digits at low cut-off. */
export interface SectionFilter {
  readonly order: number;
  readonly sections: readonly Section[];
}

/**
 * Digital low-pass Butterworth filter by the bilinear transform, unity gain at 0, -3 dB at `cutoff`, a fraction of the
 * Nyquist frequency (half the sampling rate), between 0 and 1.
 * @throws TautlineError argument_invalid. Source: any digital filter text.
 */
export function butterworth(order: number, cutoff: number): SectionFilter {
  checkDesign(order, cutoff);
  const warped = 2 * Math.tan((Math.PI * cutoff) / 2);
  return lowPass(order, 1, (angle) => [-warped * Math.cos(angle), warped * Math.sin(angle)]);
}

/**
 * Digital low-pass Chebyshev filter of type I: equal ripple of `ripple_dB` decibels below 1 in the pass band, whose edge
 * `cutoff` is a fraction of the Nyquist frequency. @throws TautlineError argument_invalid. Source: as `butterworth`.
 */
export function chebyshev1(order: number, ripple_dB: number, cutoff: number): SectionFilter {
  checkDesign(order, cutoff);
  if (!(ripple_dB > 0)) fail({ ripple_dB }, `a ripple of ${ripple_dB} dB is not above 0`, 'pass decibels');
  const warped = 2 * Math.tan((Math.PI * cutoff) / 2);
  const mu = Math.asinh(1 / Math.sqrt(10 ** (ripple_dB / 10) - 1)) / order;
  // An even order starts at the bottom of the ripple.
  const gain = order % 2 === 0 ? 10 ** (-ripple_dB / 20) : 1;
  return lowPass(order, gain, (angle) => [
    -warped * Math.sinh(mu) * Math.cos(angle),
    warped * Math.cosh(mu) * Math.sin(angle),
  ]);
}

/**
 * Filter forwards and backwards: no phase shift, the squared gain. Both ends are first lengthened by the signal's own odd
 * reflection, 3·(order + 1) samples, and the filter starts settled at the first of them.
 * A gap (NaN) would spread over all samples: values must be finite.
 * @throws TautlineError argument_invalid for gaps and for records not longer than the reflection.
 * Source: Gustafsson, IEEE Trans. Signal Process. 44(4), 1996, for the problem of the ends (from memory).
 */
export function filtfilt(filter: SectionFilter, x: Float64Array): Float64Array {
  const pad = 3 * (filter.order + 1);
  const n = x.length;
  if (!(n > pad))
    fail({ length: n, needed: pad + 1 }, `${n} samples are too few`, `pass at least ${pad + 1} samples`);
  const gap = x.findIndex((v) => !Number.isFinite(v));
  if (gap >= 0) fail({ index: gap }, `sample ${gap} is ${x[gap]}`, 'filter the stretches between gaps apart');
  const extended = new Float64Array(n + 2 * pad);
  extended.set(x, pad);
  for (let i = 1; i <= pad; i++) {
    extended[pad - i] = 2 * x[0] - x[i];
    extended[pad + n - 1 + i] = 2 * x[n - 1] - x[n - 1 - i];
  }
  runSettled(filter, extended);
  extended.reverse();
  runSettled(filter, extended);
  extended.reverse();
  return extended.slice(pad, pad + n);
}

/**
 * Keep one sample of `factor`, after a zero-phase Chebyshev low-pass (order 8, 0.05 dB, edge at 0.8 of the new Nyquist
 * frequency) against aliasing. `keep`: which sample is sure to stay, the first or the last one.
 * Errors as `filtfilt`.
 */
export function decimate(x: Float64Array, factor: number, keep: 'first' | 'last' = 'first'): Float64Array {
  if (!(Number.isInteger(factor) && factor >= 1))
    fail({ factor }, `a decimation factor of ${factor} is not a whole number from 1`, 'pass 1 or more');
  if (factor === 1) return x.slice();
  const smooth = filtfilt(chebyshev1(8, 0.05, 0.8 / factor), x);
  const first = keep === 'first' ? 0 : (x.length - 1) % factor;
  const count = Math.floor((x.length - 1 - first) / factor) + 1;
  return Float64Array.from({ length: count }, (_, i) => smooth[first + i * factor]);
}

/** Sections from the poles of the analogue prototype at angles from the negative real axis; all zeros at z = -1. */
function lowPass(
  order: number,
  gain: number,
  pole: (angle: number) => [re: number, im: number],
): SectionFilter {
  const sections: Section[] = [];
  for (let k = 1 - (order % 2); k < order; k += 2) {
    const [re, im] = pole((Math.PI * k) / (2 * order));
    // Bilinear transform z = (2 + s)/(2 - s), sampling interval 1.
    if (k === 0) {
      const z = (2 + re) / (2 - re);
      const b = (1 - z) / 2;
      sections.push({ b: [b, b, 0], a: [1, -z, 0] });
      continue;
    }
    const below = (2 - re) ** 2 + im * im;
    const a1 = (-2 * (4 - re * re - im * im)) / below;
    const a2 = ((2 + re) ** 2 + im * im) / below;
    // (1 + a1 + a2)/4 written without its cancellation at low cut-off.
    const b = (re * re + im * im) / below;
    sections.push({ b: [b, 2 * b, b], a: [1, a1, a2] });
  }
  const [first, ...rest] = sections;
  const [b0, b1, b2] = first.b;
  return { order, sections: [{ b: [b0 * gain, b1 * gain, b2 * gain], a: first.a }, ...rest] };
}

/** Run in place, every section starting in the steady state of the first sample. */
function runSettled({ sections }: SectionFilter, x: Float64Array): void {
  for (const { b, a } of sections) {
    const steady = x[0] * ((b[0] + b[1] + b[2]) / (1 + a[1] + a[2]));
    let second = b[2] * x[0] - a[2] * steady;
    let first = b[1] * x[0] - a[1] * steady + second;
    for (let i = 0; i < x.length; i++) {
      const input = x[i];
      const output = b[0] * input + first;
      first = b[1] * input - a[1] * output + second;
      second = b[2] * input - a[2] * output;
      x[i] = output;
    }
  }
}

function checkDesign(order: number, cutoff: number): void {
  if (!(Number.isInteger(order) && order >= 1))
    fail({ order }, `a filter order of ${order} is not a whole number from 1`, 'pass 1 or more');
  if (!(cutoff > 0 && cutoff < 1))
    fail(
      { cutoff },
      `a cut-off of ${cutoff} is not between 0 and 1`,
      'pass a fraction of half the sampling rate',
    );
}

function fail(where: Record<string, number>, message: string, next: string): never {
  throw new TautlineError('argument_invalid', where, message, next);
}
