import { describe, expect, test } from 'vitest';
import type { Figure, Mark, Span } from '../../../../src/engine/report/svg/figure.js';
import { flowRows, textStart, textWidth } from '../../../../src/engine/report/svg/legend.js';
import { figureWidth, renderFigure } from '../../../../src/engine/report/svg/render.js';
import { geometryOf, readMarkup } from '../markup.js';

const figure = (marks: readonly Mark[], more: Partial<Figure> = {}): Figure => ({
  id: 'f',
  title: 'A figure',
  description: 'What it shows',
  x: { label: 'Time, t [s]' },
  panels: [{ y: { label: 'Torque, T [N·m]' }, height: 200, marks }],
  ...more,
});

const withClass = (svg: string, name: string): ReturnType<typeof readMarkup> =>
  readMarkup(svg).filter((e) => (e.attributes.class ?? '').split(' ').includes(name));

const nasty = [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 0, 1e300, -1e300, 1e-300];

describe('a logarithmic panel', () => {
  const log = (y: number[], range?: readonly [number, number]): string =>
    renderFigure(
      figure([], {
        panels: [
          {
            y: { label: 'Margin', isLogarithmic: true, ...(range && { range }) },
            height: 200,
            marks: [{ kind: 'line', meaning: 'model', signal: 'torque', x: y.map((_, i) => i), y }],
          },
        ],
      }),
    );
  const texts = (svg: string): string[] =>
    [...svg.matchAll(/text-anchor="end">([^<]*)</g)].map((m) => m[1] ?? '');

  test('labels its ticks and draws what is missing, infinite or not positive without breaking', () => {
    expect(texts(log([0.3, 60], [0.1, 100]))).toEqual([
      '0.1',
      '0.2',
      '0.5',
      '1',
      '2',
      '5',
      '10',
      '20',
      '50',
      '100',
    ]);
    expect(log(nasty)).not.toMatch(/NaN|Infinity/);
    expect(log([0, -1])).toContain('No data');
  });
});

