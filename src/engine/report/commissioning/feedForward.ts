import type { FeedForward, FeedForwardRow, FeedForwardTable } from '../../feedforward/types.js';
import type { Drive } from '../../line/drive.js';
import { findingItems } from '../findingItems.js';
import { type Format, shortNumber } from '../format.js';
import type { Block, Cell, Column, Table } from '../reportTree.js';
import type { Figure, Mark, Panel } from '../svg/figure.js';
import { topAxis } from './figures.js';
import { halfWidth } from './tables.js';

/** The feed-forward of one drive: figure, the tables to type in, what goes on top of them, and its findings. */
export function feedForwardBlocks(
  id: string,
  drive: Drive,
  feedforward: FeedForward | undefined,
  format: Format,
): Block[] {
  if (!feedforward) return [];
  const blocks: Block[] = [{ kind: 'heading', text: 'Torque feed-forward' }];
  if (feedforward.rows.length === 0) {
    blocks.push({ kind: 'paragraph', text: 'No table: the findings say why.' });
  } else {
    const limit = torqueLimit(drive);
    const limitText =
      limit === undefined ? '' : ` Torque limit of the drive: ${format.withUnit('torque', limit)}.`;
    blocks.push({
      kind: 'figure',
      figure: feedForwardFigure(id, drive, feedforward, format),
      caption: `Torque at steady speed; inertia times change of speed comes on top.${limitText}`,
    });
    for (const [name, table] of [
      [feedforward.reverse ? 'forward' : '', feedforward],
      ['reverse', feedforward.reverse],
    ] as const) {
      if (table) blocks.push({ kind: 'table', table: valueTable(name, table, format) });
    }
    const items = remarks(feedforward, format);
    if (items.length > 0) blocks.push({ kind: 'list', items });
  }
  if (feedforward.findings.length > 0) {
    blocks.push({ kind: 'findings', findings: findingItems(feedforward.findings) });
  }
  return blocks;
}

function remarks(f: FeedForward, format: Format): string[] {
  const items: string[] = [];
  if (f.inertia) {
    items.push(
      `Inertia to enter, at the motor: ${format.pair('inertia', f.inertia.value, halfWidth(f.inertia))} ${format.unit('inertia')} (95 %).`,
    );
  }
  for (const [name, table] of [
    [f.reverse ? ', forward' : '', f],
    [', reverse', f.reverse],
  ] as const) {
    if (!table?.assist) continue;
    const { torque, interval95, fadeSpeed, fadeTime } = table.assist;
    const size = format.pair('torque', torque, (interval95[1] - interval95[0]) / 2);
    items.push(
      `Assist at start${name}: ${size} ${format.unit('torque')} (95 %) on top of the table, faded out at ${format.withUnit('angularSpeed', fadeSpeed)} and at the latest ${shortNumber(fadeTime)} s after the start.`,
    );
  }
  if (f.acceleration) {
    items.push(
      `Speeding up and slowing down are for ${format.withUnit('acceleration', f.acceleration.web)} of the web, ${format.withUnit('angularAcceleration', f.acceleration.motor)} of the motor.`,
    );
  }
  if (f.notFilled) {
    items.push(
      `No rows from ${format.number('angularSpeed', f.notFilled[0])} to ${format.withUnit('angularSpeed', f.notFilled[1])}: the recording did not reach these speeds.`,
    );
  }
  if (f.offsetLeftOut) {
    items.push(
      `Left out of the table: the torque offset of ${format.pair('torque', f.offsetLeftOut.value, halfWidth(f.offsetLeftOut))} ${format.unit('torque')}, which may be the zero of the torque signal.`,
    );
  }
  return items;
}

function feedForwardFigure(id: string, drive: Drive, feedforward: FeedForward, format: Format): Figure {
  const panels = [
    [feedforward.reverse ? 'Feed-forward at motor, forward' : 'Feed-forward at motor', feedforward],
    ['Feed-forward at motor, reverse', feedforward.reverse],
  ] as const;
  return {
    id: `${id}-feedforward`,
    title: 'Torque feed-forward over speed',
    description: `Torque that the drive gives by itself at ${feedforward.rows.length} speeds, with straight lines between them.`,
    x: { label: format.axis('Speed at motor', 'ω', 'angularSpeed'), include: [0] },
    ...topAxis(drive, format),
    panels: panels.flatMap(([name, table]) =>
      table ? [feedForwardPanel(name, drive, table.rows, format)] : [],
    ),
  };
}

