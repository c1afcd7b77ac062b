import type { BoardCell, BoardFact } from '../../../engine/project/board/boardDocument.js';
import type { Units } from '../../state/units.js';

export const factWords: Readonly<Record<BoardFact, string>> = {
  recorded: 'Recorded',
  inertia: 'Inertia',
  breakaway: 'Breakaway',
  drag: 'Drag',
  feedforward: 'Feed-forward',
  limits: 'Limits',
  proven: 'Proven on the web',
  nextVisit: 'Next visit',
};

/** What a cell with a value shows: its main part, unit, and a line below. */
export interface CellParts {
  readonly main: string;
  readonly unit: string;
  readonly sub: string;
}

export function cellParts(cell: Exclude<BoardCell, { readonly state: 'missing' }>, units: Units): CellParts {
  if (cell.value === undefined || cell.quantity === undefined)
    return { main: cell.date ?? cell.words, unit: '', sub: cell.date === undefined ? '' : cell.words };
  // a share in words of its own, not a number without a name
  if (cell.quantity === 'ratio') {
    const [what, which] = cell.words.split(': ');
    return {
      main: units.number('ratio', Number((100 * cell.value).toPrecision(2))),
      unit: '%',
      sub: `left: ${which ?? what ?? ''}`,
    };
  }
  const half = cell.interval95 && (cell.interval95[1] - cell.interval95[0]) / 2;
  const pair = units.pair(cell.quantity, cell.value, half);
  const at = cell.at && `at ${units.withUnit(cell.at.quantity, cell.at.value)}`;
  return {
    main: pair.value,
    unit: pair.unit === '1' ? '' : pair.unit,
    sub: [pair.halfWidth === undefined ? undefined : `± ${pair.halfWidth}`, at]
      .filter((p) => p !== undefined)
      .join(' '),
  };
}

/** Why a cell is empty, short enough for the table; the whole reason stands in its details. */
export const missingWords = (cell: Extract<BoardCell, { readonly state: 'missing' }>): string =>
  cell.action?.kind === 'identify'
    ? 'not identified'
    : cell.action?.kind === 'state-drive' && cell.reason.includes('line.yaml itself')
      ? 'no drive file'
      : cell.reason;

/** A cell in one line of text, for copying and reading out. */
export function cellText(cell: BoardCell, units: Units): string {
  if (cell.state === 'missing') return `– (${missingWords(cell)})`;
  const { main, unit, sub } = cellParts(cell, units);
  const text = [main, sub.replace(/ at .*/, ''), unit, / at (.*)/.exec(` ${sub}`)?.[0]?.trim()]
    .filter((p) => p !== undefined && p !== '')
    .join(' ');
  return cell.state === 'stale' ? `${text} (stale)` : text;
}
