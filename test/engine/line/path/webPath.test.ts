import { describe, expect, test } from 'vitest';
import type { PathCircle, Sense } from '../../../../src/engine/line/path/circle.js';
import { webPath } from '../../../../src/engine/line/path/webPath.js';
import { circle, degrees, polylineLength, zigzag } from './support.js';

const kinds = (...args: Parameters<typeof webPath>): string[] => webPath(...args).problems.map((p) => p.kind);

describe('laws', () => {
  const lines = [1, 2, 3, 4, 5].map((seed) => zigzag(12, seed));

  test('the generated lines run without a problem', () => {
    for (const line of lines) expect(webPath(line).problems).toEqual([]);
  });

  test('the end of a span and the start of the next are the ends of the arc: on the roller, apart by its wrap', () => {
    for (const line of lines) {
      const path = webPath(line);
      for (const [i, { wrap }] of path.wraps.entries()) {
        const c = line[i + 1] as PathCircle;
        const [p, q] = [path.spans[i]?.end, path.spans[i + 1]?.start];
        if (!p || !q) throw new Error('a span is missing');
        const [px, py, qx, qy] = [p.x - c.centre.x, p.y - c.centre.y, q.x - c.centre.x, q.y - c.centre.y];
        // p turned about the centre by the wrap, in the sense of the roller, is q.
        const turn = c.sense * wrap;
        expect(px * Math.cos(turn) - py * Math.sin(turn)).toBeCloseTo(qx, 12);
        expect(px * Math.sin(turn) + py * Math.cos(turn)).toBeCloseTo(qy, 12);
        expect(Math.hypot(px, py)).toBeCloseTo(c.radius, 12);
      }
    }
  });

  test('the path length is that of a polyline, with an error that falls with the square of the chord', () => {
    for (const line of lines) {
      const path = webPath(line);
      const error = (steps: number): number => path.length - polylineLength(path, line, steps);
      expect(error(2000)).toBeLessThan(1e-6);
      expect(error(2000)).toBeGreaterThan(0); // chords cut corners
      expect(error(50) / error(100)).toBeCloseTo(4, 1);
    }
  });

  test('a mirrored line with senses turned has the same spans and wraps', () => {
    for (const line of lines) {
      const mirrored = line.map((c) => ({
        ...c,
        centre: { x: -c.centre.x, y: c.centre.y },
        sense: -c.sense as Sense,
      }));
      const [one, other] = [webPath(line), webPath(mirrored)];
      expect(other.length).toBeCloseTo(one.length, 11);
      for (const [i, s] of one.spans.entries()) {
        expect(other.spans[i]?.length).toBeCloseTo(s.length, 12);
        expect(Math.cos((other.spans[i]?.heading as number) - (Math.PI - s.heading))).toBeCloseTo(1, 12);
      }
      for (const [i, w] of one.wraps.entries()) expect(other.wraps[i]?.wrap).toBeCloseTo(w.wrap, 12);
    }
  });

  test.each([0.3, 2, -2.9, Math.PI])(
    'turned by %d rad and shifted: headings turn, all else stays',
    (angle) => {
      for (const line of lines) {
        const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
        const turned = line.map((c) => ({
          ...c,
          centre: { x: 7 + c.centre.x * cos - c.centre.y * sin, y: -3 + c.centre.x * sin + c.centre.y * cos },
        }));
        const [one, other] = [webPath(line), webPath(turned)];
        expect(other.problems).toEqual([]);
        expect(other.length).toBeCloseTo(one.length, 11);
        for (const [i, s] of one.spans.entries()) {
          const heading = other.spans[i]?.heading as number;
          expect(other.spans[i]?.length).toBeCloseTo(s.length, 11);
          expect(Math.cos(heading - s.heading - angle)).toBeCloseTo(1, 12);
          expect(heading).toBeGreaterThan(-Math.PI);
          expect(heading).toBeLessThanOrEqual(Math.PI);
        }
        for (const [i, w] of one.wraps.entries()) expect(other.wraps[i]?.wrap).toBeCloseTo(w.wrap, 11);
      }
    },
  );

  test.each([1e-3, 40])('drawn %d times as large: lengths scale, angles stay', (scale) => {
    for (const line of lines) {
      const scaled = line.map((c) => ({
        ...c,
        centre: { x: c.centre.x * scale, y: c.centre.y * scale },
        radius: c.radius * scale,
      }));
      const [one, other] = [webPath(line), webPath(scaled)];
      expect(other.length / scale).toBeCloseTo(one.length, 10);
      for (const [i, w] of one.wraps.entries()) expect(other.wraps[i]?.wrap).toBeCloseTo(w.wrap, 11);
    }
  });

  test('run backwards with all senses turned it is the same path', () => {
    for (const line of lines) {
      const back = line.map((c) => ({ ...c, sense: -c.sense as Sense })).toReversed();
      expect(webPath(back).length).toBeCloseTo(webPath(line).length, 11);
    }
  });
});

