import type { ReactNode } from 'react';
import { lineStyle } from '../../engine/report/line/style.js';
import { figureStyle } from '../../engine/report/svg/style.js';
import { tokens } from '../../engine/report/tokens.js';
import { saveText } from './plot/saveText.js';

/** A column of the numbers behind a figure, in the unit shown. */
export interface FigureColumn {
  readonly name: string;
  readonly unit: string;
  readonly values: ArrayLike<number>;
}

/**
 * Numbers as comma-separated text with a header, decimal points whatever the language of the page: what a program reads. Columns may have different
 * lengths; a missing value is an empty cell.
 */
export function toCsv(columns: readonly FigureColumn[]): string {
  const quoted = (text: string): string =>
    /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""').replace(/[\r\n]+/g, ' ')}"` : text;
  const head = columns.map((c) => quoted(c.unit === '' ? c.name : `${c.name} [${c.unit}]`));
  const length = Math.max(0, ...columns.map((c) => c.values.length));
  const rows = Array.from({ length }, (_, i) =>
    columns.map((c) => {
      const v = c.values[i];
      return v === undefined || !Number.isFinite(v) ? '' : String(Number(v.toPrecision(9)));
    }),
  );
  return `${[head, ...rows].map((cells) => cells.join(',')).join('\r\n')}\r\n`;
}

/** An SVG of the page as a file of its own: colours and style stand inside it, what is only there to be dragged is left out. */
export function toSvgFile(svg: SVGSVGElement): string {
  const copy = svg.cloneNode(true) as SVGSVGElement;
  for (const part of copy.querySelectorAll('.handle, .grip, .cursor, .readout')) part.remove();
  const { width, height } = svg.viewBox.baseVal;
  copy.setAttribute('xmlns', 'http://www.w3.org/2000/svg');
  copy.setAttribute('width', String(width));
  copy.setAttribute('height', String(height));
  const style = document.createElementNS('http://www.w3.org/2000/svg', 'style');
  style.textContent = `${tokens}${figureStyle}${lineStyle}svg { background: var(--surface); }`;
  copy.prepend(style);
  return `${new XMLSerializer().serializeToString(copy)}\n`;
}

/** Keeps a figure as SVG and its numbers as CSV. `name` is that of the files, without ending. */
export function SaveFigure({
  name,
  svg,
  columns,
}: {
  readonly name: string;
  readonly svg?: () => SVGSVGElement | null;
  readonly columns?: () => readonly FigureColumn[];
}): ReactNode {
  const file = name.replace(/[^\p{L}\p{N}._-]+/gu, '-');
  return (
    <span className="row save-figure">
      {svg && (
        <button
          type="button"
          className="quiet"
          onClick={() => {
            const drawn = svg();
            if (drawn) saveText(`${file}.svg`, 'image/svg+xml', toSvgFile(drawn));
          }}
        >
          Save as SVG
        </button>
      )}
      {columns && (
        <button
          type="button"
          className="quiet"
          onClick={() => saveText(`${file}.csv`, 'text/csv', toCsv(columns()))}
        >
          Save data as CSV
        </button>
      )}
    </span>
  );
}
