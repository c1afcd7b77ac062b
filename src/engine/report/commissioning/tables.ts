import {
  type DragPoint,
  type Estimate,
  type Estimates,
  type Identification,
  type ParameterName,
  parameterNames,
} from '../../identify/identification.js';
import { parameterQuantity } from '../../identify/parameterQuantity.js';
import type { Drive } from '../../line/drive.js';
import type { QuantityKey } from '../../units/quantity.js';
import { type Format, shortNumber } from '../format.js';
import type { Block, Cell, Fact, Table } from '../reportTree.js';
import { elementWords, kindWords, parameterWords, roleWords } from './words.js';

/** Half width of a 95 % interval: what stands after the ± sign throughout the report. */
export const halfWidth = (e: Estimate): number => (e.interval95[1] - e.interval95[0]) / 2;

/** Nameplate as typed; what was not typed is said so. */
export function nameplate(drive: Drive, format: Format): Fact[] {
  const fact = (label: string, quantity: QuantityKey, value: number | undefined): Fact => ({
    label,
    value: value === undefined ? 'not given' : format.withUnit(quantity, value),
  });
  const size =
    drive.rollerRadius === undefined
      ? fact('Core diameter', 'length', drive.coreRadius === undefined ? undefined : 2 * drive.coreRadius)
      : fact('Roller diameter', 'length', 2 * drive.rollerRadius);
  return [
    { label: 'Element', value: elementWords[drive.element] },
    fact('Rated motor torque', 'torque', drive.ratedTorque),
    { label: 'Gear ratio, motor to roller', value: shortNumber(drive.gearRatio) },
    size,
    fact('Face width', 'length', drive.rollerWidth),
    fact('Maximum motor speed', 'angularSpeed', drive.maxMotorSpeed),
    fact('Motor inertia', 'inertia', drive.motorInertia),
    {
      label: 'Torque limit',
      value:
        drive.torqueLimit === undefined ? 'not given' : `${shortNumber(drive.torqueLimit * 100)} % of rated`,
    },
    ...(drive.web ? [fact('Web width', 'length', drive.web.width)] : []),
  ];
}

/** Estimates with standard error and 95 % interval, one row a parameter. */
export function parameterTable(caption: string, estimates: Estimates, format: Format): Table {
  return {
    caption,
    columns: [
      { heading: 'Parameter', align: 'text' },
      { heading: 'Value', align: 'number' },
      { heading: 'Standard error', align: 'number' },
      { heading: '95 % interval', align: 'number' },
      { heading: 'Unit', align: 'text' },
    ],
    rows: parameterNames.flatMap((name) => {
      const e = estimates[name];
      if (!e) return [];
      const { texts, unit } = format.row(
        parameterQuantity[name],
        [e.value, e.standardError, ...e.interval95],
        e.standardError,
      );
      return [
        [
          { text: parameterWords[name] },
          { text: texts[0] ?? '' },
          { text: texts[1] ?? '' },
          { text: `${texts[2]} to ${texts[3]}` },
          { text: unit },
        ],
      ];
    }),
  };
}

/** What the recording could not give, why, and what would. */
export function notEstimatedTable(identification: Identification): Table {
  return {
    caption: 'Why, and what would give it',
    columns: [
      { heading: 'Parameter', align: 'text' },
      { heading: 'Why', align: 'text' },
      { heading: 'Next', align: 'text' },
    ],
    rows: identification.notEstimated.map((n) => [
      { text: parameterWords[n.name] },
      { text: n.why },
      { text: n.next },
    ]),
  };
}

/** Every stretch of the recording with the reason why it was taken or left out. */
export function segmentTable(identification: Identification): Table {
  return {
    caption: 'Stretches of the recording',
    columns: [
      { heading: 'Kind', align: 'text' },
      { heading: 'From', unit: 's', align: 'number' },
      { heading: 'To', unit: 's', align: 'number' },
      { heading: 'In the fit', align: 'text' },
      { heading: 'Why', align: 'text' },
    ],
    rows: identification.segments.map((s) => [
      { text: kindWords[s.kind].label },
      { text: s.from.toFixed(2) },
      { text: s.to.toFixed(2) },
      { text: s.used ? 'yes' : 'no' },
      { text: s.why },
    ]),
  };
}

/** Rows of the fitted curve that the table shows; the figure has them all. */
const fitRows = 12;

/** The measured points and a choice of the fitted curve's, in order of speed. */
export function dragTable(caption: string, points: readonly DragPoint[], format: Format): Table {
  const bySpeed = points.toSorted((a, b) => a.speed - b.speed);
  const fit = bySpeed.filter((p) => p.from === 'fit');
  const stride = Math.max(1, (fit.length - 1) / (fitRows - 1));
  const chosen = new Set(fit.filter((_, i) => Math.floor(i / stride) !== Math.floor((i - 1) / stride)));
  return {
    caption,
    columns: [
      { heading: 'Speed at motor', unit: format.unit('angularSpeed'), align: 'number' },
      { heading: 'Drag at motor', unit: format.unit('torque'), align: 'number' },
      { heading: 'From', align: 'text' },
    ],
    rows: bySpeed
      .filter((p) => p.from !== 'fit' || chosen.has(p))
      .map((p) => [
        { text: format.number('angularSpeed', p.speed) },
        { text: format.pair('torque', p.torque, p.halfWidth95) },
        { text: p.from === 'coast' ? 'coast-down' : p.from },
      ]),
  };
}

/** Every start of motion that counts as a breakaway test. */
export function breakawayTable(identification: Identification, format: Format): Table {
  return {
    caption: 'Starts of motion. Breakaway depends on the rest before and on how fast the torque rises.',
    columns: [
      { heading: 'At', unit: 's', align: 'number' },
      { heading: 'Direction', align: 'text' },
      { heading: 'Torque', unit: format.unit('torque'), align: 'number' },
      { heading: 'Rest before', unit: 's', align: 'number' },
      { heading: 'Rate of torque', unit: format.unit('torqueRate'), align: 'number' },
    ],
    rows: identification.breakawayEvents.map((e) => [
      { text: e.time.toFixed(2) },
      { text: e.direction === 1 ? 'forward' : 'reverse' },
      {
        text: format.number('torque', e.torque),
      },
      { text: e.dwell.toFixed(1) },
      { text: format.number('torqueRate', e.rate) },
    ]),
  };
}

/** What each column was taken as. */
export function channelTable(identification: Identification): Table {
  return {
    caption: 'Channels: what each column was taken for',
    columns: [
      { heading: 'Taken as', align: 'text' },
      { heading: 'Column header', align: 'text' },
      { heading: 'Unit in the file', align: 'text' },
      { heading: 'Delay taken out', unit: 'ms', align: 'number' },
    ],
    rows: identification.channels.map((c) => [
      { text: roleWords[c.role] },
      { text: c.header },
      { text: c.unit },
      { text: (c.delay * 1000).toFixed(1).replace('-', '−') },
    ]),
  };
}

/** A table, or one sentence where it would have no row. */
export const tableOr = (table: Table, sentence: string): Block =>
  table.rows.length > 0 ? { kind: 'table', table } : { kind: 'paragraph', text: sentence };

/** The reason why a parameter is missing, as a cell. */
export function missingCell(identification: Identification, ...names: readonly ParameterName[]): Cell {
  const reason = identification.notEstimated.find((n) => names.includes(n.name));
  return { text: 'missing', tone: 'missing', note: reason?.why ?? 'not in the recording' };
}
