import type { Figure, Mark, Panel } from '../../../engine/report/svg/figure.js';

/** What stands at a place of the x axis, for reading out. */
export interface ReadoutEntry {
  readonly label: string;
  readonly value: number;
  /** Range of a band, or of what a measured trace has there. */
  readonly low?: number;
  readonly high?: number;
}

/** The values of a panel's lines and bands at x: between samples straight, beyond them nothing. Marks without a label are passed over. */
export function readoutAt(panel: Panel, x: number): ReadoutEntry[] {
  const out: ReadoutEntry[] = [];
  for (const mark of panel.marks) {
    if (mark.kind === 'limit' || mark.label === undefined) continue;
    if (mark.kind === 'line') {
      const value = between(mark.x, mark.y, x);
      if (Number.isFinite(value)) out.push({ label: mark.label, value });
    } else if (mark.kind === 'band') {
      const [low, high] = [between(mark.x, mark.low, x), between(mark.x, mark.high, x)];
      if (Number.isFinite(low) && Number.isFinite(high))
        out.push({ label: mark.label, value: 0.5 * (low + high), low, high });
    }
  }
  return out;
}

/** Value at x on straight lines between samples of increasing x; NaN outside and across a gap. */
export function between(xs: ArrayLike<number>, ys: ArrayLike<number>, x: number): number {
  const n = xs.length;
  if (n === 0 || !(x >= (xs[0] as number)) || !(x <= (xs[n - 1] as number))) return Number.NaN;
  let low = 0;
  let high = n - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if ((xs[middle] as number) <= x) low = middle;
    else high = middle;
  }
  const [x0, x1, y0, y1] = [xs[low], xs[high], ys[low], ys[high]] as [number, number, number, number];
  if (x === x0) return y0;
  return x1 > x0 ? y0 + ((x - x0) / (x1 - x0)) * (y1 - y0) : y1;
}

const cell = (text: string): string => (/[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
const number = (value: number): string =>
  Number.isFinite(value) ? String(Number(value.toPrecision(9))) : '';

/** All that a figure draws as comma-separated text: one line a sample, in the units of its axes. Limits are left out. */
export function figureCsv(figure: Figure): string {
  const lines = ['plot,series,x,y,low,high'];
  for (const panel of figure.panels)
    for (const mark of panel.marks) {
      if (mark.kind === 'limit') continue;
      const head = `${cell(panel.y.label)},${cell(mark.label ?? mark.kind)}`;
      for (let i = 0; i < mark.x.length; i++) lines.push(`${head},${sample(mark, i)}`);
    }
  return `# x: ${figure.x.label}\n${lines.join('\n')}\n`;
}

function sample(mark: Exclude<Mark, { readonly kind: 'limit' }>, i: number): string {
  const x = number(mark.x[i] as number);
  if (mark.kind === 'band') return `${x},,${number(mark.low[i] as number)},${number(mark.high[i] as number)}`;
  const y = mark.y[i] as number;
  const half = mark.kind === 'points' ? (mark.halfWidth?.[i] ?? Number.NaN) : Number.NaN;
  return `${x},${number(y)},${number(y - half)},${number(y + half)}`;
}
