import { describe, expect, test } from 'vitest';
import { accumulatorCircles } from '../../../../src/engine/line/path/accumulator.js';
import type { PathCircle, Sense } from '../../../../src/engine/line/path/circle.js';
import { webPath } from '../../../../src/engine/line/path/webPath.js';
import { type DrawingOptions, lineDrawing } from '../../../../src/engine/report/line/drawing.js';
import type { CircleLook } from '../../../../src/engine/report/line/model.js';
import { renderLineDrawing } from '../../../../src/engine/report/line/render.js';
import { type Element, readMarkup } from '../markup.js';

const circle = (name: string, x: number, y: number, radius: number, sense: Sense): PathCircle => ({
  name,
  section: name,
  centre: { x, y },
  radius,
  sense,
});

const line = [
  circle('unwind', 0, 0, 0.4, -1),
  circle('idler 1', 1.5, 0.2, 0.1, 1),
  circle('load cell', 2.3, 0.6, 0.05, -1),
  circle('dancer', 3.2, 0.1, 0.05, 1),
  circle('winder', 4.2, 0.5, 0.12, -1),
];
const roles: Record<string, CircleLook> = {
  unwind: { role: 'roll', isDriven: true, coreRadius: 0.05 },
  'load cell': { role: 'load-cell' },
  dancer: { role: 'dancer' },
  winder: { role: 'roll', isDriven: true, coreRadius: 0.05 },
};

function draw(circles: readonly PathCircle[], more: Partial<DrawingOptions> = {}): string {
  const options: DrawingOptions = {
    id: 'line',
    title: 'A line',
    system: 'si',
    look: (c) => roles[c.name] ?? { role: 'roller' },
    ...more,
  };
  return renderLineDrawing(lineDrawing(circles, webPath(circles, options), options));
}

const withClass = (svg: string, name: string): Element[] =>
  readMarkup(svg).filter((e) => (e.attributes.class ?? '').split(' ').includes(name));
const textsOf = (svg: string): string[] => [...svg.matchAll(/<text[^>]*>([^<]*)/g)].map((m) => m[1] ?? '');
const numbers = (text: string): number[] => (text.match(/-?[\d.]+/g) ?? []).map(Number);