describe('wraps', () => {
  test('a roller that a straight web only just touches has wrap 0, not a full turn', () => {
    for (const y of [0, 0.1, 1 / 3, 0.7]) {
      const path = webPath([
        circle('a', 0, y, 0.1, 1),
        circle('b', 0.7, y, 0.1, 1),
        circle('c', 2.1, y, 0.1, 1),
      ]);
      expect(path.wraps[0]?.wrap).toBeLessThan(1e-9);
      expect(path.problems).toEqual([]);
    }
  });

  test('an S-wrap between level spans wraps both rollers by 90° + asin(2R/d)', () => {
    const [one, two] = [circle('s 1', 1, 0, 0.2, 1), circle('s 2', 1, 0.5, 0.2, -1)];
    const path = webPath([circle('a', 0, -0.1, 0.1, 1), one, two, circle('b', 2, 0.6, 0.1, -1)]);
    expect(path.problems).toEqual([]);
    expect(path.wraps.map((w) => w.name)).toEqual(['s 1', 's 2']);
    for (const { wrap } of path.wraps) expect(degrees(wrap)).toBeCloseTo(90 + degrees(Math.asin(0.8)), 9);
  });

  test('the wrong sense is seen by its wrap above 270°', () => {
    const line = [circle('a', 0, 0, 0.1, 1), circle('b', 1, 0.5, 0.1, 1), circle('c', 2, 0, 0.1, 1)];
    const path = webPath(line);
    expect(path.problems.map((p) => p.kind)).toContain('wrap-too-large');
    expect(path.problems.find((p) => p.kind === 'wrap-too-large')).toMatchObject({ name: 'b' });
    expect(webPath(line.map((c) => (c.name === 'b' ? { ...c, sense: -1 as const } : c))).problems).toEqual(
      [],
    );
  });
});

describe('problems', () => {
  const straight = [circle('a', 0, 0, 0.1, 1), circle('b', 2, 0, 0.1, 1)];

  test('rollers that overlap, in web order or not, with the depth', () => {
    const path = webPath([...straight, circle('c', 2.15, 0.05, 0.1, 1)]);
    expect(path.problems).toEqual([
      {
        kind: 'overlap',
        names: ['b', 'c'],
        depth: expect.closeTo(0.2 - Math.hypot(0.15, 0.05), 12),
        at: { x: expect.closeTo(2.075, 12), y: expect.closeTo(0.025, 12) },
      },
    ]);
    expect(kinds(straight, { beside: [circle('n', 0, 0.15, 0.1, -1)] })).toEqual(['overlap']);
  });

  test('a tangent that cannot be: numbers of its span are missing, those of the others stay', () => {
    const path = webPath([
      circle('a', 0, 0, 0.3, 1),
      circle('b', 0.35, 0, 0.1, -1),
      circle('c', 2, 0, 0.1, 1),
    ]);
    expect(path.problems).toEqual([
      {
        kind: 'impossible-tangent',
        from: 'a',
        to: 'b',
        missing: expect.closeTo(0.05, 12),
        at: { x: 0.175, y: 0 },
      },
    ]);
    expect(path.spans[0]?.length).toBeNaN();
    expect(path.wraps[0]?.wrap).toBeNaN();
    expect(path.length).toBeNaN();
    expect(path.spans[1]?.length).toBeCloseTo(Math.sqrt(1.65 ** 2 - 0.2 ** 2), 12);
  });

  test('a span through a roller that is not its end, and how deep', () => {
    const path = webPath(straight, { beside: [circle('n', 1, 0, 0.15, -1)] });
    expect(path.problems).toEqual([
      {
        kind: 'span-through-roller',
        from: 'a',
        to: 'b',
        roller: 'n',
        clearance: expect.closeTo(-0.05, 12),
        at: { x: expect.closeTo(1, 12), y: -0.1 },
      },
    ]);
  });

  test('a roller beside the web is clear until more clearance is asked for', () => {
    const beside = [circle('n', 1, 0.1, 0.15, -1)]; // its lowest point is 50 mm above the web
    expect(kinds(straight, { beside })).toEqual([]);
    expect(kinds(straight, { beside, clearance: 0.049 })).toEqual([]);
    expect(kinds(straight, { beside, clearance: 0.051 })).toEqual(['span-through-roller']);
  });

  test('a roller beyond the end of a span is not in its way', () => {
    expect(
      kinds(straight, { beside: [circle('n', -0.3, -0.1, 0.15, 1), circle('m', 2.3, -0.1, 0.15, 1)] }),
    ).toEqual([]);
  });

  test('spans that cross, with the place', () => {
    // Straight across, up round two corners and down through the first span.
    const line = [
      circle('a', 0, 0, 0.1, 1),
      circle('b', 3, 0, 0.1, 1),
      circle('c', 3, 2, 0.1, 1),
      circle('d', 1, 2, 0.1, 1),
      circle('e', 1, -2, 0.1, -1),
    ];
    const crossings = webPath(line).problems.filter((p) => p.kind === 'spans-cross');
    expect(crossings).toHaveLength(1);
    expect(crossings[0]).toMatchObject({ first: ['a', 'b'], second: ['d', 'e'] });
    expect(crossings[0]?.at.y).toBeCloseTo(-0.1, 12);
  });

  test('neighbouring spans cross once a roller is wrapped by more than half a turn and the spans reach', () => {
    // Wrapped by 240°, the roller shows 120° to the point where the lines meet: R·tan(60°) = R·√3 from both tangent points.
    const wrapped = (reach: number): PathCircle[] => {
      const [R, out] = [0.1, (240 * Math.PI) / 180];
      const p = { x: R * Math.sin(out), y: -R * Math.cos(out) };
      const end = { x: p.x + reach * Math.cos(out), y: p.y + reach * Math.sin(out) };
      // Tiny rollers whose webs run along the two lines.
      const r = 1e-3;
      return [
        circle('in', -1, -R + r, r, 1),
        circle('big', 0, 0, R, 1),
        circle('out', end.x - r * Math.sin(out), end.y + r * Math.cos(out), r, 1),
      ];
    };
    expect(webPath(wrapped(0.05)).wraps[0]?.wrap).toBeCloseTo((240 * Math.PI) / 180, 9);
    expect(kinds(wrapped(0.1 * Math.sqrt(3) - 0.005))).toEqual([]);
    expect(kinds(wrapped(0.1 * Math.sqrt(3) + 0.005))).toEqual(['spans-cross']);
  });
});

