import type {
  Interval,
  RollerTug,
  TensionZone,
  TugBudget,
  TugPoint,
  TugVerdict,
} from '../../line/tug/types.js';
import { findingItems } from '../findingItems.js';
import { type Format, shortNumber } from '../format.js';
import type { Block, Cell, Section, Table } from '../reportTree.js';

/** What the web is asked to pull, zone by zone, and which rollers need a drive of their own. */
export function tugSection({ zones, grips, findings }: TugBudget, format: Format): Section {
  const rolled = zones.filter((z) => z.rollers.length > 0);
  return {
    id: 'tug',
    title: 'What the web is asked to pull',
    lead: 'At top speed and below, while the line runs, speeds up and stops. Forces are totals over the width.',
    isOwnPage: true,
    blocks: [
      ...(findings.length > 0 ? [{ kind: 'findings' as const, findings: findingItems(findings) }] : []),
      ...(rolled.length === 0
        ? [{ kind: 'paragraph' as const, text: 'No roller is carried by the web.' }]
        : rolled.flatMap((zone) => zoneBlocks(zone, format))),
      ...(grips.length > 0
        ? [
            {
              kind: 'list' as const,
              items: grips.map(
                (g) =>
                  `${g.section} holds a step of ${format.withUnit('tension', g.step)} between the tensions on its sides; the web would slip on it from ${format.withUnit('tension', g.grip)} on.`,
              ),
            },
          ]
        : []),
      {
        kind: 'paragraph',
        text: 'Drag from bearing formulas is a band, since accepted formulas differ several-fold. The friction reserve is the friction that is there over the friction needed, at the worst of running, speeding up and stopping; an air film is taken on smooth rollers under a web that lets no air through, without leakage at the edges. When a roller needs a drive is judged by limits of our own: friction reserve below 1.5, drag of a zone above 10 %, or speeding up or stopping above 25 %, of the lowest tension in it. Before a winder that is the lowest of its program.',
      },
    ],
  };
}

function zoneBlocks(zone: TensionZone, format: Format): Block[] {
  const { tension, drag, inertia, unknown } = zone;
  const share = (x: number): string =>
    tension === undefined || x === 0 ? '' : ` (${shortNumber((100 * x) / tension)} %)`;
  return [
    { kind: 'heading', text: `${zone.from} to ${zone.to}` },
    { kind: 'table', table: zoneTable(zone, format) },
    ...(zone.points.some((p) => p.rise)
      ? [{ kind: 'table' as const, table: pointsTable(zone, format) }]
      : []),
    {
      kind: 'paragraph',
      text: `Together ${bandText(drag, format)} ${format.unit('tension')}${share(drag.high)} of drag and ${bandText(inertia, format)} ${format.unit('tension')}${share(inertia.high)} while speeding up${tension === undefined ? '; the tension of this zone is not stated' : `, of ${format.withUnit('tension', tension)} held`}.${unknown.length > 0 ? ` Without ${unknown.join(', ')}, of which not everything is known.` : ''}`,
    },
  ];
}

/** The whole rise over a zone: a row a speed, a column a state of the line. */
function pointsTable({ from, to, points }: TensionZone, format: Format): Table {
  const speeds = [...new Set(points.map((p) => p.speed))];
  const accelerations = [...new Set(points.map((p) => p.acceleration))];
  const heading = (a: number): string => (a === 0 ? 'Running' : a > 0 ? 'Speeding up' : 'Stopping');
  const cell = (point: TugPoint | undefined): Cell =>
    point?.rise === undefined
      ? { text: 'not known', tone: 'missing' }
      : { text: bandText(point.rise, format) };
  return {
    caption: `Rise of tension over all rollers from ${from} to ${to}.`,
    columns: [
      { heading: 'Speed', unit: format.unit('speed'), align: 'number' },
      ...accelerations.map((a) => ({
        heading: heading(a),
        unit: format.unit('tension'),
        align: 'number' as const,
      })),
    ],
    rows: speeds.map((speed) => [
      { text: format.number('speed', speed) },
      ...accelerations.map((a) => cell(points.find((p) => p.speed === speed && p.acceleration === a))),
    ]),
  };
}

/** Both ends; one without a bound that is known is left open. */
const bandText = ({ low, high }: Interval, format: Format): string =>
  low === high
    ? format.number('tension', low)
    : Number.isFinite(high)
      ? `${format.number('tension', low)} to ${format.number('tension', high)}`
      : `at least ${format.number('tension', low)}`;

const tones: Readonly<Record<TugVerdict, Cell['tone']>> = {
  'carried by the web': 'good',
  driven: 'good',
  'needs a helper drive': 'warn',
  'not known': 'missing',
};

function zoneTable(zone: TensionZone, format: Format): Table {
  const force = format.unit('tension');
  return {
    caption: `Rise of tension over each roller from ${zone.from} to ${zone.to}.`,
    columns: [
      { heading: 'Roller', align: 'text' },
      { heading: 'Drag', unit: force, align: 'number' },
      { heading: 'Speeding up', unit: force, align: 'number' },
      { heading: 'Friction needed', align: 'number' },
      { heading: 'Friction reserve', align: 'number' },
      { heading: 'Slips from', unit: format.unit('acceleration'), align: 'number' },
      { heading: 'Slips in a stop from', unit: format.unit('acceleration'), align: 'number' },
      { heading: 'Verdict', align: 'text' },
    ],
    rows: zone.rollers.map((t) => [
      { text: t.name },
      t.drag ? { text: bandText(t.drag, format) } : unknown(t),
      t.inertia ? { text: bandText(t.inertia, format) } : unknown(t),
      { text: t.frictionNeeded === undefined ? '–' : shortNumber(t.frictionNeeded) },
      { text: t.reserve === undefined || !Number.isFinite(t.reserve) ? '–' : shortNumber(t.reserve) },
      acceleration(t.accelerationBeforeSlip, format),
      acceleration(t.decelerationBeforeSlip, format),
      verdictCell(t, format),
    ]),
  };
}

const acceleration = (a: number | undefined, format: Format): Cell => ({
  text: a === undefined ? '–' : format.number('acceleration', a),
});

const unknown = (t: RollerTug): Cell => ({
  text: 'not known',
  tone: 'missing',
  ...(t.carrier === 'helper drive' && { note: 'not measured' }),
});

function verdictCell(t: RollerTug, format: Format): Cell {
  const helper =
    t.verdict !== 'needs a helper drive' || t.helper === undefined
      ? ''
      : ` It must give up to ${format.withUnit('torque', t.helper.torque.high)} and ${format.withUnit('power', t.helper.power.high)} at the roller.`;
  const note = `${[...t.reasons, ...t.provisos].join('; ')}${helper}`;
  return { text: t.verdict, tone: tones[t.verdict], ...(note !== '' && { note }) };
}
