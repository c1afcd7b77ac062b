import { describe, expect, test } from 'vitest';
import { bandPath, coordinate, linePath, tracePath } from '../../../../src/engine/report/svg/path.js';
import { linearScale } from '../../../../src/engine/report/svg/scale.js';

const sx = linearScale([0, 10], [0, 100]);
const sy = linearScale([0, 10], [100, 0]);

test('coordinate has at most two decimals and no negative zero', () => {
  expect([1, 1.5, 1.005, -0.001, 1e-9, 100].map(coordinate)).toEqual(['1', '1.5', '1', '0', '0', '100']);
});

describe('linePath', () => {
  test('breaks at a gap instead of bridging it', () => {
    expect(linePath([0, 1, 2, 3, 4], [1, 2, Number.NaN, 3, 4], sx, sy)).toBe('M0 90L10 80M30 70L40 60');
  });
  test('is empty for nothing', () => {
    expect(linePath([], [], sx, sy)).toBe('');
    expect(linePath([Number.NaN], [1], sx, sy)).toBe('');
  });
});

describe('bandPath', () => {
  test('runs along the upper edge, back along the lower, and closes', () => {
    expect(bandPath([0, 5, 10], [1, 2, 3], [2, 4, 6], sx, sy)).toBe('M0 80L50 60L100 40L100 70L50 80L0 90Z');
  });
  test('encloses the area between its edges', () => {
    // Shoelace over the outline against the trapezium rule over the data: 1/2·(1+2)·5 + 1/2·(2+3)·5 = 20 in data units.
    const points = bandPath([0, 5, 10], [1, 2, 3], [2, 4, 6], sx, sy)
      .slice(1, -1)
      .split('L')
      .map((p) => p.split(' ').map(Number) as [number, number]);
    let twice = 0;
    points.forEach(([x, y], i) => {
      const [u, v] = points[(i + 1) % points.length] as [number, number];
      twice += x * v - u * y;
    });
    expect(Math.abs(twice) / 2).toBeCloseTo(20 * 10 * 10, 9);
  });
  test('splits where an edge is missing and leaves out a lone point', () => {
    const d = bandPath(
      [0, 1, 2, 3, 4],
      [0, 0, Number.NaN, 0, 0],
      [1, 1, 1, 1, Number.POSITIVE_INFINITY],
      sx,
      sy,
    );
    expect(d).toBe('M0 90L10 90L10 100L0 100Z');
  });
});

test('tracePath draws a lone sample as a dot and a crowd as a bar', () => {
  expect(
    tracePath(
      [
        { x: 1, min: 2, max: 2 },
        { x: 3, min: 1, max: 4 },
      ],
      sx,
      sy,
    ),
  ).toBe('M10 80h0M30 60V90');
});
