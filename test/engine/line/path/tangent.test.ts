import { describe, expect, test } from 'vitest';
import type { Sense } from '../../../../src/engine/line/path/circle.js';
import { type Tangent, tangentBetween } from '../../../../src/engine/line/path/tangent.js';
import { webPath } from '../../../../src/engine/line/path/webPath.js';
import { createRandom } from '../../../../src/engine/numerics/random.js';
import { circle, degrees } from './support.js';

function possible(...args: Parameters<typeof tangentBetween>): Tangent {
  const tangent = tangentBetween(...args);
  if (!tangent.isPossible) throw new Error(`no tangent: ${tangent.missing} m too close`);
  return tangent;
}

// Worked by hand from right-angled triangles: L = √(d² - k²), sin(θ - φ) = k/d. Square roots are written out, so the values have all
// digits of a double; the decimals in the names are those of the worked list.
describe('two rollers', () => {
  test('equal, same sense: L 1, heading 0, along the bottom', () => {
    const t = possible(circle('a', 0, 0, 0.1, 1), circle('b', 1, 0, 0.1, 1));
    expect(t.length).toBeCloseTo(1, 12);
    expect(t.heading).toBeCloseTo(0, 12);
    expect(t.start).toEqual({ x: 0, y: -0.1 });
    expect(t.end).toEqual({ x: 1, y: -0.1 });
  });

  test('equal, opposite senses: L 0.9797958971, heading 11.536959°', () => {
    const t = possible(circle('a', 0, 0, 0.1, 1), circle('b', 1, 0, 0.1, -1));
    expect(t.length).toBeCloseTo(Math.sqrt(0.96), 12);
    expect(t.length).toBeCloseTo(0.9797958971, 9);
    expect(degrees(t.heading)).toBeCloseTo(11.536959, 6);
    expect(t.start.x).toBeCloseTo(0.02, 12);
    expect(t.start.y).toBeCloseTo(-0.1 * Math.sqrt(0.96), 12);
    expect(t.end.x).toBeCloseTo(0.98, 12);
    expect(t.end.y).toBeCloseTo(0.1 * Math.sqrt(0.96), 12);
  });

  test('0.3 and 0.1, same sense: L 1.9899748742, heading 5.739170°', () => {
    const t = possible(circle('a', 0, 0, 0.3, 1), circle('b', 2, 0, 0.1, 1));
    expect(t.length).toBeCloseTo(Math.sqrt(3.96), 12);
    expect(t.length).toBeCloseTo(1.9899748742, 9);
    expect(degrees(t.heading)).toBeCloseTo(5.73917, 6);
    expect(t.start.x).toBeCloseTo(0.03, 12);
    expect(t.start.y).toBeCloseTo(-0.2984962311, 9);
    expect(t.end.x).toBeCloseTo(2.01, 12);
    expect(t.end.y).toBeCloseTo(-0.0994987437, 9);
  });

  test('0.3 and 0.1, opposite senses: L 1.9595917942, heading 11.536959°', () => {
    const t = possible(circle('a', 0, 0, 0.3, 1), circle('b', 2, 0, 0.1, -1));
    expect(t.length).toBeCloseTo(Math.sqrt(3.84), 12);
    expect(degrees(t.heading)).toBeCloseTo(11.536959, 6);
    expect(t.start.x).toBeCloseTo(0.06, 12);
    expect(t.start.y).toBeCloseTo(-0.2939387691, 9);
    expect(t.end.x).toBeCloseTo(1.98, 12);
    expect(t.end.y).toBeCloseTo(0.0979795897, 9);
  });
});

describe('three rollers', () => {
  test('in a row with alternating senses: spans 0.9797958971 twice, wrap 23.073918°', () => {
    const path = webPath([circle('a', 0, 0, 0.1, -1), circle('b', 1, 0, 0.1, 1), circle('c', 2, 0, 0.1, -1)]);
    expect(path.spans.map((s) => s.length)).toEqual([
      expect.closeTo(Math.sqrt(0.96), 12),
      expect.closeTo(Math.sqrt(0.96), 12),
    ]);
    expect(path.spans.map((s) => degrees(s.heading))).toEqual([
      expect.closeTo(-11.536959, 6),
      expect.closeTo(11.536959, 6),
    ]);
    expect(degrees(path.wraps[0]?.wrap as number)).toBeCloseTo(23.073918, 6);
  });

  test('round a corner: spans 0.9987492178 and 1, wrap 87.134016°', () => {
    const path = webPath([
      circle('a', 0, 0, 0.1, -1),
      circle('b', 1, 0, 0.05, -1),
      circle('c', 1, -1, 0.05, -1),
    ]);
    expect(path.spans[0]?.length).toBeCloseTo(Math.sqrt(0.9975), 12);
    expect(path.spans[1]?.length).toBeCloseTo(1, 12);
    expect(degrees(path.spans[0]?.heading as number)).toBeCloseTo(-2.865984, 6);
    expect(degrees(path.spans[1]?.heading as number)).toBeCloseTo(-90, 9);
    expect(degrees(path.wraps[0]?.wrap as number)).toBeCloseTo(87.134016, 6);
  });
});

