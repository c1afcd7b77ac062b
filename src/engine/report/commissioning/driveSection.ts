import { findingItems } from '../findingItems.js';
import type { Format } from '../format.js';
import type { Block, Section } from '../reportTree.js';
import type { Figure } from '../svg/figure.js';
import { comparisonBlocks } from './comparison.js';
import { feedForwardBlocks } from './feedForward.js';
import {
  breakawayFigure,
  dragFigure,
  inertiaFigure,
  residualFigures,
  type State,
  traceFigure,
} from './figures.js';
import type { CommissionedDrive } from './input.js';
import {
  breakawayTable,
  channelTable,
  dragTable,
  halfWidth,
  nameplate,
  notEstimatedTable,
  parameterTable,
  segmentTable,
  tableOr,
} from './tables.js';
import { verdictWords } from './words.js';

/** All that is known about one drive, in the order in which a commissioning engineer asks for it. */
export function driveSection(d: CommissionedDrive, id: string, format: Format): Section {
  const { drive, identification } = d;
  // With an earlier visit to compare with, what stands here is the later one.
  const state: State = d.comparison ? 'as-left' : 'as-found';
  return {
    id,
    title: drive.name,
    lead: `${verdictWords[identification.verdict]}. Recording: ${identification.inputs.file}.`,
    isOwnPage: true,
    blocks: [
      { kind: 'facts', facts: nameplate(drive, format) },
      ...findings(d),
      ...parameters(d, format),
      ...drag(d, id, state, format),
      ...inertia(d, id, state, format),
      ...breakaway(d, id, state, format),
      ...feedForwardBlocks(id, drive, d.feedforward, format),
      ...comparisonBlocks(id, drive, d.comparison, format),
      ...recording(d, id, format),
      ...provenance(d),
    ],
  };
}

const heading = (text: string): Block => ({ kind: 'heading', text });

const figureBlock = (figure: Figure | undefined, caption: string): Block[] =>
  figure ? [{ kind: 'figure', figure, caption }] : [];

function findings({ identification }: CommissionedDrive): Block[] {
  const items = findingItems(identification.findings);
  if (items.length === 0) return [heading('Findings'), { kind: 'paragraph', text: 'None.' }];
  return [heading('Findings'), { kind: 'findings', findings: items }];
}

function parameters({ identification }: CommissionedDrive, format: Format): Block[] {
  const { estimates, reverse, symmetric } = identification;
  const blocks: Block[] = [
    heading('Parameters'),
    tableOr(
      parameterTable(reverse ? 'Forward' : 'Estimated from the recording', estimates, format),
      'The recording supports no estimate.',
    ),
  ];
  if (reverse) blocks.push({ kind: 'table', table: parameterTable('Reverse', reverse.estimates, format) });
  if (symmetric) {
    const table = parameterTable('One drag for both directions, with an offset', symmetric.estimates, format);
    blocks.push({ kind: 'details', summary: 'Symmetric model', blocks: [{ kind: 'table', table }] });
  }
  if (identification.notEstimated.length > 0) {
    blocks.push(heading('Not estimated'), { kind: 'table', table: notEstimatedTable(identification) });
  }
  return blocks;
}

function drag(d: CommissionedDrive, id: string, state: State, format: Format): Block[] {
  const { identification } = d;
  const figure = dragFigure(id, d.drive, identification, state, format);
  if (!figure) return [];
  const curves = [
    ['Drag over speed', identification.dragCurve],
    ['Drag over speed, reverse', identification.dragCurveReverse],
    ['Apparent drag over speed, web on', identification.apparentDragCurve],
  ] as const;
  const tables = curves.flatMap(([caption, points]): Block[] =>
    points ? [{ kind: 'table', table: dragTable(caption, points, format) }] : [],
  );
  return [
    heading('Drag'),
    { kind: 'figure', figure, caption: dragCaption(d, state) },
    { kind: 'details', summary: 'Drag as a table', blocks: tables },
  ];
}

function dragCaption({ identification }: CommissionedDrive, state: State): string {
  const points = state === 'as-found' ? 'Hollow points: as found.' : 'Filled points: as left.';
  const apparent = identification.apparentDragCurve
    ? ' With the web on the curve is what the drive feels, not what the roller alone asks for.'
    : '';
  return `${points} Whiskers and band: 95 %.${apparent}`;
}

function inertia(d: CommissionedDrive, id: string, state: State, format: Format): Block[] {
  const figure = inertiaFigure(id, d.identification, state, format);
  if (!figure) return [];
  const { rollDensity } = d.identification;
  const caption = rollDensity
    ? `Density of the roll: ${format.pair('density', rollDensity.value, halfWidth(rollDensity))} ${format.unit('density')} (95 %).`
    : 'Web tension is taken out.';
  return [heading('Inertia over diameter'), ...figureBlock(figure, caption)];
}

function breakaway(d: CommissionedDrive, id: string, state: State, format: Format): Block[] {
  const figure = breakawayFigure(id, d.identification, state, format);
  if (!figure) return [];
  return [
    heading('Breakaway'),
    ...figureBlock(figure, 'Torque at which motion starts, free of the acceleration that follows.'),
    { kind: 'table', table: breakawayTable(d.identification, format) },
  ];
}

function recording({ identification }: CommissionedDrive, id: string, format: Format): Block[] {
  const residuals = residualFigures(id, identification, format);
  const figures = residuals?.figures ?? [];
  const rms = identification.residual;
  const residualCaption = rms
    ? `Root mean square ${format.withUnit('torque', rms.rms)}; residuals follow one another over ${rms.autocorrelationTime.toPrecision(2)} s.`
    : 'Measured less fitted.';
  return [
    heading('Recording'),
    ...figureBlock(
      traceFigure(id, identification, format),
      'The strip names each stretch; hatched stretches were left out of the fit. Dots: measured. Line: fitted model.',
    ),
    ...figures.map(
      (figure, k): Block => ({
        kind: 'figure',
        figure,
        caption: k === figures.length - 1 ? `${residualCaption}${residuals?.outside ?? ''}` : '',
      }),
    ),
    {
      kind: 'details',
      summary: `Stretches and why each was taken or left out (${identification.segments.length})`,
      blocks: [tableOr(segmentTable(identification), 'None.')],
    },
  ];
}

function provenance({ identification }: CommissionedDrive): Block[] {
  const { file, sha256, rows } = identification.inputs;
  return [
    heading('Where it comes from'),
    {
      kind: 'facts',
      facts: [
        { label: 'Recording', value: file },
        { label: 'Rows', value: String(rows) },
      ],
    },
    { kind: 'paragraph', text: `SHA-256 of the file: ${sha256}` },
    { kind: 'table', table: channelTable(identification) },
  ];
}
