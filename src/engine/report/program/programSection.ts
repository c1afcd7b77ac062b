import type { Finding } from '../../findings.js';
import type { ProgrammedRoll } from '../../program/programmedRoll.js';
import type { ProgrammedLine } from '../../program/programmeLine.js';
import { slug } from '../escape.js';
import { findingItems } from '../findingItems.js';
import type { Format } from '../format.js';
import type { Block, Cell, Column, Section, Table } from '../reportTree.js';
import { programFigure, shareNames } from './figures.js';
import { limitQuantity } from './limitQuantity.js';

/** The programs of one product: schedules in force, figure, limits, setpoints, and the table that is entered. */
export function programSection(product: string, programmed: ProgrammedLine, format: Format): Section {
  const id = `program-${slug(product)}`;
  const { winder, unwind, winderType, productFindings, lineFindings } = programmed;
  const findings: readonly Finding[] = [...productFindings, ...lineFindings];
  return {
    id,
    title: `Program: ${product}`,
    lead: `Tension, nip and torque differential over the roll${winderType === undefined ? '' : `, ${winderType} winder`}.`,
    isOwnPage: true,
    blocks: [
      ...(findings.length > 0 ? [{ kind: 'findings' as const, findings: findingItems(findings) }] : []),
      ...(winder ? rollBlocks(id, 'Winder', winder, programmed, format) : []),
      ...(unwind ? rollBlocks(`${id}-unwind`, 'Unwind', unwind, programmed, format) : []),
    ],
  };
}

function rollBlocks(
  id: string,
  title: string,
  roll: ProgrammedRoll,
  { speed }: ProgrammedLine,
  format: Format,
): Block[] {
  const torques =
    roll.motors[0] === undefined || roll.motors[0].length === 0
      ? ''
      : ` Torques at the motors hold for running at ${speed === undefined ? 'a crawl' : format.withUnit('speed', speed)}.`;
  return [
    { kind: 'heading', text: title },
    { kind: 'table', table: knobTable(roll, format) },
    {
      kind: 'figure',
      figure: programFigure(id, `${title}: schedules over the roll`, roll, format),
      caption: `Forces per width.${torques}`,
    },
    ...(roll.limits.length > 0 ? [{ kind: 'table' as const, table: limitTable(roll, format) }] : []),
    ...(roll.setpoints.length > 1 ? [{ kind: 'table' as const, table: setpointTable(roll, format) }] : []),
    {
      kind: 'details',
      summary: `Table of ${roll.result.rows.length} rows`,
      blocks: [{ kind: 'table', table: rowTable(roll, format) }],
    },
  ];
}

/** Both ends are printed in force: the laws mean different things by taper. */
function knobTable({ result }: ProgrammedRoll, format: Format): Table {
  const force = format.unit('tensionPerWidth');
  return {
    caption: 'Schedules as they are in force at core and full roll, hard start included.',
    columns: [
      { heading: 'Schedule', align: 'text' },
      { heading: 'Law', align: 'text' },
      { heading: 'At the core', unit: force, align: 'number' },
      { heading: 'At the full roll', unit: force, align: 'number' },
      { heading: 'Taper of the law', unit: '%', align: 'number' },
      { heading: 'Steepest', unit: format.system === 'si' ? '% per 10 mm' : '% per in', align: 'number' },
    ],
    rows: result.knobs.map((k) => [
      { text: k.name },
      { text: k.law },
      { text: format.number('tensionPerWidth', k.start) },
      { text: format.number('tensionPerWidth', k.end) },
      { text: k.taper === undefined ? '–' : (100 * k.taper).toFixed(0) },
      {
        text: slope(k.steepest.relativeSlope, format).replace('-', '−'),
        note: `at ${format.withUnit('length', k.steepest.diameter)}`,
      },
    ]),
  };
}

const slope = (perMetre: number, { system }: Format): string =>
  (system === 'si' ? perMetre : 2.54 * perMetre).toPrecision(3);

