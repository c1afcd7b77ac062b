import type { Figure, Panel } from '../../../engine/report/svg/figure.js';
import type { FigureColumn } from '../SaveFigure.js';

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

/** The numbers behind a figure: of each series its x and its values, in the units of the axes. Limits are left out. */
export function figureColumns(figure: Figure): FigureColumn[] {
  const x = named(figure.x.label);
  return figure.panels.flatMap((panel) => {
    const y = named(panel.y.label);
    return panel.marks.flatMap((mark): FigureColumn[] => {
      if (mark.kind === 'limit') return [];
      const series = `${y.name}: ${mark.label ?? mark.kind}`;
      const column = (what: string, values: ArrayLike<number>): FigureColumn => ({
        name: `${series}${what}`,
        unit: y.unit,
        values,
      });
      const place: FigureColumn = { name: `${x.name} of ${series}`, unit: x.unit, values: mark.x };
      if (mark.kind === 'band') return [place, column(', low', mark.low), column(', high', mark.high)];
      const half = mark.kind === 'points' ? mark.halfWidth : undefined;
      return [place, column('', mark.y), ...(half ? [column(', ±', half)] : [])];
    });
  });
}

/** "Torque, T [N·m]" as name and unit. */
function named(label: string): { name: string; unit: string } {
  const found = /^(.*?)\s*\[([^\]]*)\]$/.exec(label);
  return { name: found?.[1] ?? label, unit: found?.[2] ?? '' };
}
