import type { Point } from '../../line/path/circle.js';
import { escapeMarkup } from '../escape.js';
import { coordinate as c } from '../svg/path.js';
import { extent } from '../svg/scale.js';
import { drawFoot } from './foot.js';
import type { DrawnArc, DrawnCircle, DrawnLabel, DrawnSpan, LineDrawing } from './model.js';
import { type Box, covers, crossesBox, type Disc, overlap, placeLabels, type Segment } from './placement.js';
import { lineHeight, margin, smallWidth, textHeight } from './sheet.js';
import { lineStyle } from './style.js';
import { drawCircle, markReach, nipMark, type OnSheet, travelMark } from './symbols.js';

/** Room beside the outermost rollers, so that their labels can stand at them. */
const sideRoom = 40;
const troubleRadius = 9;
/** From this total width of all labels on, as a share of the drawing's, they stand upright. */
const denseFrom = 1.6;
/** Length of web that at least lies between two arrows of travel. */
const arrowDistance = 70;

export interface LineRenderOptions {
  /** Of the drawing, in drawing units: text is 12 of them high. 760 when left out, 1180 from 25 rollers on. */
  readonly width?: number;
  /** Largest height of the machine itself; labels, legend and list of problems come on top. 0.6 of the width when left out. */
  readonly height?: number;
}

/**
 * A side view as one SVG element that needs nothing else: rollers to scale, the web with its direction of travel, marks, labels that do
 * not overlap, a scale bar, a legend of the marks that occur, and every problem marked and written out below.
 */
export function renderLineDrawing(drawing: LineDrawing, options: LineRenderOptions = {}): string {
  const width = options.width ?? (drawing.circles.length >= 25 ? 1180 : 760);
  const sheet = fitSheet(drawing, width, options.height ?? 0.6 * width);
  const places = drawing.circles.map((circle) => sheet.circle(circle));

  const marks = drawing.circles.flatMap((circle, i) => markDiscs(circle, places[i] as OnSheet));
  const discs: Disc[] = [...places, ...marks];
  const spans = drawing.spans.map((s): Segment => {
    const [a, b] = [sheet.at(s.start), sheet.at(s.end)];
    return { x1: a.x, y1: a.y, x2: b.x, y2: b.y };
  });
  const wishes = drawing.labels
    .map((label, i) => ({ label, i }))
    .sort((a, b) => a.label.rank - b.label.rank || a.i - b.i)
    .map(({ label }) => label);
  const isDense = sum(wishes.map(labelWidth)) > denseFrom * width;
  const isUpright = (label: DrawnLabel): boolean => isDense && label.rank >= 2;
  const placed = placeLabels(
    wishes.map((label) => ({
      anchor: { ...sheet.at(label.at), r: label.rank === 0 ? troubleRadius : label.radius * sheet.scale },
      ...(isUpright(label)
        ? { width: textHeight, height: uprightWidth(label), isUpright: true }
        : { width: labelWidth(label), height: textHeight + (label.detail === undefined ? 0 : lineHeight) }),
    })),
    { left: margin, right: width - margin, discs, lines: spans, boxes: [] },
  );
  const boxes = placed.map((p) => p.box);
  const spanTexts = drawing.spans.flatMap((span, i) =>
    placeSpanText(span, spans[i] as Segment, spans, discs, boxes),
  );

  const arrows = arrowPlaces(spans);

  const body = [
    ...drawing.carriages.map((k) => {
      const [a, b] = [sheet.at(k.from), sheet.at(k.to)];
      return `<path class="bar" d="M${c(a.x)} ${c(a.y)}L${c(b.x)} ${c(b.y)}"/>`;
    }),
    ...drawing.circles.map((circle, i) => drawCircle(circle, places[i] as OnSheet)),
    ...drawing.arcs.map((arc) => drawArc(arc, sheet)),
    ...drawing.spans.map((span, i) => drawSpan(span, spans[i] as Segment, arrows.has(i))),
    ...drawing.nips.map(({ at, along }) => nipMark(sheet.at(at).x, sheet.at(at).y, along)),
    ...drawing.problems.map(({ at }) => troubleRing(sheet.at(at))),
    ...placed.map(({ leader }) =>
      leader
        ? `<path class="leader" d="M${c(leader.x1)} ${c(leader.y1)}L${c(leader.x2)} ${c(leader.y2)}"/>`
        : '',
    ),
    ...wishes.map((label, i) =>
      isUpright(label)
        ? drawUprightLabel(label, boxes[i] as Box, sheet.at(label.at).y)
        : drawLabel(label, boxes[i] as Box),
    ),
    ...spanTexts.map(({ box, text }) => centred('detail', box, box.bottom - 3, text)),
  ];

  const everything = [...boxes, ...spanTexts.map((s) => s.box), ...discs.map(boxOf)];
  const [top, bottom] = extent(everything.flatMap((b) => [b.top, b.bottom])) ?? [0, 0];
  const foot = drawFoot(drawing, sheet.scale, width, bottom + 18);
  const from = Math.floor(top - margin);
  const { id } = drawing;
  return (
    `<svg class="line-drawing" xmlns="http://www.w3.org/2000/svg" viewBox="0 ${from} ${width} ${Math.ceil(foot.bottom + margin - from)}" role="img" ` +
    `aria-labelledby="${id}-title ${id}-desc"><title id="${id}-title">${escapeMarkup(drawing.title)}</title>` +
    `<desc id="${id}-desc">${escapeMarkup(drawing.description)}</desc><style>${lineStyle}</style>${body.join('')}${foot.svg}</svg>`
  );
}

