import { describe, expect, it } from 'vitest';
import { isTautlineError } from '../../../src/engine/errors.js';
import { fewestKnots, interpolationError } from '../../../src/engine/feedforward/knots.js';

const stribeck = (w: number): number => 0.6 + 0.2 * Math.exp(-w / 3) + 0.003 * w + 1e-5 * w * w;

/** Fewest pieces by dynamic programming over all pairs of places on a grid: another method than the one under test. */
function fewestPiecesOnGrid(f: (x: number) => number, to: number, tolerance: number, places: number): number {
  const x = Array.from({ length: places }, (_, k) => (k / (places - 1)) * to);
  const fits = (a: number, b: number): boolean => {
    for (let k = a + 1; k < b; k++) {
      const line = f(x[a]!) + ((f(x[b]!) - f(x[a]!)) * (x[k]! - x[a]!)) / (x[b]! - x[a]!);
      if (Math.abs(f(x[k]!) - line) > tolerance) return false;
    }
    return true;
  };
  const pieces = new Array<number>(places).fill(Number.POSITIVE_INFINITY);
  pieces[0] = 0;
  for (let b = 1; b < places; b++)
    for (let a = 0; a < b; a++) if (pieces[a]! + 1 < pieces[b]! && fits(a, b)) pieces[b] = pieces[a]! + 1;
  return pieces[places - 1]!;
}

describe('fewest knots', () => {
  it('spaces a parabola evenly, with the error k·h²/4 of its chords (second derivative times h²/8)', () => {
    const k = 2e-5;
    const top = 150;
    for (const tolerance of [0.01, 0.003, 0.0007]) {
      const knots = fewestKnots((w) => 0.5 + 0.004 * w + k * w * w, 0, top, tolerance);
      const pieces = Math.ceil(top * Math.sqrt(k / (4 * tolerance)));
      expect(knots.length).toBe(pieces + 1);
      knots.forEach((w, i) => {
        expect(w).toBeCloseTo((i * top) / pieces, 4);
      });
      const error = interpolationError((w) => k * w * w, knots);
      expect(error).toBeLessThanOrEqual(tolerance);
      expect(error / ((k * (top / pieces) ** 2) / 4)).toBeCloseTo(1, 2);
    }
  });

  it('needs two knots for a straight line, whatever the tolerance', () => {
    expect(fewestKnots((w) => 0.3 + 0.02 * w, 0, 100, 1e-9)).toEqual([0, 100]);
  });

  it('needs as few pieces as dynamic programming over a grid finds, also with a steep start', () => {
    for (const tolerance of [0.02, 0.008, 0.004]) {
      const knots = fewestKnots(stribeck, 0, 150, tolerance);
      expect(interpolationError(stribeck, knots)).toBeLessThanOrEqual(tolerance * (1 + 1e-3));
      // The grid can only need more pieces than free places do.
      expect(knots.length - 1).toBeLessThanOrEqual(fewestPiecesOnGrid(stribeck, 150, tolerance, 301));
      expect(knots[0]).toBe(0);
      expect(knots.at(-1)).toBe(150);
      for (let i = 1; i < knots.length; i++) expect(knots[i]!).toBeGreaterThan(knots[i - 1]!);
    }
  });

  it('spreads the error over all pieces when one knot less would not do', () => {
    const knots = fewestKnots(stribeck, 0, 150, 0.008);
    const errors = knots.slice(1).map((b, i) => interpolationError(stribeck, [knots[i]!, b]));
    expect(Math.max(...errors) / Math.min(...errors)).toBeLessThan(1.05);
  });

  it('refuses an empty range, a tolerance of nothing and one that asks for thousands of knots', () => {
    for (const [to, tolerance] of [
      [0, 0.1],
      [100, 0],
      [100, Number.NaN],
      [100, 1e-12],
    ] as const)
      expect(() => fewestKnots((w) => w * w, 0, to, tolerance)).toThrowError(
        expect.toSatisfy((e) => isTautlineError(e) && e.code === 'argument_invalid'),
      );
  });
});
