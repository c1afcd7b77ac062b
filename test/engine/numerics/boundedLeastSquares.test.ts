import { describe, expect, test } from 'vitest';
import { boundedLeastSquares } from '../../../src/engine/numerics/boundedLeastSquares.js';

const rosenbrock = ([x = 0, y = 0]: Float64Array): Float64Array => Float64Array.of(10 * (y - x * x), 1 - x);

describe('least squares in a box', () => {
  test('Rosenbrock’s valley to its known minimum (1, 1)', () => {
    const s = boundedLeastSquares({
      start: [-1.2, 1],
      lower: [-2, -2],
      upper: [2, 2],
      residuals: rosenbrock,
      maxIterations: 200,
      tolerance: 1e-12,
      step: 1e-7,
    });
    expect(s.parameters[0]).toBeCloseTo(1, 4);
    expect(s.parameters[1]).toBeCloseTo(1, 4);
    expect([...s.held]).toEqual([0, 0]);
  });

  test('with the valley cut off at x = 0.5 the minimum is (0.5, 0.25), by hand: y = x², sum (1 − x)²', () => {
    const s = boundedLeastSquares({
      start: [-1.2, 1],
      lower: [-2, -2],
      upper: [0.5, 2],
      residuals: rosenbrock,
      maxIterations: 200,
      tolerance: 1e-12,
      step: 1e-7,
    });
    expect(s.parameters[0]).toBe(0.5);
    expect(s.parameters[1]).toBeCloseTo(0.25, 5);
    expect(s.sumOfSquares).toBeCloseTo(0.25, 8);
    expect([...s.held]).toEqual([1, 0]);
  });

  test('a linear problem whose minimum lies outside ends in the corner, and says which bounds hold it', () => {
    const s = boundedLeastSquares({
      start: [1, 1],
      lower: [0, 0],
      upper: [2, 2],
      residuals: ([x = 0, y = 0]) => Float64Array.of(x - 3, y + 1),
    });
    expect([...s.parameters]).toEqual([2, 0]);
    expect([...s.held]).toEqual([1, -1]);
    expect(s.ended).toBe('converged');
  });

  test('never asks outside the box, and steps back from where the residuals are no numbers', () => {
    const seen: number[] = [];
    const s = boundedLeastSquares({
      start: [0.2],
      lower: [0],
      upper: [10],
      residuals: ([x = 0]) => {
        seen.push(x);
        return Float64Array.of(x < 4 ? Math.log(x + 1) - Math.log(3) : Number.NaN);
      },
      tolerance: 1e-14,
      step: 1e-7,
    });
    expect(s.parameters[0]).toBeCloseTo(2, 6);
    expect(Math.min(...seen)).toBeGreaterThanOrEqual(0);
    expect(Math.max(...seen)).toBeLessThanOrEqual(10);
  });

  test('can be stopped, and keeps what it has', () => {
    const s = boundedLeastSquares({
      start: [-1.2, 1],
      lower: [-2, -2],
      upper: [2, 2],
      residuals: rosenbrock,
      onIteration: (k) => k < 2,
    });
    expect(s.ended).toBe('stopped');
    expect(s.iterations).toBe(2);
    expect(s.sumOfSquares).toBeLessThan(24.2);
  });

  test('bounds without a range between them are refused', () =>
    expect(() => boundedLeastSquares({ start: [1], lower: [1], upper: [1], residuals: (x) => x })).toThrow(
      /no range/,
    ));
});
