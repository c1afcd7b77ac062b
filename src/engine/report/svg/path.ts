import type { Bucket, Samples } from './decimate.js';
import type { Scale } from './scale.js';

/** A coordinate as text: two decimals of a drawing unit are finer than any printer. */
export const coordinate = (value: number): string => {
  const text = value.toFixed(2).replace(/\.?0+$/, '');
  return text === '-0' ? '0' : text;
};

/** Path through the samples at `indices` (all when left out); it breaks where x or y is not finite. */
export function linePath(x: Samples, y: Samples, sx: Scale, sy: Scale, indices?: readonly number[]): string {
  const n = indices?.length ?? x.length;
  let path = '';
  let isPenDown = false;
  for (let j = 0; j < n; j++) {
    const i = indices ? (indices[j] as number) : j;
    const px = sx(x[i] as number);
    const py = sy(y[i] as number);
    if (!(Number.isFinite(px) && Number.isFinite(py))) {
      isPenDown = false;
      continue;
    }
    path += `${isPenDown ? 'L' : 'M'}${coordinate(px)} ${coordinate(py)}`;
    isPenDown = true;
  }
  return path;
}

/** Closed outlines of the band between low and high; one piece a stretch in which x, low and high are all finite. */
export function bandPath(x: Samples, low: Samples, high: Samples, sx: Scale, sy: Scale): string {
  let path = '';
  let piece: number[] = [];
  const close = (): void => {
    if (piece.length > 1) {
      const forth = piece.map(
        (i) => `${coordinate(sx(x[i] as number))} ${coordinate(sy(high[i] as number))}`,
      );
      const back = piece
        .toReversed()
        .map((i) => `${coordinate(sx(x[i] as number))} ${coordinate(sy(low[i] as number))}`);
      path += `M${[...forth, ...back].join('L')}Z`;
    }
    piece = [];
  };
  for (let i = 0; i < x.length; i++) {
    const isThere = [x[i], low[i], high[i]].every((v) => Number.isFinite(v));
    if (isThere) piece.push(i);
    else close();
  }
  close();
  return path;
}

/**
 * Measured samples as upright strokes from the lowest to the highest of each bucket: a lone sample is a dot (the
 * stroke has round ends), a crowd of samples the bar that its dots would fill.
 */
export function tracePath(buckets: readonly Bucket[], sx: Scale, sy: Scale): string {
  let path = '';
  for (const { x, min, max } of buckets) {
    const top = coordinate(sy(max));
    const bottom = coordinate(sy(min));
    path += `M${coordinate(sx(x))} ${top}${top === bottom ? 'h0' : `V${bottom}`}`;
  }
  return path;
}