describe('renderLineDrawing', () => {
  const svg = draw(line);

  test('is well formed, without script or reference outside, named and described', () => {
    const elements = readMarkup(svg);
    expect(elements[0]?.attributes.role).toBe('img');
    expect(elements[0]?.attributes['aria-labelledby']).toBe('line-title line-desc');
    expect(svg).toContain('<title id="line-title">A line</title>');
    expect(svg).toMatch(
      /<desc id="line-desc">[^<]*unwind, idler 1, load cell, dancer, winder[^<]*4\.60 m of web[^<]*Driven: unwind, winder\.</,
    );
    expect(svg).not.toMatch(/<script|href=|url\(|@import|NaN|Infinity|undefined/);
  });

  test('rollers are true to scale: places and radii are one scale times metres, y up', () => {
    const bodies = withClass(svg, 'body').slice(0, line.length);
    const at = (e: Element | undefined): number[] => ['cx', 'cy', 'r'].map((k) => Number(e?.attributes[k]));
    const [x0, y0, r0] = at(bodies[0]) as [number, number, number];
    const scale = r0 / 0.4;
    for (const [i, c] of line.entries()) {
      const [x, y, r] = at(bodies[i]) as [number, number, number];
      expect(r).toBeCloseTo(c.radius * scale, 1);
      expect(x - x0).toBeCloseTo((c.centre.x - 0) * scale, 1);
      expect(y - y0).toBeCloseTo(-(c.centre.y - 0) * scale, 1);
    }
    // The scale bar is as long as it says.
    const [, , width] = numbers(/class="scale" d="M8 [\d.]+v8(M8 [\d.]+h[\d.]+)/.exec(svg)?.[1] ?? '');
    const [metres] = numbers(textsOf(svg).find((t) => /^[\d.]+ m$/.test(t)) ?? '');
    expect(width).toBeCloseTo((metres as number) * scale, 1);
  });

  test('a span starts where an arc ends, to within the two decimals that are drawn', () => {
    const webs = withClass(svg, 'web').map((e) => e.attributes.d ?? '');
    const arcs = webs.filter((d) => d.includes('A'));
    const straight = webs.filter((d) => d.includes('L'));
    expect(arcs).toHaveLength(3);
    expect(straight).toHaveLength(4);
    for (const [i, arc] of arcs.entries()) {
      const a = numbers(arc);
      const [before, after] = [numbers(straight[i] as string), numbers(straight[i + 1] as string)];
      expect(a.slice(0, 2)).toEqual(before.slice(2, 4));
      expect(a.slice(-2)).toEqual(after.slice(0, 2));
    }
  });

  test('arcs turn the way the rollers do: a web that passes below a roller is drawn below it', () => {
    const arc = numbers(withClass(svg, 'web').find((e) => e.attributes.d?.includes('A'))?.attributes.d ?? '');
    // idler 1 turns counter-clockwise: large arc no, sweep 0 (counter-clockwise on a sheet whose y points down).
    expect(arc.slice(4, 7)).toEqual([0, 0, 0]);
  });

  test('the legend names the marks that occur and no other', () => {
    expect(textsOf(svg)).toEqual(expect.arrayContaining(['driven', 'load cell', 'dancer']));
    expect(textsOf(svg)).not.toContain('carriage');
    expect(textsOf(svg)).not.toContain('nip');
    expect(withClass(svg, 'abnormal')).toEqual([]);
  });

  test('wraps and span lengths stand beside the web where details are asked for, in the units of the reader', () => {
    expect(textsOf(svg).filter((t) => t.includes('wrap'))).toEqual([]);
    const si = textsOf(draw(line, { hasDetails: true }));
    expect(si).toEqual(expect.arrayContaining(['48° wrap', '71° wrap', '66° wrap', '1.43 m', '1.06 m']));
    const us = textsOf(draw(line, { hasDetails: true, system: 'us' }));
    expect(us).toEqual(expect.arrayContaining(['48° wrap', '4.69 ft', '3.49 ft'])); // 1.42829 m / 0.3048, 1.06353 / 0.3048
  });

  test('the selected section is lit, and nothing else', () => {
    const lit = withClass(draw(line, { selected: 'idler 1' }), 'selected');
    expect(lit.filter((e) => e.tag === 'g').map((e) => e.attributes['data-section'])).toEqual(['idler 1']);
  });
});

describe('problems', () => {
  test('a wrap on the wrong side is marked at the roller and written out with its next step', () => {
    const svg = draw(line.map((c) => (c.name === 'load cell' ? { ...c, sense: 1 as const } : c)));
    expect(withClass(svg, 'trouble').length).toBeGreaterThan(0);
    expect(textsOf(svg)).toContain('!1');
    expect(textsOf(svg).join(' ')).toMatch(
      /wraps &quot;load cell&quot; by 3\d\d°, which is more than 270°; check the side/,
    );
    expect(withClass(svg, 'abnormal').some((e) => e.attributes['data-section'] === 'load cell')).toBe(true);
  });

  test('where no web can run the drawing still shows the rest, dashed between the two', () => {
    const svg = draw(line.map((c) => (c.name === 'idler 1' ? { ...c, centre: { x: 0.3, y: 0.2 } } : c)));
    expect(withClass(svg, 'impossible')).toHaveLength(1);
    expect(svg).not.toMatch(/NaN|Infinity|undefined/);
    expect(svg).toMatch(/the web cannot run from &quot;unwind&quot; to &quot;idler 1&quot;/);
  });

  test('spans that cross are both abnormal, ringed where they cross', () => {
    const crossed = [
      circle('a', 0, 0, 0.1, 1),
      circle('b', 3, 0, 0.1, 1),
      circle('c', 3, 2, 0.1, 1),
      circle('d', 1, 2, 0.1, 1),
      circle('e', 1, -2, 0.1, -1),
    ];
    const svg = draw(crossed);
    const spans = withClass(svg, 'web').filter(
      (e) => e.attributes.d?.includes('L') && e.attributes.class?.includes('abnormal'),
    );
    expect(spans).toHaveLength(2);
    expect(withClass(svg, 'trouble')).toHaveLength(1);
  });
});

describe('names from outside', () => {
  test.each(['<b>&"', "]]>'\u0000\u202e", '</text><script>x</script>'])(
    '%j is text, nothing else',
    (name) => {
      const svg = draw(
        line.map((c, i) => (i === 1 ? { ...c, name, section: name, sense: -1 as const } : c)),
        { title: name, hasDetails: true },
      );
      const tags = new Set(readMarkup(svg).map((e) => e.tag));
      expect([...tags].sort()).toEqual(['circle', 'desc', 'g', 'path', 'rect', 'svg', 'text', 'title']);
    },
  );

  test('the name is all there, escaped', () => {
    const svg = draw(line.map((c, i) => (i === 1 ? { ...c, name: '<b>&"', section: '<b>&"' } : c)));
    expect(textsOf(svg)).toContain('&lt;b&gt;&amp;&quot;');
  });
});

test('an accumulator has one label for its many rollers, and a bar for its carriage', () => {
  const acc = accumulatorCircles(
    {
      name: 'accumulator',
      entry: { x: 2, y: 0 },
      pitch: 0.28,
      strands: 8,
      fixedRadius: 0.1,
      carriageRadius: 0.1,
    },
    2.1,
  );
  const svg = draw([circle('in', 0, 0, 0.1, 1), ...acc, circle('out', 6, 0, 0.1, 1)], {
    look: (c) => ({ role: c.name.includes('carriage') ? 'carriage' : 'roller' }),
    hasDetails: true,
  });
  expect(textsOf(svg).filter((t) => t === 'accumulator')).toHaveLength(1);
  expect(textsOf(svg).filter((t) => /fixed|carriage \d/.test(t))).toEqual([]);
  expect(withClass(svg, 'bar')).toHaveLength(2); // in the drawing and in the legend
});

test('a nip is marked where it is closed, not where it stands open', () => {
  const pull = circle('pull', 1, 0, 0.1, 1);
  const path = [circle('a', 0, 0, 0.1, 1), pull, circle('b', 1.6, 1, 0.1, 1)];
  const nip = (gap: number): string =>
    draw(path, { beside: [circle('n', 1, -0.2 - gap, 0.1, -1)], contacts: [['n', 'pull']] });
  expect(withClass(nip(0), 'nip')).toHaveLength(2); // and in the legend
  expect(withClass(nip(0.05), 'nip')).toHaveLength(0);
});

test('labels of 60 rollers stand upright, every name once', () => {
  const many = Array.from({ length: 60 }, (_, i) =>
    circle(`roller ${i}`, 0.8 * i, i % 2, 0.08, i % 2 ? -1 : 1),
  );
  const svg = draw(many);
  for (let i = 0; i < 60; i++) expect(textsOf(svg).filter((t) => t === `roller ${i}`)).toHaveLength(1);
  expect(svg.match(/rotate\(-90\)/g)).toHaveLength(60);
});

test('nothing and a single roller can be drawn', () => {
  for (const circles of [[], [circle('a', 0, 0, 0.1, 1)]]) {
    const svg = draw(circles);
    readMarkup(svg);
    expect(svg).not.toMatch(/NaN|Infinity|undefined/);
  }
});
