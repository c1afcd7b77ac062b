import type { Drive } from '../../line/drive.js';
import type { Block, Table } from '../reportTree.js';
import type { Figure, Mark } from '../svg/figure.js';
import { topAxis } from './figures.js';
import { type Format, shortNumber } from './format.js';
import type { ReportedFeedForward } from './input.js';
import { findingItems } from './tables.js';

/** The feed-forward of one drive: figure, the table to type in, assist at start, and its findings. */
export function feedForwardBlocks(
  id: string,
  drive: Drive,
  feedforward: ReportedFeedForward | undefined,
  format: Format,
): Block[] {
  if (!feedforward) return [];
  const blocks: Block[] = [
    { kind: 'heading', text: 'Torque feed-forward' },
    {
      kind: 'figure',
      figure: feedForwardFigure(id, drive, feedforward, format),
      caption: `Add inertia times change of speed while the line speeds up or slows down.${limitSentence(torqueLimit(drive), format)}`,
    },
    { kind: 'table', table: feedForwardTable(feedforward, format) },
  ];
  const { assist, findings } = feedforward;
  if (assist) {
    const time = assist.fadeTime === undefined ? '' : ` and ${shortNumber(assist.fadeTime)} s after start`;
    blocks.push({
      kind: 'paragraph',
      text: `Assist at start: ${format.withUnit('torque', assist.torque)} on top of the table, faded out at ${format.withUnit('angularSpeed', assist.fadeSpeed)}${time}.`,
    });
  }
  if (findings.length > 0) blocks.push({ kind: 'findings', findings: findingItems(findings) });
  return blocks;
}

function feedForwardFigure(
  id: string,
  drive: Drive,
  feedforward: ReportedFeedForward,
  format: Format,
): Figure {
  const x = format.samples(
    'angularSpeed',
    feedforward.rows.map((r) => r.speed),
  );
  const y = format.samples(
    'torque',
    feedforward.rows.map((r) => r.torque),
  );
  const limit = torqueLimit(drive);
  const limits = limitMarks(limit, feedforward.rows, format);
  return {
    id: `${id}-feedforward`,
    title: 'Torque feed-forward over speed',
    description: `Torque that the drive gives by itself at ${feedforward.rows.length} speeds, with straight lines between them.`,
    x: { label: format.axis('Speed at motor', 'ω', 'angularSpeed'), include: [0] },
    ...topAxis(drive, format),
    panels: [
      {
        y: {
          label: format.axis('Feed-forward torque at motor', 'T', 'torque'),
          include: limits.length > 0 ? [0, format.value('torque', 1.1 * (limit ?? 0))] : [0],
        },
        height: 170,
        marks: [
          ...limits,
          {
            kind: 'line',
            meaning: 'reference',
            signal: 'torque',
            x,
            y,
            label: 'table, straight between rows',
          },
        ],
      },
    ],
  };
}

const torqueLimit = ({ ratedTorque, torqueLimit: share }: Drive): number | undefined =>
  ratedTorque === undefined || share === undefined ? undefined : ratedTorque * share;

/** The limit is drawn, and named, only where the table comes near it: it must not press the curve flat. */
function limitMarks(limit: number | undefined, rows: ReportedFeedForward['rows'], format: Format): Mark[] {
  if (limit === undefined || !rows.some((r) => r.torque > 0.7 * limit)) return [];
  return [
    {
      kind: 'limit',
      from: format.value('torque', limit),
      to: Number.POSITIVE_INFINITY,
      label: 'torque limit',
    },
  ];
}

function limitSentence(limit: number | undefined, format: Format): string {
  return limit === undefined ? '' : ` Torque limit of the drive: ${format.withUnit('torque', limit)}.`;
}

function feedForwardTable({ rows, interpolationError }: ReportedFeedForward, format: Format): Table {
  const hasFraction = rows.some((r) => r.fraction !== undefined);
  const hasTug = rows.some((r) => r.tugHalfWidth !== undefined);
  const error =
    interpolationError === undefined
      ? ''
      : ` Straight lines between the rows miss the curve by at most ${format.withUnit('torque', interpolationError)}.`;
  const torques = format.column(
    'torque',
    rows.map((r) => r.torque),
    4,
  );
  const tugs = format.column(
    'tension',
    rows.map((r) => r.tugHalfWidth ?? Number.NaN),
    2,
  );
  return {
    caption: `Values to enter, at the motor.${error}`,
    columns: [
      { heading: 'Speed at motor', unit: format.unit('angularSpeed'), align: 'number' },
      { heading: 'Torque at motor', unit: format.unit('torque'), align: 'number' },
      ...(hasFraction ? [{ heading: 'Of rated', unit: '%', align: 'number' } as const] : []),
      ...(hasTug
        ? [{ heading: 'Tug left on the web, ±', unit: format.unit('tension'), align: 'number' } as const]
        : []),
    ],
    rows: rows.map((r, k) => [
      { text: format.number('angularSpeed', r.speed) },
      { text: torques[k] ?? '' },
      ...(hasFraction
        ? [{ text: r.fraction === undefined ? '–' : (r.fraction * 100).toFixed(2).replace('-', '−') }]
        : []),
      ...(hasTug ? [{ text: tugs[k] ?? '' }] : []),
    ]),
  };
}
