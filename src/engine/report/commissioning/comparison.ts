import type { Drive } from '../../line/drive.js';
import type { Block, Cell, Table } from '../reportTree.js';
import type { Figure } from '../svg/figure.js';
import { topAxis } from './figures.js';
import type { Format } from './format.js';
import type { ReportedComparison } from './input.js';
import { findingItems, parameterQuantity } from './tables.js';
import { parameterWords } from './words.js';

/** As found against as left: what changed beyond its uncertainty and whether it matters on the web. */
export function comparisonBlocks(
  id: string,
  drive: Drive,
  comparison: ReportedComparison | undefined,
  format: Format,
): Block[] {
  if (!comparison) return [];
  const { changes, dragCurves, tugChange, findings } = comparison;
  const blocks: Block[] = [{ kind: 'heading', text: 'As found against as left' }];
  if (tugChange) {
    blocks.push({
      kind: 'paragraph',
      text: `Largest change of tug on the web: ${format.withUnit('tension', tugChange.force)} at ${format.withUnit('angularSpeed', tugChange.speed)} motor speed.`,
    });
  }
  if (dragCurves.length > 0) {
    blocks.push({
      kind: 'figure',
      figure: comparisonFigure(id, drive, comparison, format),
      caption:
        'The lower plot shows as left less as found with its 95 % band: where the band keeps clear of zero, the drag changed.',
    });
  }
  if (changes.length > 0) blocks.push({ kind: 'table', table: changeTable(comparison, format) });
  if (findings.length > 0) blocks.push({ kind: 'findings', findings: findingItems(findings) });
  return blocks;
}

function comparisonFigure(
  id: string,
  drive: Drive,
  { dragCurves }: ReportedComparison,
  format: Format,
): Figure {
  const x = format.samples(
    'angularSpeed',
    dragCurves.map((p) => p.speed),
  );
  const torque = (values: readonly number[]): Float64Array => format.samples('torque', values);
  const shared = { kind: 'points', signal: 'torque', shape: 'circle', x } as const;
  return {
    id: `${id}-comparison`,
    title: 'Drag over speed, as found and as left',
    description: 'Drag of both visits over speed, and their difference with its 95 % band.',
    x: { label: format.axis('Speed at motor', 'ω', 'angularSpeed'), include: [0] },
    ...topAxis(drive, format),
    panels: [
      {
        y: { label: format.axis('Drag at motor', 'M', 'torque'), include: [0] },
        height: 200,
        marks: [
          { ...shared, y: torque(dragCurves.map((p) => p.earlier)), fill: 'hollow', label: 'as found' },
          { ...shared, y: torque(dragCurves.map((p) => p.later)), fill: 'filled', label: 'as left' },
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
            low: torque(dragCurves.map((p) => p.differenceInterval95[0])),
            high: torque(dragCurves.map((p) => p.differenceInterval95[1])),
            label: '95 % band',
          },
          {
            kind: 'line',
            meaning: 'model',
            signal: 'torque',
            x,
            y: torque(dragCurves.map((p) => p.later - p.earlier)),
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
} as const satisfies Record<string, Cell>;

function changeTable({ changes }: ReportedComparison, format: Format): Table {
  return {
    caption:
      'Unchanged means equal within the stated tolerance; undecided means that the recordings cannot tell.',
    columns: [
      { heading: 'Parameter', align: 'text' },
      { heading: 'As found', align: 'number' },
      { heading: 'As left', align: 'number' },
      { heading: 'Unit', align: 'text' },
      { heading: 'Ratio', align: 'number' },
      { heading: '95 % interval', align: 'number' },
      { heading: 'Result', align: 'text' },
    ],
    rows: changes.map((c) => {
      // The ratio's interval says how far the later value is known; both values are shown to that place.
      const half = (c.ratioInterval95[1] - c.ratioInterval95[0]) / 2;
      const values = format.row(parameterQuantity[c.name], [c.earlier, c.later], Math.abs(half * c.earlier));
      const ratios = format.row('ratio', [c.ratio, ...c.ratioInterval95], half);
      return [
        { text: parameterWords[c.name] },
        { text: values.texts[0] ?? '' },
        { text: values.texts[1] ?? '' },
        { text: values.unit },
        { text: ratios.texts[0] ?? '' },
        { text: `${ratios.texts[1]} to ${ratios.texts[2]}` },
        verdictCells[c.verdict],
      ];
    }),
  };
}
