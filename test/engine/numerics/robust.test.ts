import { describe, expect, test } from 'vitest';
import {
  createRandom,
  fitHuber,
  levenbergMarquardt,
  solveLeastSquares,
  variableProjection,
} from '../../../src/engine/numerics/index.js';

describe('Huber', () => {
  const random = createRandom('huber');
  const n = 400;
  const design = Float64Array.from({ length: 2 * n }, (_, k) => (k % 2 === 0 ? 1 : random.normal()));
  const clean = Float64Array.from({ length: n }, (_, i) => 5 + 2 * design[2 * i + 1] + random.normal());

  test('a tenth of gross errors moves it by a tenth of what it moves least squares', () => {
    const dirty = clean.map((v, i) => (i % 10 === 0 ? v + 100 : v));
    const robust = fitHuber(design, n, 2, dirty);
    const plain = solveLeastSquares(design, n, 2, dirty);
    expect(robust.converged).toBe(true);
    expect(plain.coefficients[0]).toBeGreaterThan(14);
    expect(Math.abs(robust.coefficients[0] - 5)).toBeLessThan(0.4);
    expect(Math.abs(robust.coefficients[1] - 2)).toBeLessThan(0.3);
    expect(robust.robustWeights[10]).toBeLessThan(0.03);
    // Estimating equations of the M-estimator: Σ ψ(r/s) x = 0.
    for (const j of [0, 1]) {
      let sum = 0;
      robust.residuals.forEach((r, i) => {
        const limit = 1.345 * robust.scale;
        sum += Math.max(-limit, Math.min(limit, r)) * design[2 * i + j];
      });
      expect(Math.abs(sum)).toBeLessThan(1e-5);
    }
  });

  test('with clean errors it stays within their noise; with a wide k it is least squares; exact data end at once', () => {
    const plain = solveLeastSquares(design, n, 2, clean);
    const robust = fitHuber(design, n, 2, clean);
    // Asymptotic variance of the difference: (1/0.95 - 1)/n.
    expect(Math.abs(robust.coefficients[0] - plain.coefficients[0])).toBeLessThan(4 * Math.sqrt(0.053 / n));
    expect(robust.scale).toBeGreaterThan(0.85);
    expect(robust.scale).toBeLessThan(1.15);
    expect(fitHuber(design, n, 2, clean, { k: 100 }).coefficients).toEqual(plain.coefficients);
    const exact = fitHuber(Float64Array.of(1, 1, 1), 3, 1, Float64Array.of(2, 2, 2));
    expect(exact.scale).toBe(0);
    expect(exact.coefficients[0]).toBe(2);
  });
});

