import type { DesignedSchedule, DesignTarget } from '../../program/roll/designSchedule.js';
import type { RollPrediction } from '../../program/roll/predictRoll.js';
import type { RollBand } from '../../program/roll/rollBand.js';
import { rollBuild } from '../../program/roll/rollBuild.js';
import type { TaperAdvice } from '../../program/roll/taperAdvice.js';
import { formatNumber } from '../../units/format.js';
import { slug } from '../escape.js';
import { findingItems } from '../findingItems.js';
import type { Format } from '../format.js';
import type { Block, Fact, Section, Table } from '../reportTree.js';
import { rollComparisonFigure } from './figures.js';
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
      { kind: 'facts', facts: factsOf(present, format) },
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
          'All three begin with the same tension at the core. Slip margins are those of the stop where one is stated, else of winding, with friction at its low end.',
      },
      { kind: 'heading', text: 'Does taper help?' },
      { kind: 'paragraph', text: lever },
      { kind: 'list', items: rest },
      { kind: 'table', table: taperTable(advice, format) },
      ...(design ? designBlocks(id, present, design, format) : []),
      {
        kind: 'paragraph',
        text: 'The equations are verified; whether they hold for a web only a stack test and measured rolls can say.',
      },
    ],
  };
}

function factsOf(p: RollPrediction, format: Format): Fact[] {
  return [
    { label: 'Laps', value: String(p.radius.length) },
    { label: 'Pressure at the core', value: format.withUnit('pressure', p.corePressure) },
    {
      label: 'Smallest hoop stress',
      value: `${format.withUnit('pressure', p.minimumHoopStress.value)} at a radius of ${format.withUnit('length', p.minimumHoopStress.radius)}`,
    },
    ...p.slipCases
      .filter((c) => Number.isFinite(c.smallest.value))
      .map((c) => ({
        label: `Layers hold, ${c.name}`,
        value: `${formatNumber(c.smallest.value, 3)} times what is asked, least at a radius of ${format.withUnit('length', c.smallest.radius)}`,
      })),
  ];
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
      caption: bandWords(band),
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
