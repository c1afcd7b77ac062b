import type { Point } from '../../../engine/line/path/circle.js';
import { escapeMarkup } from '../../../engine/report/escape.js';
import type {
  DrawnArc,
  DrawnCircle,
  DrawnLabel,
  DrawnSpan,
  LineDrawing,
} from '../../../engine/report/line/model.js';
import { type PlacedLabel, placeLabels, type Segment } from '../../../engine/report/line/placement.js';
import { lineHeight, smallWidth, textHeight } from '../../../engine/report/line/sheet.js';
import { drawCircle, nipMark, type OnSheet, travelMark } from '../../../engine/report/line/symbols.js';
import { coordinate as c } from '../../../engine/report/svg/path.js';
import { extent } from '../../../engine/report/svg/scale.js';

/** From metres to the units of a sheet. Unlike that of a report it stays as it is while something is dragged. */
export interface Sheet {
  readonly width: number;
  readonly height: number;
  /** Units a metre. */
  readonly scale: number;
  /** Place of the machine's origin. */
  readonly x0: number;
  readonly y0: number;
}

export interface Room {
  readonly width: number;
  readonly height: number;
  /** Left free around the machine. */
  readonly edge: number;
}

export function fitSheet(drawing: Pick<LineDrawing, 'circles'>, { width, height, edge }: Room): Sheet {
  const xs = drawing.circles.flatMap((k) => [k.centre.x - k.radius, k.centre.x + k.radius]);
  const ys = drawing.circles.flatMap((k) => [k.centre.y - k.radius, k.centre.y + k.radius]);
  const [left, right] = extent(xs) ?? [0, 1];
  const [low, high] = extent(ys) ?? [0, 1];
  const scale = Math.min((width - 2 * edge) / (right - left), (height - 2 * edge) / (high - low));
  return {
    width,
    height,
    scale,
    x0: (width - (left + right) * scale) / 2,
    y0: (height + (low + high) * scale) / 2,
  };
}

export const toSheet = ({ x0, y0, scale }: Sheet, p: Point): { x: number; y: number } => ({
  x: x0 + p.x * scale,
  y: y0 - p.y * scale,
});

export const toMachine = ({ x0, y0, scale }: Sheet, x: number, y: number): Point => ({
  x: (x - x0) / scale,
  y: (y0 - y) / scale,
});

const circleOnSheet = (sheet: Sheet, k: DrawnCircle): OnSheet => ({
  ...toSheet(sheet, k.centre),
  r: k.radius * sheet.scale,
  core: (k.coreRadius ?? 0) * sheet.scale,
});

const segmentOf = (sheet: Sheet, span: DrawnSpan): Segment => {
  const [a, b] = [toSheet(sheet, span.start), toSheet(sheet, span.end)];
  return { x1: a.x, y1: a.y, x2: b.x, y2: b.y };
};

/** Rollers, web, nips and marks of problems as SVG markup. Every text in it is escaped where it is made. */
export function sketch(drawing: LineDrawing, sheet: Sheet): string {
  const spans = drawing.spans.map((s) => segmentOf(sheet, s));
  return [
    ...drawing.carriages.map((k) => {
      const [a, b] = [toSheet(sheet, k.from), toSheet(sheet, k.to)];
      return `<path class="bar" d="M${c(a.x)} ${c(a.y)}L${c(b.x)} ${c(b.y)}"/>`;
    }),
    ...drawing.circles.map((k) => drawCircle(k, circleOnSheet(sheet, k))),
    ...drawing.arcs.map((arc) => drawArc(arc, sheet)),
    ...drawing.spans.map((span, i) => drawSpan(span, spans[i] as Segment)),
    ...drawing.nips.map(({ at, along }) => nipMark(toSheet(sheet, at).x, toSheet(sheet, at).y, along)),
    ...drawing.problems.map(({ at }) => {
      const { x, y } = toSheet(sheet, at);
      return `<circle class="trouble" cx="${c(x)}" cy="${c(y)}" r="9"/>`;
    }),
  ].join('');
}

