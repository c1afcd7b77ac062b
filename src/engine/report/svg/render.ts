import { escapeMarkup } from '../escape.js';
import type { Figure, Mark, Panel, Span } from './figure.js';
import { flowRows, fontSize, type PlacedItem, type RowItem, textStart, textWidth } from './legend.js';
import { abscissaeOf, drawMark, symbolPath, valuesOf } from './marks.js';
import { coordinate as c } from './path.js';
import { extent, linearScale, logScale, logTicks, niceTicks, type Scale, tickLabels } from './scale.js';

/** Width of a figure that states none, in drawing units. */
export const figureWidth = 760;
const left = 66;
const rightEdge = 18;
const stripHeight = 18;
const panelGap = 14;

interface LegendItem extends RowItem {
  /** Draws the swatch with its left end at x, centred on y. */
  readonly draw?: (x: number, y: number) => string;
}

/** Where a panel of a figure stands, in drawing units, and its scale; undefined where it has no value to show. */
export interface PlacedPanel {
  readonly top: number;
  readonly sy: Scale | undefined;
}

/** Where everything of a figure stands, in drawing units: what a page needs to point into it. */
export interface FigureLayout {
  readonly width: number;
  readonly height: number;
  readonly sx: Scale;
  readonly panels: readonly PlacedPanel[];
}

interface Placed extends FigureLayout {
  readonly legend: readonly PlacedItem<LegendItem>[];
  readonly strip: number;
  readonly topAxis: number;
  readonly headers: readonly (readonly PlacedItem<LegendItem>[])[];
  readonly axisLabel: number;
}

/** Where the parts of a figure are drawn by {@link renderFigure}, and its scales. */
export const layoutFigure = (figure: Figure): FigureLayout => place(figure);

function place(figure: Figure): Placed {
  const { id, spans = [], width = figureWidth } = figure;
  const right = width - rightEdge;
  let y = 4;
  const spansRow = flowRows(spanLegend(spans, id), left, right, y);
  if (spans.length > 0) y += spansRow.height + 6;
  const strip = y;
  if (spans.length > 0) y += stripHeight + 6;
  const topAxis = y;
  if (figure.top) y += 2 * fontSize + 16;
  const headers: PlacedItem<LegendItem>[][] = [];
  const panels: PlacedPanel[] = [];
  for (const [k, panel] of figure.panels.entries()) {
    if (k > 0) y += panelGap;
    const header = flowRows(panelHeader(panel, id), 4, right, y);
    y += header.height + 6;
    const domain = yDomain(panel);
    headers.push(header.placed);
    const scale = panel.y.isLogarithmic ? logScale : linearScale;
    panels.push({ top: y, sy: domain && scale(domain, [y + panel.height, y]) });
    y += panel.height;
  }
  const axisLabel = y + 2 * fontSize + 12;
  return {
    width,
    height: Math.ceil(y + 2 * fontSize + 20),
    sx: linearScale(xDomain(figure), [left, right]),
    panels,
    legend: spansRow.placed,
    strip,
    topAxis,
    headers,
    axisLabel,
  };
}

/**
 * A figure as one SVG element: text only, no script, no reference outside itself. Colours come from the classes of
 * figureStyle. Missing and infinite values are left out; a panel without any value says so.
 */
export function renderFigure(figure: Figure): string {
  const { id, spans = [] } = figure;
  const placed = place(figure);
  const { sx, width } = placed;
  const [, right] = sx.range;
  const strips = spans.map((s) => drawStrip(s, sx, placed.strip, id)).join('');
  const top = figure.top ? drawTopAxis(figure.top, sx, placed.topAxis) : '';
  const panels = figure.panels.map((panel, k) => {
    const isLowest = k === figure.panels.length - 1;
    return (
      drawRow(placed.headers[k] ?? []) +
      drawPanel(panel, sx, placed.panels[k] as PlacedPanel, isLowest, spans, id, k)
    );
  });
  const label = text((left + right) / 2, placed.axisLabel, figure.x.label, 'axis-label', 'middle');
  return (
    `<svg class="figure" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${placed.height}" role="img" ` +
    `aria-labelledby="${id}-title ${id}-desc"><title id="${id}-title">${escapeMarkup(figure.title)}</title>` +
    `<desc id="${id}-desc">${escapeMarkup(figure.description)}</desc><defs>${hatchPattern(id)}</defs>` +
    `${drawRow(placed.legend)}${strips}${top}${panels.join('')}${label}</svg>`
  );
}

const hatchPattern = (id: string): string =>
  `<pattern id="${id}-hatch" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">` +
  '<path class="hatch" d="M0 0V7"/></pattern>';

function xDomain(figure: Figure): [number, number] {
  const values = figure.panels.flatMap((p) => p.marks.map((m) => extent(Array.from(abscissaeOf(m)))));
  const spans = (figure.spans ?? []).flatMap((s) => [s.from, s.to]);
  return extent([...values.flatMap((e) => e ?? []), ...spans, ...(figure.x.include ?? [])]) ?? [0, 1];
}

