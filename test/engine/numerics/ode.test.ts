import { expect, test } from 'vitest';
import { brent, singularValues, solveOde } from '../../../src/engine/numerics/index.js';

const oscillator = (_t: number, y: Float64Array, out: Float64Array): void => {
  out[0] = y[1];
  out[1] = -y[0];
};

test('harmonic oscillator: the error follows the tolerance, at steps and between them', () => {
  let last = Number.POSITIVE_INFINITY;
  for (const tolerance of [1e-4, 1e-7, 1e-10]) {
    const at = Float64Array.from({ length: 201 }, (_, i) => i / 10);
    const solution = solveOde(oscillator, 0, 20, [0, 1], { relative: tolerance, absolute: tolerance, at });
    expect(solution.times).toEqual(at);
    let error = 0;
    solution.states.forEach((y, i) => {
      error = Math.max(error, Math.abs(y[0] - Math.sin(at[i])), Math.abs(y[1] - Math.cos(at[i])));
    });
    // Twenty units of time add up some tens of step errors.
    expect(error).toBeLessThan(100 * tolerance);
    expect(error).toBeLessThan(last / 100);
    last = error;
  }
});

test('fixed steps: order 5 at the steps, order 4 or better of the interpolant', () => {
  const run = (h: number, at?: number[]) =>
    solveOde(oscillator, 0, 4, [0, 1], { relative: 1, absolute: 1e3, maxStep: h, at });
  const end = (h: number): number => {
    const y = run(h).states.at(-1)!;
    return Math.hypot(y[0] - Math.sin(4), y[1] - Math.cos(4));
  };
  // First steps are shorter than maxStep only until the control has grown them, the same few in both runs.
  expect(Math.log2(end(0.2) / end(0.1))).toBeGreaterThan(4.5);
  const inner = (h: number): number => {
    const at = Array.from({ length: 97 }, (_, i) => 1 + i / 37.3);
    return Math.max(...run(h, at).states.map((y, i) => Math.abs(y[0] - Math.sin(at[i]))));
  };
  expect(Math.log2(inner(0.4) / inner(0.1)) / 2).toBeGreaterThan(3.7);
});

test('coast-down with Coulomb and viscous drag: closed form, a time-dependent right-hand side, exact end', () => {
  // J dw/dt = -(Tc + B w): w = (w0 + Tc/B) e^(-Bt/J) - Tc/B
  const [J, Tc, B, w0] = [0.8, 1.5, 0.05, 60];
  const { times, states } = solveOde((_t, y, out) => (out[0] = -(Tc + B * y[0]) / J), 0, 12, [w0], {
    relative: 1e-10,
  });
  expect(times[times.length - 1]).toBe(12);
  times.forEach((t, i) => {
    expect(states[i][0]).toBeCloseTo((w0 + Tc / B) * Math.exp((-B * t) / J) - Tc / B, 7);
  });
  const timed = solveOde((t, _y, out) => (out[0] = 3 * t * t), 1, 2, [1], { relative: 1e-9 });
  expect(timed.states.at(-1)![0]).toBeCloseTo(8, 12);
});

test('a singularity stalls with its place, an empty span is refused', () => {
  expect(() => solveOde((_t, y, out) => (out[0] = y[0] * y[0]), 0, 2, [1])).toThrow(
    /stalls at t = (0\.99999|1)/,
  );
  expect(() => solveOde(oscillator, 1, 1, [0, 1])).toThrow(/from 1 to 1/);
});

test('Brent: roots to the last digits, also of a flat and of a jumping function', () => {
  expect(brent((x) => x * x - 2, 0, 2)).toBeCloseTo(Math.SQRT2, 15);
  expect(brent((x) => Math.cos(x) - x, 0, 1)).toBeCloseTo(0.7390851332151607, 15); // Dottie number (from memory)
  expect(Math.abs(brent((x) => (x - 1) ** 9, -3, 4))).toBeCloseTo(1, 1);
  expect(brent((x) => (x < 0.3 ? -1 : 5), 0, 1)).toBeCloseTo(0.3, 14);
  let calls = 0;
  brent(
    (x) => {
      calls++;
      return Math.exp(x) - 5;
    },
    -10,
    10,
  );
  expect(calls).toBeLessThan(20);
  expect(() => brent((x) => x * x + 1, -1, 1)).toThrow(/no change of sign/);
  expect(() => brent(() => Number.NaN, -1, 1)).toThrow(/no change of sign/);
});

test('singular values of a known product', () => {
  // diag(3, 1e-8) rotated from both sides; columns of [[0.8, -0.6], [0.6, 0.8]] are orthonormal.
  const rotate = (c: number, s: number, [x, y]: number[]): number[] => [c * x - s * y, s * x + c * y];
  const small = 2 ** -26;
  const right = [rotate(0.8, 0.6, [1, 0]), rotate(0.8, 0.6, [0, 1])];
  const columns = [0, 1].map((j) => rotate(0.28, 0.96, [3 * right[0][j], small * right[1][j]]));
  const values = singularValues(Float64Array.from(columns.flat()), 2, 2);
  expect(values[0]).toBeCloseTo(3, 14);
  // Rounding of the entries, 1e-16 of 3, is seen at the small value.
  expect(Math.abs(values[1] - small)).toBeLessThan(1e-15);
});