describe('contacts', () => {
  test('a nip in the path: length 0, and no problem', () => {
    const line = [
      circle('a', 0, 0.6, 0.1, 1),
      circle('rider', 2, 0, 0.1, -1),
      circle('roll', 2.4, 0, 0.3, 1),
    ];
    const path = webPath(line, { contacts: [['rider', 'roll']] });
    expect(path.problems).toEqual([]);
    expect(path.spans[1]?.length).toBeCloseTo(0, 7);
  });

  test('a nip drawn up to 1 mm too deep counts as contact; more does not; undeclared nothing does', () => {
    const beside = (depth: number): PathCircle[] => [circle('n', 1, 0.2 - depth, 0.1, -1)];
    const line = [circle('a', 0, 0, 0.1, 1), circle('pull', 1, 0, 0.1, 1), circle('b', 1.5, 1, 0.1, 1)];
    const contacts = [['n', 'pull']] as const;
    expect(kinds(line, { beside: beside(0), contacts })).toEqual([]);
    expect(kinds(line, { beside: beside(0.0009), contacts })).toEqual([]);
    expect(kinds(line, { beside: beside(0.0011), contacts })).toEqual(['overlap']);
    expect(kinds(line, { beside: beside(0.0009) })).toEqual(['overlap']);
  });

  test('a web that runs straight through a nip may be pressed as deep as the nip', () => {
    const line = [circle('a', 0, 0, 0.1, -1), circle('lower', 1, 0, 0.1, -1), circle('b', 2, 0, 0.1, -1)];
    const beside = [circle('upper', 1, 0.1995, 0.1, 1)];
    expect(kinds(line, { beside, contacts: [['upper', 'lower']] })).toEqual([]);
    expect(kinds(line, { beside })).toContain('span-through-roller');
  });
});

describe('bad input', () => {
  test.each([0, -0.1, Number.NaN, Number.POSITIVE_INFINITY])('a radius of %d is refused', (radius) => {
    expect(() => webPath([circle('a', 0, 0, radius, 1)])).toThrow(/"a" has radius/);
  });
  test('so are a centre that is not finite, a name used twice and a nip with nobody', () => {
    expect(() => webPath([circle('a', Number.NaN, 0, 1, 1)])).toThrow(/centre/);
    expect(() => webPath([circle('a', 0, 0, 1, 1), circle('a', 3, 0, 1, 1)])).toThrow(/two rollers/);
    expect(() => webPath([circle('a', 0, 0, 1, 1)], { contacts: [['a', 'b']] })).toThrow(/"b"/);
  });
  test('no roller and one roller are a path without spans', () => {
    expect(webPath([])).toEqual({ spans: [], wraps: [], length: 0, problems: [] });
    expect(webPath([circle('a', 0, 0, 1, 1)]).length).toBe(0);
  });
});