test('a line of five: spans, headings, wraps and 4.600901687 m from first to last tangent', () => {
  const path = webPath([
    circle('unwind', 0, 0, 0.4, -1),
    circle('idler 1', 1.5, 0.2, 0.1, 1),
    circle('idler 2', 2.3, 0.6, 0.05, -1),
    circle('idler 3', 3.2, 0.1, 0.05, 1),
    circle('winder', 4.2, 0.5, 0.12, -1),
  ]);
  const near = (values: number[], digits: number): unknown[] => values.map((v) => expect.closeTo(v, digits));
  expect(path.spans.map((s) => s.length)).toEqual(
    near([1.428285686, 0.881759604, 1.024695077, 1.063531852], 9),
  );
  expect(path.spans.map((s) => degrees(s.heading))).toEqual(
    near([-11.698977, 36.219467, -34.62845, 30.883014], 6),
  );
  expect(path.wraps.map((w) => degrees(w.wrap))).toEqual(near([47.918443, 70.847916, 65.511464], 6));
  expect(path.length).toBeCloseTo(4.600901687, 9);
  expect(path.problems).toEqual([]);
  // The same lengths from centre distances alone: L² = d² - (R1 + R2)².
  expect(path.spans[0]?.length).toBeCloseTo(Math.sqrt(1.5 ** 2 + 0.2 ** 2 - 0.5 ** 2), 12);
  expect(path.spans[3]?.length).toBeCloseTo(Math.sqrt(1 + 0.4 ** 2 - 0.17 ** 2), 12);
});

describe('properties', () => {
  const random = createRandom('tangents');
  const pairs = Array.from({ length: 200 }, () => {
    const sense = (): Sense => (random.uniform() < 0.5 ? 1 : -1);
    const bearing = 2 * Math.PI * random.uniform();
    const d = 0.7 + random.uniform();
    return [
      circle('a', random.normal(), random.normal(), 0.05 + 0.3 * random.uniform(), sense()),
      circle('b', 0, 0, 0.05 + 0.3 * random.uniform(), sense()),
      bearing,
      d,
    ] as const;
  }).map(([a, b, bearing, d]) => {
    const centre = { x: a.centre.x + d * Math.cos(bearing), y: a.centre.y + d * Math.sin(bearing) };
    return [a, { ...b, centre }] as const;
  });

  test('ends lie on the circles, the span stands at right angles on both radii, and length and heading are those of its ends', () => {
    for (const [a, b] of pairs) {
      const t = possible(a, b);
      const along = { x: t.end.x - t.start.x, y: t.end.y - t.start.y };
      for (const [c, p] of [
        [a, t.start],
        [b, t.end],
      ] as const) {
        const r = { x: p.x - c.centre.x, y: p.y - c.centre.y };
        expect(Math.hypot(r.x, r.y)).toBeCloseTo(c.radius, 12);
        expect(r.x * along.x + r.y * along.y).toBeCloseTo(0, 12);
        // The centre is on the left of a counter-clockwise roller's web: along × (centre - point) has the sign of the sense.
        expect(Math.sign(along.x * -r.y - along.y * -r.x)).toBe(c.sense);
      }
      expect(Math.hypot(along.x, along.y)).toBeCloseTo(t.length, 12);
      expect(Math.cos(t.heading - Math.atan2(along.y, along.x))).toBeCloseTo(1, 12);
    }
  });

  test('run backwards, with both senses turned, the web lies on the same line', () => {
    for (const [a, b] of pairs) {
      const forth = possible(a, b);
      const back = possible({ ...b, sense: -b.sense as Sense }, { ...a, sense: -a.sense as Sense });
      expect(back.length).toBeCloseTo(forth.length, 12);
      expect(back.start.x).toBeCloseTo(forth.end.x, 12);
      expect(back.start.y).toBeCloseTo(forth.end.y, 12);
      expect(Math.cos(back.heading - forth.heading)).toBeCloseTo(-1, 12);
    }
  });
});

describe('limits', () => {
  test('rollers in contact turning opposite ways are a nip: length 0, the web at right angles to the line of centres', () => {
    const t = possible(circle('a', 0, 0, 0.3, 1), circle('b', 0.4, 0, 0.1, -1));
    expect(t.length).toBeCloseTo(0, 7); // √(d² - k²) loses half the digits at contact
    expect(t.heading).toBeCloseTo(Math.PI / 2, 7);
    expect(t.start.x).toBeCloseTo(0.3, 12);
    expect(t.end.x).toBeCloseTo(0.3, 12);
  });

  test('contact reached by rounding, from either side, is a nip', () => {
    for (const d of [0.4 - 1e-12, 0.4 + 1e-12]) {
      const t = possible(circle('a', 0, 0, 0.3, 1), circle('b', d, 0, 0.1, -1));
      expect(t.length).toBeLessThan(2e-6);
    }
  });

  test('too close: says by how much', () => {
    const t = tangentBetween(circle('a', 0, 0, 0.3, 1), circle('b', 0.35, 0, 0.1, -1));
    expect(t).toEqual({ isPossible: false, missing: expect.closeTo(0.05, 12) });
  });

  test('one roller inside another has no tangent, whatever the senses', () => {
    expect(tangentBetween(circle('a', 0, 0, 0.3, 1), circle('b', 0.1, 0, 0.1, 1))).toEqual({
      isPossible: false,
      missing: expect.closeTo(0.1, 12),
    });
  });

  test('one centre for both has none either, and NaN ends as no tangent', () => {
    expect(tangentBetween(circle('a', 0, 0, 0.1, 1), circle('b', 0, 0, 0.1, 1)).isPossible).toBe(false);
    expect(tangentBetween(circle('a', 0, 0, 0.1, 1), circle('b', Number.NaN, 0, 0.1, 1)).isPossible).toBe(
      false,
    );
  });

  test('the allowance is that of the caller: 1 mm of overlap is no nip unless it is granted', () => {
    const [a, b] = [circle('a', 0, 0, 0.3, 1), circle('b', 0.3995, 0, 0.1, -1)];
    expect(tangentBetween(a, b).isPossible).toBe(false);
    expect(possible(a, b, 1e-3).length).toBe(0);
  });
});