describe('renderFigure', () => {
  test('is well formed, named and described for those who cannot see it', () => {
    const svg = renderFigure(
      figure([{ kind: 'line', meaning: 'model', signal: 'torque', x: [0, 1], y: [0, 1] }]),
    );
    const root = readMarkup(svg)[0];
    expect(root?.attributes.role).toBe('img');
    expect(root?.attributes['aria-labelledby']).toBe('f-title f-desc');
    expect(svg).toContain('<title id="f-title">A figure</title>');
    expect(svg).toContain('<desc id="f-desc">What it shows</desc>');
  });

  test.each<[string, Mark]>([
    ['line', { kind: 'line', meaning: 'model', signal: 'torque', x: nasty, y: nasty, label: 'm' }],
    ['trace', { kind: 'trace', signal: 'torque', x: nasty, y: nasty, label: 'm' }],
    ['cloud', { kind: 'cloud', signal: 'torque', x: nasty, y: nasty, label: 'm' }],
    ['band', { kind: 'band', signal: 'torque', x: nasty, low: nasty, high: nasty, label: 'm' }],
    [
      'points',
      {
        kind: 'points',
        signal: 'torque',
        x: nasty,
        y: nasty,
        halfWidth: nasty,
        fill: 'hollow',
        shape: 'circle',
        label: 'm',
      },
    ],
    ['limit', { kind: 'limit', from: Number.NaN, to: Number.POSITIVE_INFINITY, label: 'm' }],
  ])('no NaN or infinity gets into the geometry of a %s', (_, mark) => {
    const marks: Mark[] = [mark, { kind: 'line', meaning: 'model', signal: 'torque', x: [0, 1], y: [2, 3] }];
    for (const e of readMarkup(renderFigure(figure(marks)))) {
      expect(geometryOf(e)).not.toMatch(/NaN|Infinity|undefined/);
    }
  });

  test('a panel without a value says so and stays finite', () => {
    const svg = renderFigure(figure([{ kind: 'trace', signal: 'torque', x: [], y: [] }]));
    expect(svg).toContain('No data');
    expect(svg).not.toMatch(/NaN|Infinity/);
  });

  test('all that is not text or legend stays between the axes: a drawn line spans the plotting area', () => {
    const svg = renderFigure(
      figure([{ kind: 'line', meaning: 'model', signal: 'torque', x: [0, 5, 10], y: [1, 3, 2] }]),
    );
    const d = withClass(svg, 'line')[0]?.attributes.d ?? '';
    const xs = [...d.matchAll(/[ML](-?[\d.]+) /g)].map((m) => Number(m[1]));
    expect(Math.min(...xs)).toBe(66);
    expect(Math.max(...xs)).toBe(figureWidth - 18);
    // x is linear: the middle sample stands in the middle.
    expect(xs[1]).toBeCloseTo((66 + figureWidth - 18) / 2, 2);
  });

  test('one lost peak in a million samples is drawn at the top of the trace', () => {
    const n = 1_000_000;
    const x = Float64Array.from({ length: n }, (_, i) => i);
    const y = new Float64Array(n);
    y[654_321] = 1;
    const svg = renderFigure(figure([{ kind: 'trace', signal: 'torque', x, y }]));
    expect(svg.length).toBeLessThan(40_000);
    const tall = /M([\d.]+) [\d.]+V[\d.]+/.exec(withClass(svg, 'trace')[0]?.attributes.d ?? '');
    expect(Number(tall?.[1])).toBeCloseTo(66 + 0.654321 * (figureWidth - 84), -0.5);
  });

  test('the meanings of the marks reach the style sheet as classes', () => {
    const x = [0, 1];
    const svg = renderFigure(
      figure([
        { kind: 'line', meaning: 'extrapolated', signal: 'torque', x, y: x },
        { kind: 'line', meaning: 'reference', signal: 'speed', x, y: x },
        { kind: 'points', signal: 'tension', x, y: x, fill: 'hollow', shape: 'square' },
      ]),
    );
    expect(withClass(svg, 'extrapolated').map((e) => e.attributes.class)).toEqual([
      'line extrapolated torque',
    ]);
    expect(withClass(svg, 'reference').map((e) => e.attributes.class)).toEqual(['line reference speed']);
    expect(withClass(svg, 'symbol').map((e) => e.attributes.class)).toEqual(['symbol hollow tension']);
  });

  test('a limit is hatched from its edge to the end of the axis', () => {
    const svg = renderFigure(
      figure([
        { kind: 'line', meaning: 'model', signal: 'torque', x: [0, 1], y: [0, 10] },
        { kind: 'limit', from: 5, to: Number.POSITIVE_INFINITY },
      ]),
    );
    const [area] = withClass(svg, 'limit');
    expect(area?.attributes.fill).toBe('url(#f-hatch)');
    // The axis runs from -0.6 to 10.6 over 200 units, so 5 to 10.6 takes exactly half of it.
    expect(Number(area?.attributes.height)).toBeCloseTo(100, 2);
  });

  test('text from outside is escaped in titles, labels, legends and spans', () => {
    const evil = '"><script>alert(1)</script>&';
    const span: Span = {
      from: 0,
      to: 1,
      tone: 'ramp',
      isHatched: false,
      letter: '<',
      label: evil,
      title: evil,
    };
    const svg = renderFigure(
      figure([{ kind: 'line', meaning: 'model', signal: 'torque', x: [0, 1], y: [0, 1], label: evil }], {
        title: evil,
        description: evil,
        x: { label: evil },
        spans: [span],
      }),
    );
    const tags = new Set(readMarkup(svg).map((e) => e.tag));
    expect(tags).not.toContain('script');
    expect(
      [...tags].every((t) =>
        ['svg', 'title', 'desc', 'defs', 'pattern', 'path', 'g', 'rect', 'text', 'clipPath'].includes(t),
      ),
    ).toBe(true);
  });

  test('the second scale shows the same places in the other unit', () => {
    const svg = renderFigure(
      figure([{ kind: 'line', meaning: 'model', signal: 'torque', x: [0, 100], y: [0, 1] }], {
        top: { label: 'Surface speed', scale: 2 },
      }),
    );
    // 100 below is 200 above: both labels are centred on the same x.
    const at = (label: string): string[] =>
      [...svg.matchAll(/<text class="tick" x="([\d.]+)" y="[\d.]+" text-anchor="middle">([^<]*)</g)]
        .filter((m) => m[2] === label)
        .map((m) => m[1] ?? '');
    expect(at('200')).toContain(String(figureWidth - 18));
    expect(at('100')).toContain(String(figureWidth - 18));
  });
});

describe('flowRows', () => {
  const items = Array.from({ length: 9 }, (_, k) => ({
    text: `a rather long legend ${k}`,
    swatch: 24,
    isBold: false,
  }));
  const { placed, height } = flowRows(items, 10, 500, 0);

  test('items neither overlap nor pass the right edge', () => {
    for (const [i, a] of placed.entries()) {
      expect(a.x + a.width).toBeLessThanOrEqual(500);
      expect(textStart(a)).toBe(a.x + 30);
      for (const b of placed.slice(i + 1)) {
        const apart = a.baseline !== b.baseline || b.x >= a.x + a.width;
        expect(apart).toBe(true);
      }
    }
  });

  test('all rows fit in the height that is kept free above the plot, so a legend covers no data', () => {
    expect(Math.max(...placed.map((p) => p.baseline))).toBeLessThan(height);
    expect(new Set(placed.map((p) => p.baseline)).size).toBeGreaterThan(1);
  });

  test('wider text takes more room', () => {
    expect(textWidth('WWWW')).toBeGreaterThan(textWidth('iiii'));
    expect(textWidth('speed', true)).toBeGreaterThan(textWidth('speed'));
  });
});
