import type { RollPrediction } from '../../program/roll/predictRoll.js';
import type { RollLimit } from '../../program/roll/rollLimits.js';
import type { Acceleration, Length, Ratio } from '../../units/quantity.js';
import type { Format } from '../format.js';
import type { Block, Cell, Table } from '../reportTree.js';
import type { Figure } from '../svg/figure.js';
import { decelerationCaption, decelerationFigure } from './decelerationFigure.js';
import { jLineCaption, jLineFigure } from './jLineFigure.js';
import { shiftUnit, threeDigits } from './shiftUnit.js';
import { slipDiameterCaption, slipDiameterFigure } from './slipDiameterFigure.js';
import { keptWords, limitWords, type SlipRow, slideWords, slipRows } from './slipRows.js';

/** What a roll in a report is held against, and its slip in each way of handling. */
export function slipTables(roll: RollPrediction, format: Format): Block[] {
  const rows = slipRows(roll);
  return [
    { kind: 'heading', text: 'Limits and slip' },
    { kind: 'table', table: limitTable(roll.limits, format) },
    ...(rows.length === 0 ? [] : [{ kind: 'table' as const, table: slipTable(rows, format) }]),
  ];
}

/** Its slip at each diameter on the way, what stop its layers bear, and lines on its side. */
export function slipFigures(id: string, roll: RollPrediction, format: Format): Block[] {
  const shown = (figure: Figure | undefined, caption: string): Block[] =>
    figure === undefined ? [] : [{ kind: 'figure', figure, caption }];
  const slip = [
    ...shown(slipDiameterFigure(id, roll, format), slipDiameterCaption(roll)),
    ...shown(decelerationFigure(id, roll, format), decelerationCaption(roll, format)),
  ];
  const lines = shown(jLineFigure(id, roll, format), jLineCaption(roll, format));
  return [
    ...titled('Slip on the way and in a stop', slip),
    ...titled('Lines on the side of the roll', lines),
  ];
}

const titled = (text: string, blocks: Block[]): Block[] =>
  blocks.length === 0 ? [] : [{ kind: 'heading', text }, ...blocks];

function limitTable(limits: readonly RollLimit[], format: Format): Table {
  const tone = (l: RollLimit): NonNullable<Cell['tone']> =>
    l.isKept === true ? 'good' : l.name === 'hoop stress' ? 'info' : 'warn';
  return {
    caption: 'What the roll is held against. Near the outside is at 95 % of the build.',
    columns: [
      { heading: 'Limit of', align: 'text' },
      { heading: 'Reaches', unit: format.unit('pressure'), align: 'number' },
      { heading: 'At a radius of', unit: format.unit('length'), align: 'number' },
      { heading: 'Limit', unit: format.unit('pressure'), align: 'number' },
      { heading: '', align: 'text' },
    ],
    rows: limits.map((l) => [
      { text: limitWords[l.name] },
      { text: format.number('pressure', l.value) },
      { text: format.number('length', l.radius) },
      { text: l.limit === undefined ? 'none stated' : format.number('pressure', l.limit) },
      l.isKept === undefined ? { text: '–' } : { text: keptWords(l), tone: tone(l) },
    ]),
  };
}

function slipTable(rows: readonly SlipRow[], format: Format): Table {
  const unit = shiftUnit(format);
  const margin = (x: Ratio | undefined): Cell =>
    x === undefined ? { text: '–' } : { text: threeDigits(x), tone: x < 1 ? 'refuse' : 'good' };
  const length = (x: Length | undefined): Cell => ({
    text: x === undefined ? '–' : format.number('length', x),
  });
  const bears = (a: Acceleration | undefined): string =>
    a === undefined ? '–' : Number.isFinite(a) ? format.number('acceleration', a) : 'any';
  return {
    caption:
      'Slip in each way of handling, with friction at its low end: of the full roll, and at its worst diameter on the way.',
    columns: [
      { heading: 'Handling', align: 'text' },
      { heading: 'Slip margin, full roll', align: 'number' },
      { heading: 'Smallest on the way', align: 'number' },
      { heading: 'At a diameter of', unit: format.unit('length'), align: 'number' },
      { heading: 'Bears at least', unit: format.unit('acceleration'), align: 'number' },
      { heading: 'Layers slide by', unit: unit.label, align: 'number' },
      { heading: 'At a radius of', unit: format.unit('length'), align: 'number' },
    ],
    rows: rows.map(({ name, full, worst, borne, slide }) => [
      { text: name },
      margin(full),
      margin(worst?.margin),
      length(worst?.diameter),
      { text: bears(borne) },
      { text: slide === undefined ? '–' : slideWords(slide, unit) },
      length(slide?.radius),
    ]),
  };
}