/** From metres to drawing units. */
interface FittedSheet {
  /** Drawing units a metre. */
  readonly scale: number;
  at(p: Point): { x: number; y: number };
  circle(circle: DrawnCircle): OnSheet;
}

function fitSheet(drawing: LineDrawing, width: number, height: number): FittedSheet {
  const [left, right] = extent(
    drawing.circles.flatMap((k) => [k.centre.x - k.radius, k.centre.x + k.radius]),
  ) ?? [0, 1];
  const [low, high] = extent(
    drawing.circles.flatMap((k) => [k.centre.y - k.radius, k.centre.y + k.radius]),
  ) ?? [0, 1];
  const scale = Math.min((width - 2 * sideRoom) / (right - left), height / (high - low));
  const x0 = (width - (right - left) * scale) / 2;
  const at = (p: Point): { x: number; y: number } => ({
    x: x0 + (p.x - left) * scale,
    y: (high - p.y) * scale,
  });
  const circle = (k: DrawnCircle): OnSheet => ({
    ...at(k.centre),
    r: k.radius * scale,
    core: (k.coreRadius ?? 0) * scale,
  });
  return { scale, at, circle };
}

/** Room that the marks beyond a circle's rim take. */
function markDiscs(circle: DrawnCircle, { x, y, r }: OnSheet): Disc[] {
  const reach = markReach(circle, r);
  if (reach === 0) return [];
  const angle = circle.load ?? -Math.PI / 2;
  const middle = r + reach / 2;
  return [{ x: x + middle * Math.cos(angle), y: y - middle * Math.sin(angle), r: reach / 2 + 1 }];
}

const boxOf = ({ x, y, r }: Disc): Box => ({ left: x - r, top: y - r, right: x + r, bottom: y + r });

const sum = (values: readonly number[]): number => values.reduce((total, v) => total + v, 0);

const labelWidth = ({ text, detail, state }: DrawnLabel): number =>
  Math.max(smallWidth(text, state !== 'normal'), detail === undefined ? 0 : smallWidth(detail)) + 4;

/** Name and detail in one line. */
const uprightText = ({ text, detail }: DrawnLabel): string =>
  [text, detail].filter((t) => t !== undefined).join(', ');
const uprightWidth = (label: DrawnLabel): number =>
  smallWidth(uprightText(label), label.state !== 'normal') + 4;

function drawArc({ centre, radius, from, turn, state }: DrawnArc, sheet: FittedSheet): string {
  const on = (angle: number): string => {
    const p = sheet.at({ x: centre.x + radius * Math.cos(angle), y: centre.y + radius * Math.sin(angle) });
    return `${c(p.x)} ${c(p.y)}`;
  };
  const r = c(radius * sheet.scale);
  const sweep = turn > 0 ? 0 : 1; // y points down on the sheet
  return `<path class="web ${state}" d="M${on(from)}A${r} ${r} 0 ${Math.abs(turn) > Math.PI ? 1 : 0} ${sweep} ${on(from + turn)}"/>`;
}