function limitTable({ limits }: ProgrammedRoll, format: Format): Table {
  const tone = (margin: number): Cell['tone'] => (margin < 0 ? 'refuse' : margin < 0.1 ? 'warn' : 'good');
  return {
    caption: 'Every limit with what is left to it, and where in the build it is tightest.',
    columns: [
      { heading: 'Limit', align: 'text' },
      { heading: 'Margin', unit: '%', align: 'text' },
      { heading: 'Tightest at', unit: format.unit('length'), align: 'number' },
      { heading: 'Value there', align: 'number' },
      { heading: 'Limit there', align: 'number' },
    ],
    rows: [...limits]
      .sort((a, b) => a.margin - b.margin)
      .map((l) => {
        const quantity = limitQuantity(l);
        const shown = (x: number): string =>
          quantity === undefined ? slope(x, format) : format.withUnit(quantity, x);
        return [
          { text: l.name },
          { text: (100 * l.margin).toFixed(0).replace('-', '−'), tone: tone(l.margin) },
          { text: format.number('length', l.diameter) },
          { text: shown(l.value) },
          { text: shown(l.limit) },
        ];
      }),
  };
}

const stateWords: Readonly<Record<string, string>> = {
  standstill: 'At standstill (stall tension)',
  running: 'Running',
  accelerating: 'Speeding up',
  decelerating: 'Slowing down',
  splice: 'While a splice passes',
  transfer: 'While the web is transferred',
};

function setpointTable({ setpoints }: ProgrammedRoll, format: Format): Table {
  const force = format.unit('tensionPerWidth');
  return {
    caption: 'What is made of the tension schedule in each state of the line.',
    columns: [
      { heading: 'State', align: 'text' },
      { heading: 'Of the schedule', unit: '%', align: 'number' },
      { heading: 'At the core', unit: force, align: 'number' },
      { heading: 'At the full roll', unit: force, align: 'number' },
      { heading: 'In and out over', unit: 's', align: 'number' },
    ],
    rows: setpoints.map((s) => [
      { text: stateWords[s.state] ?? s.state },
      { text: (100 * s.share).toFixed(0) },
      { text: format.number('tensionPerWidth', s.atCore) },
      { text: format.number('tensionPerWidth', s.atFull) },
      { text: s.ramp === undefined ? '–' : format.number('time', s.ramp) },
    ]),
  };
}

function rowTable(roll: ProgrammedRoll, format: Format): Table {
  const { rows, knobs } = roll.result;
  const force = format.unit('tensionPerWidth');
  const names = shareNames(roll);
  const hasShares = knobs.some((k) => k.name === 'torque differential');
  const forces = (pick: (row: (typeof rows)[number]) => number | undefined): string[] =>
    format.column(
      'tensionPerWidth',
      rows.map((r) => pick(r) ?? Number.NaN),
      4,
    );
  const motors = roll.motors[0]?.map((m) => m.name) ?? [];
  const columns: [Column, string[]][] = [
    [
      { heading: 'Diameter', unit: format.unit('length'), align: 'number' },
      format.column(
        'length',
        rows.map((r) => r.diameter),
        4,
      ),
    ],
    [
      { heading: 'Length', unit: format.unit('webLength'), align: 'number' },
      format.column(
        'webLength',
        rows.map((r) => r.length),
        4,
      ),
    ],
    [{ heading: 'Tension', unit: force, align: 'number' }, forces((r) => r.tension)],
    [{ heading: 'Nip', unit: force, align: 'number' }, forces((r) => r.nip)],
    ...(hasShares
      ? ([
          [
            { heading: 'Torque differential', unit: force, align: 'number' },
            forces((r) => r.torqueDifferential),
          ],
          [{ heading: `Through ${names.first}`, unit: force, align: 'number' }, forces((r) => r.share1)],
          [{ heading: `Through ${names.second}`, unit: force, align: 'number' }, forces((r) => r.share2)],
        ] as [Column, string[]][])
      : []),
    [{ heading: 'Nip of each drum', unit: force, align: 'number' }, forces((r) => r.drumNip)],
    [{ heading: 'Wound-on tension', unit: force, align: 'number' }, forces((r) => r.woundOnTension)],
    ...motors.map((name, j): [Column, string[]] => [
      { heading: `Torque of ${name}`, unit: format.unit('torque'), align: 'number' },
      format.column(
        'torque',
        roll.motors.map((m) => m[j]?.torque ?? Number.NaN),
        4,
      ),
    ]),
  ];
  const used = columns.filter(([, texts]) => texts.some((t) => t !== '–'));
  return {
    caption: 'From core to full roll, evenly spaced in diameter. Forces per width.',
    columns: used.map(([column]) => column),
    rows: rows.map((_, k) => used.map(([, texts]): Cell => ({ text: texts[k] as string }))),
  };
}
