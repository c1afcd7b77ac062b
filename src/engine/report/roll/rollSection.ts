import type { DesignedSchedule } from '../../program/roll/design/designSchedule.js';
import type { DesignTarget } from '../../program/roll/design/designTarget.js';
import type { RollPrediction } from '../../program/roll/predictRoll.js';
import type { RollBand } from '../../program/roll/rollBand.js';
import { rollBuild } from '../../program/roll/rollBuild.js';
import type { TaperAdvice } from '../../program/roll/taperAdvice.js';
import { formatNumber } from '../../units/format.js';
import { slug } from '../escape.js';
import { findingItems } from '../findingItems.js';
import type { Format } from '../format.js';
import type { Block, Section, Table } from '../reportTree.js';
import { afterCaption, afterFigure } from './afterFigure.js';
import { rollStates } from './afterWords.js';
import { airFigure } from './airFigure.js';
import { marginCaption, rollComparisonFigure } from './figures.js';
import { rollFacts } from './rollFacts.js';
import { slipFigures, slipTables } from './slipBlocks.js';
import { spreadWords } from './spreadWords.js';

/** A roll of the folder with what winding leaves in it. */
export interface ReportedRoll {
  readonly name: string;
  readonly invented: boolean;
  readonly advice: TaperAdvice;
  /** Only where the roll states a target. */
  readonly design?: {
    readonly target: DesignTarget;
    readonly made: DesignedSchedule;
    readonly band: RollBand;
  };
}

/** One roll: what is in it under three schedules, whether taper is the lever, and the schedule that was designed. */
export function rollSection({ name, invented, advice, design }: ReportedRoll, format: Format): Section {
  const id = `roll-${slug(name)}`;
  const [none, present, most] = ['no taper', 'present', 'maximum taper'].map(
    (wanted) => advice.variants.find((v) => v.name === wanted)?.prediction,
  ) as [RollPrediction, RollPrediction, RollPrediction];
  const [lever = '', ...rest] = advice.words;
  return {
    id,
    title: `Roll: ${name}`,
    lead: `Pressure between laps, stress along the web and slip between layers${invented ? '; an invented roll' : ''}.`,
    isOwnPage: true,
    blocks: [
      ...(present.findings.length > 0
        ? [{ kind: 'findings' as const, findings: findingItems(present.findings) }]
        : []),
      { kind: 'facts', facts: rollFacts(present, format) },
      ...slipTables(present, format),
      {
        kind: 'figure',
        figure: rollComparisonFigure(
          id,
          'What winding leaves in the roll, under three schedules',
          [
            { name: 'as stated', roll: present },
            { name: 'no taper', roll: none },
            { name: 'maximum taper', roll: most },
          ],
          format,
        ),
        caption:
          `All three begin with the same tension at the core. Slip margins are those of the stop where one is stated, else of winding, with friction at its low end. ${marginCaption([present, none, most])}`.trim(),
      },
      { kind: 'heading', text: 'Does taper help?' },
      { kind: 'paragraph', text: lever },
      { kind: 'list', items: rest },
      { kind: 'table', table: taperTable(advice, format) },
      ...slipFigures(id, present, format),
      ...airBlocks(id, present, format),
      ...afterBlocks(id, present, format),
      ...(design ? designBlocks(id, present, design, format) : []),
      {
        kind: 'paragraph',
        text: 'The equations are verified; whether they hold for a web only a stack test and measured rolls can say.',
      },
    ],
  };
}

function airBlocks(id: string, roll: RollPrediction, format: Format): Block[] {
  const figure = airFigure(id, roll, format);
  if (figure === undefined) return [];
  return [
    { kind: 'heading', text: 'Air between the laps' },
    {
      kind: 'figure',
      figure,
      caption:
        'No air leaves at the edges. The outermost laps float under hardly any pressure in every roll that takes air along.',
    },
  ];
}

function afterBlocks(id: string, roll: RollPrediction, format: Format): Block[] {
  const figure = afterFigure(id, roll, format);
  if (figure === undefined) return [];
  return [
    { kind: 'heading', text: 'After winding' },
    { kind: 'figure', figure, caption: afterCaption(roll) },
    { kind: 'table', table: afterTable(roll, format) },
  ];
}