/** Spans that carry an arrow: long enough for one, and not crowded by the arrow before. */
function arrowPlaces(spans: readonly Segment[]): Set<number> {
  const chosen = new Set<number>();
  let since = Number.POSITIVE_INFINITY;
  for (const [i, { x1, y1, x2, y2 }] of spans.entries()) {
    const length = Math.hypot(x2 - x1, y2 - y1);
    if (length > 24 && since + length / 2 >= arrowDistance) {
      chosen.add(i);
      since = length / 2;
    } else since += length;
  }
  return chosen;
}

function drawSpan(span: DrawnSpan, { x1, y1, x2, y2 }: Segment, wantsArrow: boolean): string {
  const classes = `${span.state}${span.isPossible ? '' : ' impossible'}`;
  const line = `<path class="web ${classes}" d="M${c(x1)} ${c(y1)}L${c(x2)} ${c(y2)}"/>`;
  const arrow =
    span.isPossible && wantsArrow
      ? `<path class="travel ${span.state}" d="${travelMark((x1 + x2) / 2, (y1 + y2) / 2, Math.atan2(y1 - y2, x2 - x1))}"/>`
      : '';
  return `<g><title>${escapeMarkup(span.tip)}</title>${line}${arrow}</g>`;
}

const troubleRing = ({ x, y }: { x: number; y: number }): string =>
  `<circle class="trouble" cx="${c(x)}" cy="${c(y)}" r="${troubleRadius}"/>`;

function drawLabel(label: DrawnLabel, box: Box): string {
  const name = centred(label.state, box, box.top + textHeight - 2.5, label.text);
  return label.detail === undefined ? name : name + centred('detail', box, box.bottom - 3, label.detail);
}

/** Text that reads upwards; it begins or ends at the roller, whichever side that is on. */
function drawUprightLabel(label: DrawnLabel, box: Box, rollerY: number): string {
  const isAbove = box.bottom < rollerY;
  const [x, y] = [c(box.right - 3), c(isAbove ? box.bottom - 1 : box.top + 1)];
  const detail =
    label.detail === undefined ? '' : `<tspan class="detail">, ${escapeMarkup(label.detail)}</tspan>`;
  return `<text class="${label.state}" transform="translate(${x} ${y}) rotate(-90)" text-anchor="${isAbove ? 'start' : 'end'}">${escapeMarkup(label.text)}${detail}</text>`;
}

const centred = (classes: string, box: Box, y: number, text: string): string =>
  `<text class="${classes}" x="${c((box.left + box.right) / 2)}" y="${c(y)}" text-anchor="middle">${escapeMarkup(text)}</text>`;

/** A span's length beside it, where it finds room; pointing at the span shows it in any case. */
function placeSpanText(
  span: DrawnSpan,
  s: Segment,
  spans: readonly Segment[],
  discs: readonly Disc[],
  boxes: Box[],
): { box: Box; text: string }[] {
  if (span.text === undefined) return [];
  const [dx, dy] = [s.x2 - s.x1, s.y2 - s.y1];
  const d = Math.hypot(dx, dy);
  const [w, h] = [smallWidth(span.text) + 2, textHeight];
  if (d < 0.6 * w) return [];
  const [nx, ny] = [dy / d, -dx / d];
  const away = 3 + (Math.abs(nx) * w + Math.abs(ny) * h) / 2;
  for (const share of [0.5, 0.35, 0.65, 0.22, 0.78])
    for (const side of [1, -1]) {
      const x = s.x1 + share * dx + side * nx * away;
      const y = s.y1 + share * dy + side * ny * away;
      const box = { left: x - w / 2, top: y - h / 2, right: x + w / 2, bottom: y + h / 2 };
      const isTaken =
        boxes.some((b) => overlap(b, box)) ||
        discs.some((k) => covers(box, k)) ||
        spans.some((o) => o !== s && crossesBox(o, box));
      if (isTaken) continue;
      boxes.push(box);
      return [{ box, text: span.text }];
    }
  return [];
}
