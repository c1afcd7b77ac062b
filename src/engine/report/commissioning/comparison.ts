import type { Change, ChangeVerdict, Comparison, DragDifference } from '../../identify/compare/comparison.js';
import { parameterQuantity } from '../../identify/parameterQuantity.js';
import type { Drive } from '../../line/drive.js';
import { findingItems } from '../findingItems.js';
import { type Format, shortNumber } from '../format.js';
import type { Block, Cell, Table } from '../reportTree.js';
import type { Figure } from '../svg/figure.js';
import { topAxis } from './figures.js';

import { parameterWords } from './words.js';

/** As found against as left: what changed beyond its uncertainty and whether it matters on the web. */
export function comparisonBlocks(
  id: string,
  drive: Drive,
  comparison: Comparison | undefined,
  format: Format,
): Block[] {
  if (!comparison) return [];
  const { tugChange, findings, notCompared, tolerance } = comparison;
  const isBothWays = comparison.changesReverse !== undefined || comparison.dragCurvesReverse !== undefined;
  const blocks: Block[] = [{ kind: 'heading', text: 'As found against as left' }];
  if (tugChange) blocks.push({ kind: 'paragraph', text: tugSentence(tugChange, isBothWays, format) });
  for (const [direction, curves, changes, verdict] of [
    [isBothWays ? 'forward' : '', comparison.dragCurves, comparison.changes, comparison.curveVerdict],
    ['reverse', comparison.dragCurvesReverse, comparison.changesReverse, comparison.curveVerdictReverse],
  ] as const) {
    if (curves && curves.length > 0) {
      blocks.push({
        kind: 'figure',
        figure: comparisonFigure(
          direction === 'reverse' ? `${id}-reverse` : id,
          direction,
          drive,
          curves,
          format,
        ),
        caption: `${verdict ? curveWords[verdict] : ''}The lower plot shows as left less as found, with the 95 % interval at each speed by itself.`,
      });
    }
    if (changes && changes.length > 0) {
      blocks.push({ kind: 'table', table: changeTable(direction, changes, tolerance, format) });
    }
  }
  if (notCompared.length > 0) {
    blocks.push({
      kind: 'list',
      items: notCompared.map((n) => `${parameterWords[n.name]} not compared: ${n.why}`),
    });
  }
  if (findings.length > 0) blocks.push({ kind: 'findings', findings: findingItems(findings) });
  return blocks;
}

const curveWords: Readonly<Record<ChangeVerdict, string>> = {
  changed: 'Drag over speed as a whole: changed. ',
  unchanged: 'Drag over speed as a whole: unchanged. ',
  undecided: 'Drag over speed as a whole: undecided. ',
};

function tugSentence(tug: NonNullable<Comparison['tugChange']>, isBothWays: boolean, format: Format): string {
  const size = format.pair('tension', tug.force, (tug.interval95[1] - tug.interval95[0]) / 2);
  const share =
    tug.share === undefined
      ? ''
      : `, ${shortNumber(Number((100 * tug.share).toPrecision(2)))} % of the running tension`;
  const direction = isBothWays ? ` ${tug.direction}` : '';
  return `Largest change of tug on the web if the feed-forward stays as it was: the drag ${tug.sense} by ${size} ${format.unit('tension')} (95 %)${share}, at ${format.withUnit('angularSpeed', tug.speed)} motor speed${direction}.`;
}

function comparisonFigure(
  id: string,
  direction: string,
  drive: Drive,
  curves: readonly DragDifference[],
  format: Format,
): Figure {
  const x = format.samples(
    'angularSpeed',
    curves.map((p) => p.speed),
  );
  const torque = (values: readonly number[]): Float64Array => format.samples('torque', values);
  const side = direction === '' ? '' : `, ${direction}`;
  const shared = { kind: 'points', signal: 'torque', shape: 'circle', x } as const;
  return {
    id: `${id}-comparison`,
    title: `Drag over speed${side}, as found and as left`,
    description: 'Drag of both visits over speed, and their difference with its 95 % band.',
    x: { label: format.axis('Speed at motor', 'ω', 'angularSpeed'), include: [0] },
    ...topAxis(drive, format),
    panels: [
      {
        y: { label: format.axis(`Drag at motor${side}`, 'M', 'torque'), include: [0] },
        height: 200,
        marks: [
          { ...shared, y: torque(curves.map((p) => p.earlier)), fill: 'hollow', label: 'as found' },
          { ...shared, y: torque(curves.map((p) => p.later)), fill: 'filled', label: 'as left' },
        ],
      },
      {
        y: { label: format.axis('Change of drag', 'ΔM', 'torque'), include: [0] },
        height: 110,
        marks: [
          {
            kind: 'band',
            signal: 'torque',
            x,
            low: torque(curves.map((p) => p.differenceInterval95[0])),
            high: torque(curves.map((p) => p.differenceInterval95[1])),
            label: '95 % band',
          },
          {
            kind: 'line',
            meaning: 'model',
            signal: 'torque',
            x,
            y: torque(curves.map((p) => p.later - p.earlier)),
            label: 'as left less as found',
          },
        ],
      },
    ],
  };
}

const verdictCells = {
  changed: { text: 'changed', tone: 'warn' },
  unchanged: { text: 'unchanged', tone: 'good' },
  undecided: { text: 'undecided', tone: 'info' },
} as const satisfies Record<ChangeVerdict, Cell>;

function changeTable(
  direction: string,
  changes: readonly Change[],
  tolerance: number,
  format: Format,
): Table {
  return {
    caption: `${direction === '' ? '' : `Parameters, ${direction}. `}± and intervals: 95 %. Unchanged: shown to be equal within ${shortNumber(100 * tolerance)} %. Undecided: the recordings cannot tell.`,
    columns: [
      { heading: 'Parameter', align: 'text' },
      { heading: 'As found', align: 'number' },
      { heading: 'As left', align: 'number' },
      { heading: 'Ratio', align: 'number' },
      { heading: 'Result', align: 'text' },
    ],
    rows: changes.map((c) => {
      const quantity = parameterQuantity[c.name];
      const value = (v: number, [low, high]: readonly [number, number]): Cell => ({
        text: format.pair(quantity, v, (high - low) / 2),
      });
      return [
        { text: parameterWords[c.name], note: format.unit(quantity) },
        value(c.earlier, c.earlierInterval95),
        value(c.later, c.laterInterval95),
        ratioCell(c, format),
        verdictCells[c.verdict],
      ];
    }),
  };
}

function ratioCell({ ratio, ratioInterval95 }: Change, format: Format): Cell {
  if (ratio === undefined || ratioInterval95 === undefined) {
    return { text: '–', tone: 'missing', note: 'as found cannot be told from zero' };
  }
  const half = (ratioInterval95[1] - ratioInterval95[0]) / 2;
  const { texts } = format.row('ratio', [ratio, ...ratioInterval95], half);
  return { text: texts[0] ?? '', note: `${texts[1]} to ${texts[2]}` };
}