/** Extent of a panel's values with a little air, except at a zero that was asked for; or the range that was asked for. */
function yDomain(panel: Panel): [number, number] | undefined {
  const { isLogarithmic = false } = panel.y;
  const shown = (m: Mark): Iterable<number> =>
    isLogarithmic ? [...valuesOf(m)].filter((v) => v > 0) : valuesOf(m);
  const data = panel.marks.map((m) => extent(shown(m))).flatMap((e) => e ?? []);
  const include = panel.y.include ?? [];
  const found = data.length === 0 ? undefined : extent([...data, ...include]);
  if (!found) return undefined;
  if (panel.y.range) return [panel.y.range[0], panel.y.range[1]];
  if (isLogarithmic) return [found[0] / 1.2, 1.2 * found[1]];
  const air = 0.06 * (found[1] - found[0]);
  const isFloor = found[0] === 0 && include.includes(0);
  const isCeiling = found[1] === 0 && include.includes(0);
  return [isFloor ? 0 : found[0] - air, isCeiling ? 0 : found[1] + air];
}

function drawPanel(
  panel: Panel,
  sx: Scale,
  { top, sy: stated }: PlacedPanel,
  isLowest: boolean,
  spans: readonly Span[],
  id: string,
  k: number,
): string {
  const [, right] = sx.range;
  const bottom = top + panel.height;
  const clip = `${id}-clip-${k}`;
  const frame = `x="${left}" y="${c(top)}" width="${c(right - left)}" height="${c(panel.height)}"`;
  const tints = spans
    .filter((s) => !s.isHatched)
    .map((s) => spanRect(s, sx, top, panel.height, `tint ${s.tone}`));
  const sy = stated ?? linearScale([0, 1], [bottom, top]);
  const [low, high] = sy.domain;
  const yTicks = !stated
    ? []
    : panel.y.isLogarithmic
      ? logTicks(low, high, panel.height / 15)
      : niceTicks(low, high, Math.max(4, Math.round(panel.height / 40)));
  const labels = panel.y.isLogarithmic ? yTicks.map(String) : tickLabels(yTicks);
  const grid = yTicks.map((t, i) => {
    const y = sy(t);
    const line = `<path class="${t === 0 ? 'zero' : 'grid'}" d="M${left} ${c(y)}H${right}"/>`;
    return line + text(left - 8, y + fontSize * 0.35, labels[i] ?? '', 'tick', 'end');
  });
  const xTicks = niceTicks(sx.domain[0], sx.domain[1], 10);
  const xLabels = tickLabels(xTicks);
  const xAxis = xTicks.map((t, i) => {
    const x = sx(t);
    const tick = `<path class="tickmark" d="M${c(x)} ${c(bottom)}v5"/>`;
    return tick + (isLowest ? text(x, bottom + fontSize + 8, xLabels[i] ?? '', 'tick', 'middle') : '');
  });
  const drawn = (wanted: boolean): string =>
    stated
      ? panel.marks
          .filter((m) => (m.kind === 'points') === wanted)
          .map((m) => drawMark(m, sx, sy, id))
          .join('')
      : '';
  const empty = stated ? '' : text((left + right) / 2, top + panel.height / 2, 'No data', 'tick', 'middle');
  return (
    `<clipPath id="${clip}"><rect ${frame}/></clipPath>${tints.join('')}${grid.join('')}` +
    // A point on the edge of the plot, such as breakaway at rest, is drawn whole: points come last and unclipped.
    `<g clip-path="url(#${clip})">${drawn(false)}</g><rect class="frame" ${frame}/>${xAxis.join('')}${drawn(true)}${empty}`
  );
}

function drawTopAxis(top: NonNullable<Figure['top']>, sx: Scale, y: number): string {
  // The axis line sits just above the first panel's header, which must stay readable, so it is a rule of its own.
  const [, right] = sx.range;
  const line = y + 2 * fontSize + 8;
  const ends = [sx.domain[0] * top.scale, sx.domain[1] * top.scale] as const;
  const ticks = niceTicks(Math.min(...ends), Math.max(...ends), 10);
  const labels = tickLabels(ticks);
  const drawn = ticks.map((t, i) => {
    const x = sx(t / top.scale);
    return `<path class="tickmark" d="M${c(x)} ${c(line)}v-5"/>${text(x, line - 8, labels[i] ?? '', 'tick', 'middle')}`;
  });
  return (
    text((left + right) / 2, y + fontSize - 2, top.label, 'axis-label', 'middle') +
    `<path class="frame" d="M${left} ${c(line)}H${right}"/>${drawn.join('')}`
  );
}