function afterTable(roll: RollPrediction, format: Format): Table {
  const pressure = format.unit('pressure');
  return {
    caption: 'The roll as wound and after each step, one after the other.',
    columns: [
      { heading: 'Step', align: 'text' },
      { heading: 'Pressure at the core', unit: pressure, align: 'number' },
      { heading: 'Highest pressure', unit: pressure, align: 'number' },
      { heading: 'Smallest slip margin', align: 'number' },
      { heading: 'Loose at a radius of', unit: format.unit('length'), align: 'number' },
    ],
    rows: rollStates(roll, format.withUnit).map((s) => [
      { text: s.words },
      { text: format.number('pressure', s.corePressure) },
      { text: format.number('pressure', s.highestPressure) },
      s.smallestSlip === undefined
        ? { text: '–' }
        : {
            text: formatNumber(s.smallestSlip, 3),
            tone: s.smallestSlip < 1 ? ('refuse' as const) : ('good' as const),
          },
      s.loosensAt === undefined
        ? { text: '–' }
        : { text: format.number('length', s.loosensAt), tone: 'warn' as const },
    ]),
  };
}

function taperTable({ variants }: TaperAdvice, format: Format): Table {
  return {
    caption: 'Three schedules side by side. Near the outside is at 95 % of the build.',
    columns: [
      { heading: 'Schedule', align: 'text' },
      { heading: 'Tension at the full roll', unit: format.unit('tensionPerWidth'), align: 'number' },
      { heading: 'Smallest slip margin', align: 'number' },
      { heading: 'Smallest hoop stress', unit: format.unit('pressure'), align: 'number' },
      { heading: 'Pressure near the outside', unit: format.unit('pressure'), align: 'number' },
      { heading: 'Pressure at the core', unit: format.unit('pressure'), align: 'number' },
    ],
    rows: variants.map(({ name, measures: m }) => [
      { text: name },
      { text: format.number('tensionPerWidth', m.endTension) },
      m.slip === undefined
        ? { text: '–' }
        : {
            text: formatNumber(m.slip.value, 3),
            note: m.slip.case,
            tone: m.slip.value < 1 ? ('refuse' as const) : ('good' as const),
          },
      { text: format.number('pressure', m.minimumHoopStress) },
      { text: format.number('pressure', m.outerPressure) },
      { text: format.number('pressure', m.corePressure) },
    ]),
  };
}

function designBlocks(
  id: string,
  present: RollPrediction,
  { target, made, band }: NonNullable<ReportedRoll['design']>,
  format: Format,
): Block[] {
  const value = (x: number): string =>
    target.kind === 'hoop stress'
      ? format.withUnit('pressure', x)
      : target.kind === 'flat pressure'
        ? `± ${formatNumber(100 * x, 2)} %`
        : formatNumber(x, 3);
  return [
    { kind: 'heading', text: 'A designed schedule' },
    {
      kind: 'paragraph',
      text: `Designed for ${target.kind}: ${value(made.value)}, before ${value(made.before)}, wanted ${value(target.kind === 'hoop stress' ? target.floor : target.wanted)}.`,
    },
    ...(made.isReached
      ? []
      : [
          { kind: 'paragraph' as const, text: 'Not reachable, because' },
          { kind: 'list' as const, items: made.because },
        ]),
    { kind: 'table', table: designTable(made, format) },
    {
      kind: 'figure',
      figure: rollComparisonFigure(
        `${id}-design`,
        'As stated and designed',
        [
          { name: 'as stated', roll: present },
          { name: 'designed', roll: made.prediction, band },
        ],
        format,
      ),
      caption: `${bandWords(band)} ${marginCaption([present, made.prediction])}`.trim(),
    },
  ];
}

function bandWords({ rolls, spread, smallestSlip: slip, slipShare }: RollBand): string {
  const drawn = `The band holds 95 % of ${rolls} rolls, drawn ${spreadWords(spread)}.`;
  return slip === undefined || slipShare === undefined
    ? drawn
    : `${drawn} Smallest slip margin from ${formatNumber(slip.low, 3)} to ${formatNumber(slip.high, 3)}; layers slip in ${formatNumber(100 * slipShare, 2)} % of them.`;
}

function designTable({ input }: DesignedSchedule, format: Format): Table {
  const { build, tension, torqueDifferential, nip } = rollBuild(input);
  const diameters =
    input.tension.law === 'table' ? input.tension.points.map((p) => p.diameter) : [build.core, build.full];
  const force = format.unit('tensionPerWidth');
  const column = (heading: string) => ({ heading, unit: force, align: 'number' as const });
  return {
    caption: 'Knots of the designed schedules; between them they run smoothly.',
    columns: [
      { heading: 'Diameter', unit: format.unit('length'), align: 'number' },
      column('Tension'),
      ...(torqueDifferential ? [column('Torque differential')] : []),
      ...(input.nipSchedule ? [column('Nip')] : []),
    ],
    rows: diameters.map((d) => [
      { text: format.number('length', d) },
      { text: format.number('tensionPerWidth', tension.at(d)) },
      ...(torqueDifferential ? [{ text: format.number('tensionPerWidth', torqueDifferential.at(d)) }] : []),
      ...(input.nipSchedule ? [{ text: format.number('tensionPerWidth', nip(d)) }] : []),
    ]),
  };
}
