import { TautlineError } from '../errors.js';

export interface Spectrum {
  readonly re: Float64Array;
  readonly im: Float64Array;
}

/**
 * Discrete Fourier transform of any length n >= 1, X[k] = Σ x[m] e^(-2πi km/n), unscaled, in order of n log n: radix 2 for
 * powers of two, otherwise as a convolution of such a length (Bluestein). Input is not changed.
 * Source: Cooley and Tukey 1965; Bluestein, IEEE Trans. Audio Electroacoust. 18(4), 1970 (from memory).
 */
export function fft(re: Float64Array, im: Float64Array): Spectrum {
  const n = re.length;
  if (!(n >= 1 && im.length === n))
    throw new TautlineError(
      'argument_invalid',
      { re: n, im: im.length },
      `a transform needs as many imaginary as real values, at least one, not ${im.length} and ${n}`,
      'pass two arrays of one length',
    );
  if ((n & (n - 1)) !== 0) return bluestein(re, im);
  const out = { re: re.slice(), im: im.slice() };
  radix2(out.re, out.im);
  return out;
}

/** Transform of real samples: the n/2 + 1 (rounded down) values from frequency 0 up; the rest mirrors them. */
export function realFft(x: Float64Array): Spectrum {
  const { re, im } = fft(x, new Float64Array(x.length));
  const half = Math.floor(x.length / 2) + 1;
  return { re: re.slice(0, half), im: im.slice(0, half) };
}

/** Inverse of `fft`, scaled by 1/n. */
export function inverseFft(re: Float64Array, im: Float64Array): Spectrum {
  // Swapping real and imaginary parts turns the forward transform into the backward one.
  const { re: imaginary, im: real } = fft(im, re);
  const scale = 1 / re.length;
  return { re: real.map((v) => v * scale), im: imaginary.map((v) => v * scale) };
}

function radix2(re: Float64Array, im: Float64Array): void {
  const n = re.length;
  for (let i = 1, j = 0; i < n; i++) {
    let bit = n >> 1;
    for (; j & bit; bit >>= 1) j ^= bit;
    j ^= bit;
    if (i < j) {
      [re[i], re[j]] = [re[j], re[i]];
      [im[i], im[j]] = [im[j], im[i]];
    }
  }
  // Twiddles straight from sine and cosine: a recurrence would lose digits with n.
  const cosine = Float64Array.from({ length: n / 2 }, (_, k) => Math.cos((2 * Math.PI * k) / n));
  const sine = Float64Array.from({ length: n / 2 }, (_, k) => -Math.sin((2 * Math.PI * k) / n));
  for (let size = 2; size <= n; size *= 2) {
    const half = size / 2;
    const stride = n / size;
    for (let start = 0; start < n; start += size)
      for (let k = 0; k < half; k++) {
        const a = start + k;
        const b = a + half;
        const c = cosine[k * stride];
        const s = sine[k * stride];
        const x = re[b] * c - im[b] * s;
        const y = re[b] * s + im[b] * c;
        re[b] = re[a] - x;
        im[b] = im[a] - y;
        re[a] += x;
        im[a] += y;
      }
  }
}

function bluestein(re: Float64Array, im: Float64Array): Spectrum {
  const n = re.length;
  let m = 1;
  while (m < 2 * n - 1) m *= 2;
  // e^(-πi k²/n); k² is taken modulo 2n to keep the angle small and exact.
  const angle = (k: number): number => (Math.PI * ((k * k) % (2 * n))) / n;
  const c = Float64Array.from({ length: n }, (_, k) => Math.cos(angle(k)));
  const s = Float64Array.from({ length: n }, (_, k) => -Math.sin(angle(k)));
  const chirpRe = new Float64Array(m);
  const chirpIm = new Float64Array(m);
  const workRe = new Float64Array(m);
  const workIm = new Float64Array(m);
  for (let k = 0; k < n; k++) {
    chirpRe[k] = chirpRe[(m - k) % m] = c[k];
    chirpIm[k] = chirpIm[(m - k) % m] = -s[k];
    workRe[k] = re[k] * c[k] - im[k] * s[k];
    workIm[k] = re[k] * s[k] + im[k] * c[k];
  }
  radix2(chirpRe, chirpIm);
  radix2(workRe, workIm);
  for (let k = 0; k < m; k++) {
    const x = workRe[k] * chirpRe[k] - workIm[k] * chirpIm[k];
    workIm[k] = workRe[k] * chirpIm[k] + workIm[k] * chirpRe[k];
    workRe[k] = x;
  }
  const product = inverseFft(workRe, workIm);
  return {
    re: c.map((v, k) => product.re[k] * v - product.im[k] * s[k]),
    im: c.map((v, k) => product.re[k] * s[k] + product.im[k] * v),
  };
}
