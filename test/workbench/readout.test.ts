import { describe, expect, test } from 'vitest';
import type { Figure, Panel } from '../../src/engine/report/svg/figure.js';
import { figureWidth, layoutFigure, renderFigure } from '../../src/engine/report/svg/render.js';
import { between, figureColumns, readoutAt } from '../../src/workbench/components/plot/readout.js';

const panel: Panel = {
  y: { label: 'Torque, T [N·m]', include: [0] },
  height: 100,
  marks: [
    { kind: 'line', meaning: 'model', signal: 'torque', x: [0, 10], y: [1, 3], label: 'law, "fitted"' },
    { kind: 'band', signal: 'torque', x: [0, 10], low: [0, 2], high: [2, 4], label: '95 %' },
    { kind: 'points', signal: 'torque', x: [5], y: [2.5], halfWidth: [0.5], fill: 'filled', shape: 'circle' },
    { kind: 'limit', from: 9, to: Number.POSITIVE_INFINITY },
  ],
};
const figure: Figure = {
  id: 'f',
  title: 'Torque',
  description: '',
  x: { label: 'Speed, ω [rad/s]' },
  panels: [panel, { ...panel, height: 60 }],
};

describe('reading a plot out', () => {
  test('straight between samples, nothing outside or across a gap', () => {
    expect(between([0, 10], [1, 3], 2.5)).toBe(1.5);
    expect(between([0, 10], [1, 3], 10)).toBe(3);
    expect(between([0, 10], [1, 3], 10.1)).toBeNaN();
    expect(between([0, 10], [1, 3], -0.1)).toBeNaN();
    expect(between([0, 1, 2], [1, Number.NaN, 3], 0.5)).toBeNaN();
    expect(between([], [], 0)).toBeNaN();
    expect(between([4], [7], 4)).toBe(7);
  });

  test('lines and bands that have a name', () => {
    expect(readoutAt(panel, 5)).toEqual([
      { label: 'law, "fitted"', value: 2 },
      { label: '95 %', value: 2, low: 1, high: 3 },
    ]);
    expect(readoutAt(panel, 11)).toEqual([]);
  });

  test('as columns: every series with its x, in the units of the axes', () => {
    const columns = figureColumns({ ...figure, panels: [panel] });
    const series = 'Torque, T: law, "fitted"';
    expect(columns.slice(0, 2)).toEqual([
      { name: `Speed, ω of ${series}`, unit: 'rad/s', values: [0, 10] },
      { name: series, unit: 'N·m', values: [1, 3] },
    ]);
    expect(columns.map((c) => c.name)).toContain('Torque, T: 95 %, low');
    expect(columns.at(-1)).toEqual({ name: 'Torque, T: points, ±', unit: 'N·m', values: [0.5] });
    expect(columns).toHaveLength(2 + 3 + 3);
  });
});

describe('the layout of a figure', () => {
  test('stands where the figure is drawn', () => {
    const layout = layoutFigure(figure);
    const svg = renderFigure(figure);
    expect(svg).toContain(`viewBox="0 0 ${figureWidth} ${layout.height}"`);
    for (const [k, p] of layout.panels.entries()) {
      const height = figure.panels[k]?.height;
      expect(svg).toContain(
        `y="${p.top}" width="${layout.sx.range[1] - layout.sx.range[0]}" height="${height}"`,
      );
      // y grows downwards: the largest value of the axis stands at the top
      expect(p.sy?.range).toEqual([p.top + (height ?? 0), p.top]);
    }
    // the first sample of the line, drawn where the scales say
    const [sx, sy] = [layout.sx, layout.panels[0]?.sy];
    expect(svg).toContain(`M${sx(0)} ${Number(sy?.(1).toFixed(2))}`);
  });

  test('a wider figure has a wider plotting area and the same text', () => {
    const wide = { ...figure, width: 1200 };
    expect(layoutFigure(wide).sx.range[1] - layoutFigure(figure).sx.range[1]).toBe(1200 - figureWidth);
    expect(renderFigure(wide)).toContain('viewBox="0 0 1200 ');
  });

  test('a panel without a value has no scale', () => {
    const empty = layoutFigure({ ...figure, panels: [{ ...panel, marks: [] }] });
    expect(empty.panels[0]?.sy).toBeUndefined();
  });
});