function feedForwardPanel(
  name: string,
  drive: Drive,
  rows: readonly FeedForwardRow[],
  format: Format,
): Panel {
  const limit = torqueLimit(drive);
  // Drawn, and named, only where the table comes near it: it must not press the curve flat.
  const isNear = limit !== undefined && rows.some((r) => r.torque > 0.7 * limit);
  const marks: Mark[] = [];
  if (isNear) {
    marks.push({
      kind: 'limit',
      from: format.value('torque', limit),
      to: Number.POSITIVE_INFINITY,
      label: 'torque limit',
    });
  }
  const columns = (part: readonly FeedForwardRow[]): { x: Float64Array; y: Float64Array } => ({
    x: format.samples(
      'angularSpeed',
      part.map((r) => r.speed),
    ),
    y: format.samples(
      'torque',
      part.map((r) => r.torque),
    ),
  });
  const measured = rows.filter((r) => !r.extrapolated);
  // The extrapolated knots stand at the low end, at standstill; the dotted line runs on to the first measured speed.
  const beyond = [...rows.filter((r) => r.extrapolated), ...measured.slice(0, 1)];
  marks.push({
    kind: 'line',
    meaning: 'reference',
    signal: 'torque',
    ...columns(measured),
    label: 'table, straight between rows',
  });
  if (beyond.length > 1) {
    marks.push({
      kind: 'line',
      meaning: 'extrapolated',
      signal: 'torque',
      ...columns(beyond),
      label: 'beyond the measured speeds',
    });
  }
  return {
    y: {
      label: format.axis(name, 'T', 'torque'),
      include: isNear ? [0, format.value('torque', 1.1 * limit)] : [0],
    },
    height: 170,
    marks,
  };
}

const torqueLimit = ({ ratedTorque, torqueLimit: share }: Drive): number | undefined =>
  ratedTorque === undefined || share === undefined ? undefined : ratedTorque * share;

/** The columns that the table can have after speed and torque: shown when any row fills them. */
const moreColumns = [
  ['fraction', 'Of rated', 'torqueFraction', 3],
  ['accelerating', 'Speeding up', 'torque', 4],
  ['decelerating', 'Slowing down', 'torque', 4],
  ['tugHalfWidth', 'Tug left on the web, ±', 'tension', 2],
  ['tugHalfWidthAccelerating', 'Same, speeding up, ±', 'tension', 2],
] as const;

function valueTable(
  direction: string,
  { rows, interpolationError }: FeedForwardTable,
  format: Format,
): Table {
  const error =
    interpolationError === undefined
      ? ''
      : ` Straight lines between the rows miss the curve by at most ${shortNumber(Number(format.value('torque', interpolationError).toPrecision(2)))} ${format.unit('torque')}.`;
  const shown = moreColumns.filter(([key]) => rows.some((r) => r[key] !== undefined));
  const torques = format.column(
    'torque',
    rows.map((r) => r.torque),
    4,
  );
  const more = shown.map(([key, , quantity, digits]) =>
    format.column(
      quantity,
      rows.map((r) => r[key] ?? Number.NaN),
      digits,
    ),
  );
  return {
    caption: `Values to enter${direction === '' ? '' : `, ${direction}`}, at the motor. ± is a 95 % half width.${error}`,
    columns: [
      { heading: 'Speed at motor', unit: format.unit('angularSpeed'), align: 'number' },
      { heading: 'Torque at motor', unit: format.unit('torque'), align: 'number' },
      ...shown.map(
        ([, heading, quantity]): Column => ({ heading, unit: format.unit(quantity), align: 'number' }),
      ),
    ],
    rows: rows.map((r, k): Cell[] => [
      {
        text: format.number('angularSpeed', r.speed),
        ...(r.extrapolated ? { note: 'not measured: limit of the drag law' } : {}),
      },
      { text: torques[k] ?? '' },
      ...more.map((texts): Cell => ({ text: texts[k] ?? '' })),
    ]),
  };
}
