import { describe, expect, test } from 'vitest';
import { dragAt, dragCurve } from '../../../src/engine/identify/dragCurve.js';
import type { Fit } from '../../../src/engine/identify/fit.js';
import { type DriveFit, fitDrive } from '../../../src/engine/identify/fitDrive.js';
import type { DragPoint } from '../../../src/engine/identify/identification.js';
import { staircaseContext } from '../../support/staircaseDrive.js';

const drag = (w: number): number => 2 + 0.02 * w + 1e-4 * w * w;
const levels = [8, 20, 35, 50, 65, 80, 100, 80, 65, 50, 35, 20, 8];

function curveOf(seed: number, noise: number, extra?: (i: number) => number, law = drag) {
  const context = staircaseContext({ inertia: 0.1, drag: law, noise, seed, extra }, levels, {
    hold: 2,
    rate: 40,
    interval: 0.02,
  });
  const result = fitDrive(context) as DriveFit;
  return { result, context, points: dragCurve(result, result.fit.covariance, context.stretches, 1) };
}

const near = (points: readonly DragPoint[], speed: number): DragPoint =>
  points.reduce((a, b) => (Math.abs(b.speed - speed) < Math.abs(a.speed - speed) ? b : a));

describe('drag curve of a staircase with known drag', () => {
  const { points, context, result } = curveOf(1, 0.02);

  test('without noise it is the drag itself, fitted and on the plateaus', () => {
    for (const p of curveOf(1, 1e-6).points)
      expect(Math.abs(p.torque / drag(p.speed) - 1)).toBeLessThan(1e-3);
  });

  test('ascending, within the speeds seen, with a point at every plateau', () => {
    for (let k = 1; k < points.length; k++)
      expect(points[k].speed).toBeGreaterThanOrEqual(points[k - 1].speed);
    expect(points[0].speed).toBeGreaterThan(7.9);
    expect(points[points.length - 1].speed).toBeLessThan(100.1);
    const plateaus = points.filter((p) => p.from === 'plateau').map((p) => Math.round(p.speed));
    expect(plateaus).toEqual(levels.toSorted((a, b) => a - b));
  });

  test('twice the torque gives twice the curve and twice the band', () => {
    const double = dragAt(
      { ...result.fit, coefficients: result.fit.coefficients.map((c) => 2 * c) },
      result.fit.covariance.map((c) => 4 * c),
      40,
      1,
    );
    const single = dragAt(result.fit, result.fit.covariance, 40, 1);
    expect(double.torque).toBeCloseTo(2 * single.torque, 12);
    expect(double.halfWidth95).toBeCloseTo(2 * single.halfWidth95, 12);
    expect(context.stretches.length).toBe(2 * levels.length - 1);
  });

  test('plateaus of the one direction are no points of the other', () => {
    expect(
      dragCurve(result, result.fit.covariance, context.stretches, -1).some((p) => p.from === 'plateau'),
    ).toBe(false);
  });
});

test('the band contains the truth at low, middle and top speed in at least 90 % of 100 runs', () => {
  const speeds = [10, 30, 60, 95];
  const hits = speeds.map(() => 0);
  for (let seed = 1; seed <= 100; seed++) {
    // Each plateau has an error of its own besides white noise, as ripple and drift leave.
    const offsets = levels.map((_, k) => 0.03 * Math.sin(12.9898 * (seed * 31 + k) + 78.233 * k));
    const { points } = curveOf(seed, 0.1, (i) => offsets[Math.min(levels.length - 1, Math.floor(i / 150))]);
    const fitted = points.filter((p) => p.from === 'fit');
    speeds.forEach((speed, k) => {
      const p = near(fitted, speed);
      if (Math.abs(p.torque - drag(p.speed)) <= p.halfWidth95) hits[k]++;
      // Errors of 0.02 N·m a plateau on thirteen plateaus: a band of a tenth of the drag would say nothing.
      expect(p.halfWidth95).toBeLessThan(0.03 * drag(p.speed));
    });
  }
  for (const n of hits) expect(n).toBeGreaterThanOrEqual(90);
});

/**
 * A line through points with a known covariance of its two coefficients: the variance of its value is
 * c00 + 2·ω·c01 + ω²·c11, least where ω = -c01/c11.
 */
test('the band of Coulomb and viscous drag is that of a straight line, narrowest between the speeds it rests on', () => {
  const fit: Fit = {
    model: {
      terms: [
        { name: 'coulomb', direction: 1 },
        { name: 'viscous', direction: 1 },
      ],
    },
    rows: [],
    coefficients: Float64Array.from([2, 0.02]),
    covariance: Float64Array.from([0.04, -6e-4, -6e-4, 1.2e-5]),
    residuals: new Float64Array(0),
    rss: 0,
    degreesOfFreedom: 1e6,
    condition: 1,
    rank: 2,
  };
  for (const w of [0, 25, 50, 100]) {
    const p = dragAt(fit, fit.covariance, w, 1);
    expect(p.torque).toBeCloseTo(2 + 0.02 * w, 12);
    // 1.95996: normal quantile of 97.5 %.
    expect(p.halfWidth95).toBeCloseTo(1.95996 * Math.sqrt(0.04 - 2 * w * 6e-4 + w * w * 1.2e-5), 4);
  }
  const half = (w: number): number => dragAt(fit, fit.covariance, w, 1).halfWidth95;
  expect(half(50)).toBeLessThan(half(49));
  expect(half(50)).toBeLessThan(half(51));
});
