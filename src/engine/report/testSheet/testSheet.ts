import type { Drive } from '../../line/drive.js';
import { fromSI } from '../../units/convert.js';
import type { Format } from '../format.js';
import type { Block, Fact, ReportTree, Section, Table } from '../reportTree.js';
import type { Figure } from '../svg/figure.js';
import { channelWords, conditionsOf, sheetCautions, testWords } from './sheetWords.js';
import { type PlanInput, type TestPlan, type TestStep, testPlan } from './testPlan.js';

export interface SheetInput extends PlanInput {
  readonly format: Format;
  /** The line is invented, and the sheet says so. */
  readonly invented: boolean;
}

/**
 * How to make a recording of one drive, for print: cautions first, then what the machine must be like, the steps with their speeds, rates and
 * times, what to record, and what to write down. A report tree [1]; all numbers come from {@link testPlan}. Source: definition.
 */
export function testSheet(input: SheetInput): ReportTree {
  const plan = testPlan(input);
  const { drive, test, format: f, invented } = input;
  const { title, shows } = testWords[test];
  const isWound = drive.element === 'unwind' || drive.element === 'winder';
  return {
    title: `Test sheet: ${drive.name}`,
    subtitle: `${title}. It shows ${shows}.`,
    ...(invented && { label: 'Invented line: the numbers below are those of no machine.' }),
    facts: factsOf(drive, plan, f),
    sections: [
      section('cautions', 'Before anything turns', [{ kind: 'cautions', items: sheetCautions }]),
      section('machine', 'The machine', [
        { kind: 'list', items: conditionsOf(test, isWound) },
        ...lackingBlocks(drive, plan),
      ]),
      section('steps', 'Steps', stepBlocks(drive, plan, f)),
      section('record', 'What to record', recordBlocks(plan, f)),
      section('notes', 'To write down', [
        {
          kind: 'signOff',
          states: ['As found', 'As left', 'Later visit'],
          fields: ['Date, time', 'By', 'Warm for', 'File'],
        },
      ]),
    ],
  };
}

const section = (id: string, title: string, blocks: readonly Block[]): Section => ({
  id,
  title,
  isOwnPage: false,
  blocks,
});

function factsOf(drive: Drive, plan: TestPlan, f: Format): Fact[] {
  const { top } = plan;
  return [
    ...(top === undefined
      ? []
      : [
          {
            label: plan.topFrom === 'drive' ? 'Top speed of the motor' : 'Top speed, from that of the line',
            value: speedText(top, f),
          },
        ]),
    ...(drive.ratedTorque === undefined
      ? []
      : [{ label: 'Rated torque', value: f.withUnit('torque', drive.ratedTorque) }]),
    { label: 'Gear ratio', value: f.number('ratio', drive.gearRatio) },
    {
      label: 'Time it takes',
      value: `${durationText(plan.duration)}${plan.steps.some((s) => s.kind === 'coast') ? ' and the coasting' : ''}`,
    },
    { label: 'Sampling', value: `every ${f.number('time', 1000 * plan.interval)} ms or faster` },
  ];
}

/** Motor speed in the unit of the report, and in rpm, in which drives are set. */
function speedText(speed: number, f: Format): string {
  const rpm = `${Math.round(fromSI(speed, 'angularSpeed', 'rpm'))} rpm`;
  return f.unit('angularSpeed') === 'rpm' ? rpm : `${rpm} (${f.withUnit('angularSpeed', speed)})`;
}

const durationText = (seconds: number): string =>
  seconds < 120 ? `${Math.ceil(seconds)} s` : `${Math.ceil(seconds / 60)} min`;

