import { bucketAt, type Piece } from './held.js';

/** Where a lane draws, in pixels of its canvas, and how values and times come there. */
export interface Canvas {
  readonly context: CanvasRenderingContext2D;
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  /** Pixels of the canvas per pixel of the page. */
  readonly ratio: number;
  x(t: number): number;
  y(value: number): number;
}

export interface Ink {
  readonly colour: string;
  readonly isReference: boolean;
}

/** Pixels of the page between samples from which on each is a point. */
const pointsFrom = 7;

/** Draws a channel: the samples themselves where they are held, else for every bucket the whole range of its samples, so that no peak is lost. */
export function paintPieces(canvas: Canvas, pieces: readonly Piece[], ink: Ink): void {
  const { context, top, height } = canvas;
  for (const piece of pieces) {
    const [x0, x1] = [canvas.x(piece.from), canvas.x(piece.to)];
    context.save();
    context.beginPath();
    context.rect(x0, top, x1 - x0, height);
    context.clip();
    if (piece.held.isRaw) paintSamples(canvas, piece, ink);
    else paintRanges(canvas, piece, ink);
    context.restore();
  }
}

function paintSamples(canvas: Canvas, { held, from, to }: Piece, { colour, isReference }: Ink): void {
  const { context, ratio } = canvas;
  const { buckets } = held;
  const n = buckets.length / 3;
  const first = bucketAt(held, from);
  let last = first;
  context.beginPath();
  let isPenDown = false;
  for (let b = first; b < n; b++) {
    const t = buckets[3 * b] as number;
    const v = buckets[3 * b + 1] as number;
    last = b;
    if (Number.isNaN(v)) isPenDown = false;
    else if (isPenDown) context.lineTo(canvas.x(t), canvas.y(v));
    else context.moveTo(canvas.x(t), canvas.y(v));
    isPenDown = !Number.isNaN(v);
    if (t > to) break;
  }
  context.strokeStyle = colour;
  context.lineWidth = 1.5 * ratio;
  context.lineJoin = 'round';
  context.setLineDash(isReference ? [6 * ratio, 4 * ratio] : []);
  context.stroke();
  if (last - first < 1) return;
  const apart =
    (canvas.x(buckets[3 * last] as number) - canvas.x(buckets[3 * first] as number)) / (last - first);
  if (apart < pointsFrom * ratio) return;
  context.fillStyle = colour;
  const size = 4 * ratio;
  for (let b = first; b <= last; b++) {
    const v = buckets[3 * b + 1] as number;
    if (!Number.isNaN(v))
      context.fillRect(canvas.x(buckets[3 * b] as number) - 0.5 * size, canvas.y(v) - 0.5 * size, size, size);
  }
}

function paintRanges(canvas: Canvas, { held, from, to }: Piece, { colour, isReference }: Ink): void {
  const { context, ratio } = canvas;
  const { buckets } = held;
  const n = buckets.length / 3;
  const thin = 1.3 * ratio;
  const wide = grainWidth(canvas, held) > 3 * ratio;
  context.fillStyle = colour;
  // coarse ranges are a promise, not a picture: paler until the finer ones have come
  context.globalAlpha = isReference ? 0.5 : wide ? 0.45 : 0.9;
  context.beginPath();
  let x = canvas.x(buckets[3 * bucketAt(held, from)] as number);
  for (let b = bucketAt(held, from); b < n; b++) {
    if ((buckets[3 * b] as number) > to) break;
    const low = buckets[3 * b + 1] as number;
    const high = buckets[3 * b + 2] as number;
    const isLast = b + 1 === n;
    const next = canvas.x(isLast ? held.to : (buckets[3 * b + 3] as number));
    if (low <= high) {
      const bottom = canvas.y(low);
      const top = canvas.y(high);
      context.rect(x, top - 0.5 * thin, Math.max(thin, next - x), bottom - top + thin);
      // the line that runs on to where the next range begins
      if (!isLast) {
        const [nextLow, nextHigh] = [buckets[3 * b + 4] as number, buckets[3 * b + 5] as number];
        if (nextLow > high) context.rect(next - 0.5 * thin, canvas.y(nextLow), thin, top - canvas.y(nextLow));
        else if (nextHigh < low) context.rect(next - 0.5 * thin, bottom, thin, canvas.y(nextHigh) - bottom);
      }
    }
    x = next;
  }
  context.fill();
}

const grainWidth = (canvas: Canvas, { from, to, buckets }: Piece['held']): number =>
  (canvas.x(to) - canvas.x(from)) / Math.max(1, buckets.length / 3);
