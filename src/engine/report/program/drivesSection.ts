import { emptyTorqueParts } from '../../feedforward/rollerTorque.js';
import type { LineSpeed } from '../../line/line.js';
import type { DriveModel } from '../../program/drives/driveModel.js';
import type { LineDuty } from '../../program/drives/lineDuty.js';
import { programTorque } from '../../program/drives/programTorque.js';
import type { Product } from '../../program/product.js';
import type { ProgrammedLine } from '../../program/programmeLine.js';
import { slug } from '../escape.js';
import { type Format, shortNumber } from '../format.js';
import type { Block, Cell, Section, Table } from '../reportTree.js';
import type { Figure } from '../svg/figure.js';

/** Torque of each drive for one product: its parts, a map over speed or diameter, duty and stops. */
export function drivesSection(
  product: Product,
  { models, duty }: ProgrammedLine,
  speed: LineSpeed | undefined,
  format: Format,
): Section | undefined {
  if (speed === undefined || models.length === 0) return undefined;
  const id = `torques-${slug(product.name)}`;
  const shown = models.filter((m) => !m.missing.includes('radius'));
  return {
    id,
    title: `Torque of each drive: ${product.name}`,
    lead: 'At the motor shaft. Positive torque drives the web forward; a negative one holds it back.',
    isOwnPage: true,
    blocks: [
      { kind: 'table', table: partsTable(shown, product, speed, format) },
      ...shown.flatMap((m, k) => mapBlocks(`${id}-${k + 1}`, m, product, speed, format)),
      ...(duty ? dutyBlocks(duty, format) : []),
    ],
  };
}

/** The diameter at which a drive is shown: the full roll, where its inertia counts most. */
const fullDiameter = (model: DriveModel, product: Product): number =>
  model.roll === undefined ? Number.NaN : 2 * (product[model.roll]?.fullRadius ?? Number.NaN);

function partsTable(
  models: readonly DriveModel[],
  product: Product,
  speed: LineSpeed,
  format: Format,
): Table {
  const a = speed.acceleration ?? 0;
  const column = format.unit('torque');
  return {
    caption: `Parts of the torque at ${format.withUnit('speed', speed.top)} while the line speeds up by ${format.withUnit('acceleration', a)}, with full rolls.`,
    columns: [
      { heading: 'Drive', align: 'text' },
      { heading: 'Tension', unit: column, align: 'number' },
      { heading: 'Inertia', unit: column, align: 'number' },
      { heading: 'Drag', unit: column, align: 'number' },
      { heading: 'Speeding up', unit: column, align: 'number' },
      { heading: 'Running', unit: column, align: 'number' },
      { heading: 'Of rated', unit: '%', align: 'number' },
      { heading: 'Breakaway beyond drag', unit: column, align: 'number' },
    ],
    rows: models.map((model) => {
      const diameter = fullDiameter(model, product);
      const parts = emptyTorqueParts();
      const total = programTorque(model, diameter, speed.top, a, parts);
      const running = model.torque(diameter, speed.top, 0);
      const { motor, breakawayExcess } = model.drive;
      const number = (x: number): Cell => ({ text: format.number('torque', x) });
      const unless = (missing: boolean, x: number): Cell =>
        missing ? { text: 'not known', tone: 'missing' } : number(x);
      const lacks = (what: DriveModel['missing'][number]): boolean => model.missing.includes(what);
      return [
        { text: model.name },
        unless(lacks('tension'), parts.tension),
        unless(lacks('inertia') || lacks('roll inertia'), parts.inertia),
        unless(lacks('drag'), parts.drag),
        number(total),
        number(running),
        { text: motor === undefined ? '–' : shortNumber((100 * running) / motor.ratedTorque) },
        { text: breakawayExcess > 0 ? format.number('torque', breakawayExcess) : '–' },
      ];
    }),
  };
}

const points = 61;