/** What would make the sheet sharper, and where to state it. */
function lackingBlocks(drive: Drive, plan: TestPlan): Block[] {
  const lacking = [
    ...(plan.top === undefined
      ? [
          'its top speed (max_motor_speed in the drive file, or the speed of the line and the diameter of the roller): until then speeds stand here in percent',
        ]
      : []),
    ...(drive.ratedTorque === undefined && ['breakaway', 'designed'].includes(plan.test)
      ? ['its rated torque (rated_torque in the drive file): until then torques stand here in percent']
      : []),
  ];
  return lacking.length === 0
    ? []
    : [{ kind: 'paragraph', text: `Not stated of this drive: ${lacking.join('; ')}.` }];
}

function stepBlocks(drive: Drive, plan: TestPlan, f: Format): Block[] {
  const speeds = plan.steps.filter((s) => s.kind === 'speed');
  const from = {
    line: 'as the line accelerates',
    torque: 'so slow that turning the rotor alone takes no more than two fifths of the torque limit',
    usual: 'a usual time; take the one of the line where it is known',
  }[plan.rampFrom];
  return [
    {
      kind: 'figure',
      figure: profileFigure(plan, f),
      caption: 'Speed reference over time, as planned. Slow starts and coasting take as long as they take.',
    },
    { kind: 'table', table: stepTable(drive, plan, f) },
    ...(plan.steps.some((s) => s.kind === 'start') ? startBlocks(drive, plan, f) : []),
    ...(speeds.length > 0
      ? [
          {
            kind: 'paragraph' as const,
            text: `Ramps are straight: ${f.number('time', plan.rampTime)} s from rest to top speed is the fast rate, ${from}. Round or jerk-limited corners do no harm where the middle of a ramp is straight. Where torque comes to its limit, ramp slower: a ramp at the limit is left out.`,
          },
        ]
      : []),
  ];
}

function startBlocks(drive: Drive, plan: TestPlan, f: Format): Block[] {
  const least = plan.leastBreakaway;
  const text =
    drive.ratedTorque === undefined
      ? `${f.number('ratio', 100 * least)} % of rated`
      : f.withUnit('torque', least * drive.ratedTorque);
  return [
    {
      kind: 'list',
      items: [
        'Slow starts are made in torque control, with a speed limit just above the one stated, or by turning a torque set value up by hand as evenly as can be.',
        'Between two starts let the roller come to rest at another angle, so that gear, seal and magnet ripple do not give the same answer each time.',
        `A torque below ${text} would be read too high at this rate: for such a drive raise the torque more slowly.`,
      ],
    },
  ];
}

/** The steps in order, repeated ones once. */
function stepTable(drive: Drive, plan: TestPlan, f: Format): Table {
  const { top } = plan;
  const radius = drive.rollerRadius ?? drive.coreRadius;
  const starts = plan.steps.filter((s) => s.kind === 'start').length;
  const hasSurface = top !== undefined && radius !== undefined;
  const surface = (s: TestStep): string =>
    s.kind === 'speed' && hasSurface ? f.number('speed', (s.to * top * radius) / drive.gearRatio) : '';
  const surfaces = plan.steps.map(surface);
  return {
    caption: `Steps in order${starts > 1 ? `; the first two together, ${starts} times` : ''}`,
    columns: [
      { heading: 'Do', align: 'text' },
      { heading: 'Motor speed', unit: top === undefined ? '% of top' : 'rpm', align: 'number' },
      ...(hasSurface ? [{ heading: 'Surface speed', unit: f.unit('speed'), align: 'number' as const }] : []),
      { heading: 'In', unit: 's', align: 'number' },
      { heading: 'Hold', unit: 's', align: 'number' },
    ],
    rows: stepsOnce(plan).map((k) => {
      const [what = '', speed = '', time = '', hold = ''] = rowOf(plan.steps[k] as TestStep, drive, plan, f);
      const cells = [what, speed, ...(hasSurface ? [surfaces[k] ?? ''] : []), time, hold];
      return cells.map((text) => ({ text }));
    }),
  };
}

