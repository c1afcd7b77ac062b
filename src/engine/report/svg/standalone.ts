import { tokens } from '../tokens.js';
import type { Figure } from './figure.js';
import { renderFigure } from './render.js';
import { figureStyle } from './style.js';

/** A figure as an SVG file of its own: colours and style stand inside it, so that it looks the same wherever it is opened. */
export function renderStandaloneFigure(figure: Figure): string {
  const svg = renderFigure(figure);
  const start = svg.indexOf('>') + 1;
  return `${svg.slice(0, start)}<style>${tokens}${figureStyle}svg.figure { background: var(--surface); }</style>${svg.slice(start)}\n`;
}