function drawArc({ centre, radius, from, turn, state }: DrawnArc, sheet: Sheet): string {
  const on = (angle: number): string => {
    const p = toSheet(sheet, {
      x: centre.x + radius * Math.cos(angle),
      y: centre.y + radius * Math.sin(angle),
    });
    return `${c(p.x)} ${c(p.y)}`;
  };
  const r = c(radius * sheet.scale);
  // y points down on the sheet
  return `<path class="web ${state}" d="M${on(from)}A${r} ${r} 0 ${Math.abs(turn) > Math.PI ? 1 : 0} ${turn > 0 ? 0 : 1} ${on(from + turn)}"/>`;
}

function drawSpan({ state, isPossible }: DrawnSpan, { x1, y1, x2, y2 }: Segment): string {
  const line = `<path class="web ${state}${isPossible ? '' : ' impossible'}" d="M${c(x1)} ${c(y1)}L${c(x2)} ${c(y2)}"/>`;
  if (!isPossible || Math.hypot(x2 - x1, y2 - y1) < 40) return line;
  return `${line}<path class="travel ${state}" d="${travelMark((x1 + x2) / 2, (y1 + y2) / 2, Math.atan2(y1 - y2, x2 - x1))}"/>`;
}

const labelWidth = ({ text, detail, state }: DrawnLabel): number =>
  Math.max(smallWidth(text, state !== 'normal'), detail === undefined ? 0 : smallWidth(detail)) + 4;

/** Places for the labels; costly beside the rest, so that while something is dragged those of the rest stay where they are. */
export function placeNames(drawing: LineDrawing, sheet: Sheet): Map<DrawnLabel, PlacedLabel> {
  const wishes = [...drawing.labels].sort((a, b) => a.rank - b.rank);
  const placed = placeLabels(
    wishes.map((label) => ({
      anchor: { ...toSheet(sheet, label.at), r: label.rank === 0 ? 9 : label.radius * sheet.scale },
      width: labelWidth(label),
      height: textHeight + (label.detail === undefined ? 0 : lineHeight),
    })),
    {
      left: 4,
      right: sheet.width - 4,
      discs: drawing.circles.map((k) => circleOnSheet(sheet, k)),
      lines: drawing.spans.map((s) => segmentOf(sheet, s)),
      boxes: [],
    },
  );
  return new Map(wishes.map((label, i) => [label, placed[i] as PlacedLabel]));
}

/** How far a label stands from its roller, so that it moves along with it. */
export type LabelOffsets = ReadonlyMap<
  string,
  { readonly dx: number; readonly dy: number; readonly leader: boolean }
>;

export function labelOffsets(drawing: LineDrawing, sheet: Sheet): LabelOffsets {
  return new Map(
    [...placeNames(drawing, sheet)].map(([label, { box, leader }]) => {
      const at = toSheet(sheet, label.at);
      return [
        label.text,
        { dx: (box.left + box.right) / 2 - at.x, dy: box.top - at.y, leader: leader !== undefined },
      ];
    }),
  );
}

/** Labels at their offsets from where their rollers are now. */
export function drawNames(drawing: LineDrawing, sheet: Sheet, offsets: LabelOffsets): string {
  return drawing.labels
    .map((label) => {
      const { x, y } = toSheet(sheet, label.at);
      const { dx, dy, leader } = offsets.get(label.text) ?? { dx: 0, dy: 12, leader: false };
      const top = y + dy;
      const r = label.radius * sheet.scale;
      const d = Math.hypot(dx, dy) || 1;
      const line = leader
        ? `<path class="leader" d="M${c(x + (dx / d) * r)} ${c(y + (dy / d) * r)}L${c(x + dx)} ${c(dy > 0 ? top : top + textHeight + (label.detail === undefined ? 0 : lineHeight))}"/>`
        : '';
      const name = `<text class="${label.state}" x="${c(x + dx)}" y="${c(top + textHeight - 2.5)}" text-anchor="middle">${escapeMarkup(label.text)}</text>`;
      const detail =
        label.detail === undefined
          ? ''
          : `<text class="detail" x="${c(x + dx)}" y="${c(top + textHeight + lineHeight - 3)}" text-anchor="middle">${escapeMarkup(label.detail)}</text>`;
      return line + name + detail;
    })
    .join('');
}