/** Indices of the steps without the repetitions of the slow starts. */
function stepsOnce({ steps }: TestPlan): number[] {
  const starts = steps.flatMap((s, k) => (s.kind === 'start' ? [k] : []));
  const [first, ...others] = starts;
  const left = new Set(others.flatMap((k) => [k, k + 1]));
  return steps.map((_, k) => k).filter((k) => first === undefined || !left.has(k));
}

function rowOf(s: TestStep, drive: Drive, { top }: TestPlan, f: Format): string[] {
  if (s.kind === 'coast') return ['Switch the drive off at speed and let it coast to standstill', '', '', ''];
  const shown = (share: number): string =>
    top === undefined
      ? f.number('ratio', 100 * share)
      : String(Math.round(fromSI(share * top, 'angularSpeed', 'rpm')));
  if (s.kind === 'start') {
    const per = (share: number): string =>
      drive.ratedTorque === undefined
        ? `${f.number('ratio', 100 * share)} %`
        : f.withUnit('torque', share * drive.ratedTorque);
    return [
      `From rest: ${f.number('time', s.dwell)} s at zero torque, then raise it by ${per(s.rate)} a second until the shaft moves, to ${per(s.most)} at most; back to zero at once`,
      `≤ ${shown(s.stopSpeed)}`,
      '',
      '',
    ];
  }
  return [
    s.to === 0 ? 'Stop' : 'Steady speed',
    shown(s.to),
    f.number('time', Number(s.ramp.toPrecision(2))),
    f.number('time', Math.ceil(s.hold)),
  ];
}

/** Speed reference over time. Starts are drawn as rest, coasting as a straight fall. */
function profileFigure(plan: TestPlan, f: Format): Figure {
  const scale = plan.top === undefined ? 100 : f.value('angularSpeed', plan.top);
  const x = [0];
  const y = [0];
  let t = 0;
  for (const s of plan.steps) {
    const last = y.at(-1) as number;
    const corners: [number, number][] =
      s.kind === 'speed'
        ? [
            [s.ramp, s.to * scale],
            [s.hold, s.to * scale],
          ]
        : s.kind === 'start'
          ? [[s.dwell + s.most / s.rate, 0]]
          : [];
    if (corners.length === 0 && last === 0) continue;
    for (const [dt, level] of corners) {
      t += dt;
      x.push(t);
      y.push(level);
    }
  }
  return {
    id: 'test-profile',
    title: 'Planned speed',
    description: 'Speed reference over time, as the steps say',
    x: { label: 'Time, t [s]', include: [0] },
    panels: [
      {
        y: {
          label: plan.top === undefined ? 'Speed [% of top]' : f.axis('Motor speed', 'ω', 'angularSpeed'),
          include: [0],
        },
        height: 150,
        marks: [
          {
            kind: 'line',
            meaning: 'reference',
            signal: 'speed',
            x: Float64Array.from(x),
            y: Float64Array.from(y),
          },
        ],
      },
    ],
  };
}

function recordBlocks(plan: TestPlan, f: Format): Block[] {
  const turn = plan.top === undefined ? undefined : Math.PI / plan.top;
  return [
    {
      kind: 'table',
      table: {
        caption: 'Channels',
        columns: [
          { heading: 'Channel', align: 'text' },
          { heading: 'How', align: 'text' },
        ],
        rows: channelWords.map(([what, how]) => [{ text: what }, { text: how }]),
      },
    },
    {
      kind: 'list',
      items: [
        `All channels from one recorder, at the same instants, every ${f.number('time', 1000 * plan.interval)} ms or faster, without averaging.`,
        'Everything in one file, from before the first step to after the last; repeated steps too.',
        ...(turn === undefined
          ? []
          : [
              `Where only the angle is recorded: faster than every ${f.number('time', Number((1000 * turn).toPrecision(2)))} ms, or turns are lost at top speed.`,
            ]),
        'Delimited text or Parquet, with units in the header. Nothing is to be edited afterwards.',
      ],
    },
  ];
}