function spanRect(span: Span, sx: Scale, y: number, height: number, classes: string, fill = ''): string {
  const x0 = Math.max(left, sx(span.from));
  const x1 = Math.min(sx.range[1], sx(span.to));
  if (!(x1 > x0)) return '';
  const paint = fill === '' ? '' : ` fill="${fill}"`;
  return `<rect class="${classes}"${paint} x="${c(x0)}" y="${c(y)}" width="${c(Math.max(0.5, x1 - x0))}" height="${c(height)}"/>`;
}

/** The strip above the panels: solid where the fit used the stretch, hatched where not, with a letter where it fits. */
function drawStrip(span: Span, sx: Scale, y: number, id: string): string {
  const rect = span.isHatched
    ? spanRect(span, sx, y, stripHeight, 'strip hatched', `url(#${id}-hatch)`)
    : spanRect(span, sx, y, stripHeight, `strip ${span.tone}`);
  if (rect === '') return '';
  const width = sx(span.to) - sx(span.from);
  const middle = (sx(span.from) + sx(span.to)) / 2;
  const fits = width > textWidth(span.letter) + 4;
  const letter = fits
    ? text(
        middle,
        y + stripHeight - 5,
        span.letter,
        `letter ${span.isHatched ? 'hatched' : span.tone}`,
        'middle',
      )
    : '';
  return `<g><title>${escapeMarkup(span.title)}</title>${rect}${letter}</g>`;
}

/** A swatch a kind of stretch, solid where any of the kind was used, and one that says what hatching means. */
function spanLegend(spans: readonly Span[], id: string): LegendItem[] {
  const box = (x: number, y: number, tone: string | undefined): string =>
    `<rect class="strip ${tone ?? 'hatched'}"${tone === undefined ? ` fill="url(#${id}-hatch)"` : ''} x="${c(x)}" y="${c(y - 7)}" width="20" height="14"/>`;
  const kinds = new Map<string, Span>();
  for (const s of spans) {
    const known = kinds.get(s.label);
    if (!known || (known.isHatched && !s.isHatched)) kinds.set(s.label, s);
  }
  const items = [...kinds.values()].map((s): LegendItem => {
    const tone = s.isHatched ? undefined : s.tone;
    const draw = (x: number, y: number): string =>
      box(x, y, tone) + text(x + 10, y + 4.5, s.letter, `letter ${tone ?? 'hatched'}`, 'middle');
    return { text: s.label, swatch: 20, isBold: false, draw };
  });
  if (spans.some((s) => s.isHatched)) {
    items.push({
      text: 'left out of the fit',
      swatch: 20,
      isBold: false,
      draw: (x, y) => box(x, y, undefined),
    });
  }
  return items;
}

/** The axis label and the legend of one panel, in one flow above the plotting area. */
function panelHeader(panel: Panel, id: string): LegendItem[] {
  const seen = new Set<string>();
  const items: LegendItem[] = [{ text: panel.y.label, swatch: 0, isBold: true }];
  for (const mark of panel.marks) {
    if (mark.label === undefined || seen.has(mark.label)) continue;
    seen.add(mark.label);
    items.push({ text: mark.label, swatch: 24, isBold: false, draw: (x, y) => swatch(mark, x, y, id) });
  }
  return items;
}

function swatch(mark: Mark, x: number, y: number, id: string): string {
  switch (mark.kind) {
    case 'limit':
      return `<rect class="limit" fill="url(#${id}-hatch)" x="${c(x)}" y="${c(y - 6)}" width="24" height="12"/>`;
    case 'band':
      return `<rect class="band ${mark.signal}" x="${c(x)}" y="${c(y - 6)}" width="24" height="12"/>`;
    case 'line':
      return `<path class="line ${mark.meaning} ${mark.signal}" d="M${c(x)} ${c(y)}h24"/>`;
    case 'trace':
    case 'cloud':
      return `<path class="trace ${mark.signal}" d="M${c(x + 3)} ${c(y + 2)}h0M${c(x + 9)} ${c(y - 2)}h0M${c(x + 15)} ${c(y + 1)}h0M${c(x + 21)} ${c(y - 1)}h0"/>`;
    case 'points':
      return `<path class="symbol ${mark.fill} ${mark.signal}" d="${symbolPath(mark.shape, x + 12, y)}"/>`;
  }
}

function drawRow(placed: readonly PlacedItem<LegendItem>[]): string {
  return placed
    .map((p) => {
      const drawn = p.item.draw?.(p.x, p.baseline - 4.5) ?? '';
      return (
        drawn + text(textStart(p), p.baseline, p.item.text, p.item.isBold ? 'axis-label' : 'legend', 'start')
      );
    })
    .join('');
}

function text(
  x: number,
  y: number,
  content: string,
  classes: string,
  anchor: 'start' | 'middle' | 'end',
): string {
  return `<text class="${classes}" x="${c(x)}" y="${c(y)}" text-anchor="${anchor}">${escapeMarkup(content)}</text>`;
}