describe('variable projection: Coulomb, Stribeck and viscous drag over speed', () => {
  const speeds = Array.from({ length: 60 }, (_, i) => 0.2 * 1.1 ** i);
  const drag = (w: number): number => 2 + 1.5 * Math.exp(-((w / 1.7) ** 2)) + 0.03 * w;
  const grid = [Array.from({ length: 12 }, (_, i) => 0.3 * 1.5 ** i)];
  const design = (theta: ArrayLike<number>, out: Float64Array): void =>
    speeds.forEach((w, i) => {
      out.set([1, Math.exp(-((w / theta[0]) ** 2)), w], 3 * i);
    });

  test('exact data come back', () => {
    const fit = variableProjection({ y: Float64Array.from(speeds, drag), p: 3, grid, design });
    expect(fit.parameters[0]).toBeCloseTo(1.7, 9);
    [2, 1.5, 0.03].forEach((b, j) => {
      expect(fit.linear.coefficients[j]).toBeCloseTo(b, 9);
    });
    expect(fit.atEdge).toBe(false);
  });

  test('noisy, weighted data: same minimum and covariance as a fit of all four parameters at once', () => {
    const random = createRandom('stribeck');
    const y = Float64Array.from(speeds, (w) => drag(w) + 0.02 * random.normal());
    const weights = Float64Array.from(speeds, (_, i) => 1 + (i % 3));
    const fit = variableProjection({ y, weights, p: 3, grid, design });
    const all = levenbergMarquardt({
      n: y.length,
      start: [1.8, 1.2, 0.02, 2],
      residuals: (b, out) =>
        speeds.forEach((w, i) => {
          out[i] = Math.sqrt(weights[i]) * (y[i] - b[0] - b[1] * Math.exp(-((w / b[3]) ** 2)) - b[2] * w);
        }),
    });
    expect(fit.parameters[0] / all.parameters[3]).toBeCloseTo(1, 7);
    expect(fit.linear.rss / all.rss).toBeCloseTo(1, 10);
    for (let k = 0; k < 16; k++)
      expect(fit.unscaledCovariance[k] / all.unscaledCovariance[k]).toBeCloseTo(1, 5);
  });

  test('data without a Stribeck part at the speeds run end at the edge or leave the term undetermined', () => {
    const fast = speeds.filter((w) => w > 12);
    const fit = variableProjection({
      y: Float64Array.from(fast, (w) => 2 + 0.03 * w),
      p: 3,
      grid: [[0.1, 0.15, 0.2, 0.25]],
      design: (theta, out) =>
        fast.forEach((w, i) => {
          out.set([1, Math.exp(-((w / theta[0]) ** 2)), w], 3 * i);
        }),
    });
    expect(fit.linear.coefficients[1]).toBeNaN();
    expect(fit.linear.coefficients[0]).toBeCloseTo(2, 10);
    expect(fit.unscaledCovariance[15]).toBeNaN();
  });

  test('a grid that does not hold the value says so; an unsorted grid is refused', () => {
    const y = Float64Array.from(speeds, drag);
    const fit = variableProjection({ y, p: 3, grid: [[4, 5, 6, 7]], design });
    expect(fit.atEdge).toBe(true);
    expect(fit.parameters[0]).toBeGreaterThanOrEqual(4);
    expect(() => variableProjection({ y, p: 3, grid: [[1, 1]], design })).toThrow(/ascending/);
  });
});

describe('Levenberg-Marquardt', () => {
  test('an analytic Jacobian gives what differences give, and a linear model the linear fit', () => {
    const x = [0, 1, 2, 3, 5, 8];
    const y = [5.1, 3.2, 2.1, 1.3, 0.6, 0.1];
    const problem = {
      n: 6,
      start: [1, 0.1],
      residuals: (b: Float64Array, out: Float64Array) => {
        for (let i = 0; i < 6; i++) out[i] = y[i] - b[0] * Math.exp(-b[1] * x[i]);
      },
    };
    const jacobian = (b: Float64Array, out: Float64Array): void => {
      for (let i = 0; i < 6; i++) {
        out[2 * i] = -Math.exp(-b[1] * x[i]);
        out[2 * i + 1] = b[0] * x[i] * Math.exp(-b[1] * x[i]);
      }
    };
    const differences = levenbergMarquardt(problem);
    const analytic = levenbergMarquardt({ ...problem, jacobian });
    expect(analytic.converged).toBe(true);
    for (const j of [0, 1]) expect(analytic.parameters[j]).toBeCloseTo(differences.parameters[j], 9);
    for (let k = 0; k < 4; k++)
      expect(analytic.unscaledCovariance[k] / differences.unscaledCovariance[k]).toBeCloseTo(1, 8);
  });

  test('Rosenbrock valley from its classic start; a start outside the model is refused', () => {
    const fit = levenbergMarquardt({
      n: 2,
      start: [-1.2, 1],
      residuals: (b, out) => {
        out[0] = 10 * (b[1] - b[0] ** 2);
        out[1] = 1 - b[0];
      },
    });
    expect(fit.converged).toBe(true);
    expect(fit.parameters[0]).toBeCloseTo(1, 12);
    expect(fit.parameters[1]).toBeCloseTo(1, 12);
    expect(() =>
      levenbergMarquardt({ n: 1, start: [-1], residuals: (b, out) => (out[0] = Math.log(b[0])) }),
    ).toThrow(/not finite at the starting values/);
  });
});