/** Torque over diameter for a drive at a roll, over speed for any other; running, speeding up and stopping, inside the motor's limits. */
function mapBlocks(
  id: string,
  model: DriveModel,
  product: Product,
  speed: LineSpeed,
  format: Format,
): Block[] {
  const program = model.roll === undefined ? undefined : product[model.roll];
  const overDiameter = program !== undefined;
  const x = Float64Array.from({ length: points }, (_, k) => {
    const share = k / (points - 1);
    return overDiameter
      ? 2 * (program.coreRadius + (program.fullRadius - program.coreRadius) * share)
      : speed.top * Math.max(share, 1e-3);
  });
  const at = (value: number, acceleration: number): number =>
    overDiameter
      ? programTorque(model, value, speed.top, acceleration)
      : programTorque(model, Number.NaN, value, acceleration);
  const curve = (acceleration: number): Float64Array =>
    format.samples(
      'torque',
      x.map((v) => at(v, acceleration)),
    );
  const quantity = overDiameter ? 'length' : 'speed';
  const abscissa = format.samples(quantity, x);
  const { motor } = model.drive;
  const curves = [0, speed.acceleration, speed.stop === undefined ? undefined : -speed.stop].map(
    (acceleration) => (acceleration === undefined ? undefined : curve(acceleration)),
  );
  const largest = Math.max(...curves.flatMap((c) => (c === undefined ? [] : [...c].map(Math.abs))));
  const stated =
    motor === undefined ? undefined : format.value('torque', motor.ratedTorque * motor.torqueLimit);
  // A limit far beyond what is asked for lies outside the picture and would only be a word in its legend.
  const limit = stated !== undefined && largest > 0.6 * stated ? stated : undefined;
  const looks = [
    { signal: 'torque', label: 'running' },
    { signal: 'speed', label: 'speeding up' },
    { signal: 'neutral', label: 'stopping' },
  ] as const;
  const figure: Figure = {
    id,
    title: `Torque of ${model.name}`,
    description: `Torque at the motor over ${overDiameter ? 'the diameter of the roll at top speed' : 'the speed of the web'}, running, speeding up and stopping.`,
    x: {
      label: overDiameter ? format.axis('Diameter', 'D', 'length') : format.axis('Web speed', 'v', 'speed'),
    },
    panels: [
      {
        y: { label: format.axis('Torque at motor', 'T', 'torque'), include: [0] },
        height: 150,
        marks: [
          ...(limit === undefined
            ? []
            : [
                { kind: 'limit' as const, from: limit, to: Number.POSITIVE_INFINITY, label: 'torque limit' },
                { kind: 'limit' as const, from: Number.NEGATIVE_INFINITY, to: -limit },
              ]),
          ...looks.flatMap((look, k) => {
            const y = curves[k];
            return y === undefined
              ? []
              : [{ kind: 'line' as const, meaning: 'model' as const, ...look, x: abscissa, y }];
          }),
        ],
      },
    ],
  };
  const missing =
    model.missing.length === 0
      ? ''
      : ` Without ${[...new Set(model.missing)].join(', ')}, which ${model.missing.length === 1 ? 'is' : 'are'} not known.`;
  return [
    {
      kind: 'figure',
      figure,
      caption: `${model.name}${overDiameter ? ` over the ${model.roll}’s diameter at ${format.withUnit('speed', speed.top)}` : ''}.${missing}`,
    },
  ];
}

function dutyBlocks(duty: LineDuty, format: Format): Block[] {
  const torque = format.unit('torque');
  const table: Table = {
    caption: `Over a cycle of ${format.withUnit('time', duty.cycleTime)}: speed up, run one roll, stop. Powers at the motor shaft.`,
    columns: [
      { heading: 'Drive', align: 'text' },
      { heading: 'RMS', unit: torque, align: 'number' },
      { heading: 'Of rated current', unit: '%', align: 'text' },
      { heading: 'Peak', unit: torque, align: 'number' },
      { heading: 'Driving', unit: format.unit('power'), align: 'number' },
      { heading: 'Braking', unit: format.unit('power'), align: 'number' },
      { heading: 'Fastest', unit: format.unit('angularSpeed'), align: 'number' },
      { heading: 'Range', align: 'number' },
      { heading: 'Load : rotor', align: 'number' },
    ],
    rows: duty.drives.map((d) => [
      { text: d.name },
      { text: format.number('torque', d.rms) },
      {
        text: shortNumber(Number((100 * d.rmsFraction).toPrecision(3))),
        tone: d.rmsFraction > 1 ? 'refuse' : d.rmsFraction > 0.9 ? 'warn' : 'good',
      },
      { text: format.number('torque', d.peak) },
      { text: format.number('power', d.drivingPower) },
      { text: format.number('power', d.brakingPower) },
      { text: format.number('angularSpeed', d.highestSpeed) },
      { text: d.speedRange > 1 ? `${shortNumber(d.speedRange)} : 1` : '–' },
      {
        text:
          d.loadRatio === undefined
            ? '–'
            : d.loadRatio[0] === d.loadRatio[1]
              ? shortNumber(Number(d.loadRatio[0].toPrecision(3)))
              : d.loadRatio.map((r) => shortNumber(Number(r.toPrecision(3)))).join(' to '),
      },
    ]),
  };
  return [
    { kind: 'heading', text: 'Duty of the motors' },
    { kind: 'table', table },
    ...(duty.shortestStop
      ? [
          {
            kind: 'paragraph' as const,
            text: `Shortest stop of all sections together, with full rolls and the web intact: ${format.withUnit('time', duty.shortestStop.time)}, set by ${duty.shortestStop.setBy}.${duty.shortestBrokenStop ? ` After a web break: ${format.withUnit('time', duty.shortestBrokenStop.time)}, set by ${duty.shortestBrokenStop.setBy}.` : ''}`,
          },
        ]
      : []),
    ...duty.stops.map((stop): Block => ({ kind: 'table', table: stopTable(stop, format) })),
  ];
}

function stopTable({ kind, time, intact, energy }: LineDuty['stops'][number], format: Format): Table {
  const torque = format.unit('torque');
  return {
    caption: `${kind === 'normal' ? 'Normal stop' : 'Emergency stop'} in ${format.withUnit('time', time)} from top speed, full rolls, web intact. Torque that holds back at the roller; negative where it must drive on.`,
    columns: [
      { heading: 'Drive', align: 'text' },
      { heading: 'Torque at the roller', unit: torque, align: 'number' },
      { heading: 'Left to the limit', unit: torque, align: 'text' },
      { heading: 'Energy taken up', unit: format.unit('energy'), align: 'number' },
      { heading: 'Peak power', unit: format.unit('power'), align: 'number' },
    ],
    rows: intact.sections.map((s, k) => [
      { text: s.name },
      { text: format.number('torque', s.torque) },
      { text: format.number('torque', s.margin), tone: s.margin < 0 ? 'warn' : 'good' },
      { text: format.number('energy', energy[k]?.stop.absorbed ?? Number.NaN) },
      { text: format.number('power', energy[k]?.stop.peakPower ?? Number.NaN) },
    ]),
  };
}
