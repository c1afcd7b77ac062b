import { bucketExtents, decimateLine, type Samples } from './decimate.js';
import type { LimitMark, Mark, PointsMark } from './figure.js';
import { bandPath, coordinate as c, linePath, tracePath } from './path.js';
import type { Scale } from './scale.js';

/** Every y a mark wants to be seen; limits take what room there is. */
export function* valuesOf(mark: Mark): Generator<number> {
  if (mark.kind === 'limit') return;
  if (mark.kind === 'band') {
    yield* Array.from(mark.low);
    yield* Array.from(mark.high);
    return;
  }
  for (let i = 0; i < mark.y.length; i++) {
    const y = mark.y[i] as number;
    const half = mark.kind === 'points' ? (mark.halfWidth?.[i] ?? 0) : 0;
    yield y - half;
    yield y + half;
  }
}

/** The x of a mark's samples; a limit has none. */
export const abscissaeOf = (mark: Mark): Samples => (mark.kind === 'limit' ? [] : mark.x);

/** SVG of one mark inside the plotting area. `id` prefixes the figure's patterns. */
export function drawMark(mark: Mark, sx: Scale, sy: Scale, id: string): string {
  const [from, to] = sx.domain;
  const columns = Math.round(sx.range[1] - sx.range[0]);
  switch (mark.kind) {
    case 'limit':
      return drawLimit(mark, sx, sy, id);
    case 'band':
      return path(`band ${mark.signal}`, bandPath(mark.x, mark.low, mark.high, sx, sy));
    case 'line': {
      const indices = decimateLine(mark.x, mark.y, from, to, columns);
      return path(`line ${mark.meaning} ${mark.signal}`, linePath(mark.x, mark.y, sx, sy, indices));
    }
    case 'trace':
      return path(
        `trace ${mark.signal}`,
        tracePath(bucketExtents(mark.x, mark.y, from, to, columns), sx, sy),
      );
    case 'cloud':
      return path(`cloud ${mark.signal}`, cloudPath(mark.x, mark.y, sx, sy));
    case 'points':
      return drawPoints(mark, sx, sy);
  }
}

const path = (classes: string, d: string): string => (d === '' ? '' : `<path class="${classes}" d="${d}"/>`);

/** One dot a spot of one drawing unit, however many samples fall on it: the outline of the cloud stays whole. */
function cloudPath(x: Samples, y: Samples, sx: Scale, sy: Scale): string {
  const spots = new Set<string>();
  for (let i = 0; i < x.length; i++) {
    const px = sx(x[i] as number);
    const py = sy(y[i] as number);
    if (Number.isFinite(px) && Number.isFinite(py)) spots.add(`M${Math.round(px)} ${Math.round(py)}h0`);
  }
  return [...spots].join('');
}

function drawPoints(mark: PointsMark, sx: Scale, sy: Scale): string {
  let whiskers = '';
  let symbols = '';
  for (let i = 0; i < mark.x.length; i++) {
    const px = sx(mark.x[i] as number);
    const value = mark.y[i] as number;
    const py = sy(value);
    if (!(Number.isFinite(px) && Number.isFinite(py))) continue;
    const half = mark.halfWidth?.[i] ?? Number.NaN;
    if (half > 0 && Number.isFinite(half)) {
      const [high, low] = [c(sy(value + half)), c(sy(value - half))];
      whiskers += `M${c(px)} ${high}V${low}M${c(px - 4)} ${high}h8M${c(px - 4)} ${low}h8`;
    }
    symbols += symbolPath(mark.shape, px, py);
  }
  return path(`whisker ${mark.signal}`, whiskers) + path(`symbol ${mark.fill} ${mark.signal}`, symbols);
}

/** Outline of a point symbol about (x, y); the three shapes look equally large. */
export function symbolPath(shape: PointsMark['shape'], x: number, y: number): string {
  if (shape === 'square') return `M${c(x - 3.6)} ${c(y - 3.6)}h7.2v7.2h-7.2Z`;
  if (shape === 'triangle') return `M${c(x)} ${c(y - 5)}l4.6 8h-9.2Z`;
  return `M${c(x - 4.2)} ${c(y)}a4.2 4.2 0 1 0 8.4 0a4.2 4.2 0 1 0 -8.4 0Z`;
}

function drawLimit(mark: LimitMark, sx: Scale, sy: Scale, id: string): string {
  const [d0, d1] = sy.domain;
  const low = Math.max(mark.from, d0);
  const high = Math.min(mark.to, d1);
  if (!(low < high)) return '';
  const [x0, x1] = sx.range;
  const area = `<rect class="limit" fill="url(#${id}-hatch)" x="${c(x0)}" y="${c(sy(high))}" width="${c(x1 - x0)}" height="${c(sy(low) - sy(high))}"/>`;
  const edges = [mark.from, mark.to]
    .filter((v) => v > d0 && v < d1)
    .map((v) => path('limit-edge', `M${c(x0)} ${c(sy(v))}H${c(x1)}`));
  return area + edges.join('');
}
