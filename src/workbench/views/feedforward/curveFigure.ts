import type { Drive } from '../../../engine/line/drive.js';
import type { Figure, Mark, Panel } from '../../../engine/report/svg/figure.js';
import type { Units } from '../../state/units.js';
import type { Made, MadeDirection } from './made.js';
import type { TorqueUnit } from './torqueUnit.js';

interface Look {
  readonly units: Units;
  readonly torque: TorqueUnit;
  readonly drive: Drive;
  /** Points of a visit as left are filled, others hollow. */
  readonly isAsLeft: boolean;
}

/** Law, band, measured points and table over speed, and below it what they leave to the web. */
export function curveFigure(made: Made, look: Look): Figure {
  const { units, drive } = look;
  const speed = units.unit('angularSpeed');
  const web = units.unit('speed');
  const { rollerRadius, gearRatio } = drive;
  return {
    id: 'feedforward-curve',
    title: 'Torque feed-forward over speed',
    description: `Drag torque with its 95 % band, and a table of ${made.feedForward.rows.length} rows with straight lines between them; below, the force that is left to the web.`,
    x: { label: `Speed at motor, ω [${speed.label}]`, include: [0] },
    ...(rollerRadius !== undefined && {
      top: {
        label: `Web speed, v [${web.label}]`,
        scale: (speed.factor * rollerRadius) / gearRatio / web.factor,
      },
    }),
    panels: made.directions.flatMap((d) => [torquePanel(d, look), ...tugPanel(d, look)]),
  };
}

const named = (what: string, { name }: MadeDirection): string => (name === '' ? what : `${what}, ${name}`);

function torquePanel(direction: MadeDirection, { units, torque, drive, isAsLeft }: Look): Panel {
  const { table, tug, points } = direction;
  const x = (speeds: readonly number[]): number[] => speeds.map((w) => units.value('angularSpeed', w));
  const y = (torques: readonly number[]): number[] => torques.map((t) => torque.value(t));
  const [lowest] = table.identifiedRange ?? [0, 0];
  const seen = tug.filter((t) => t.speed >= lowest);
  const below = [...tug.filter((t) => t.speed < lowest), ...seen.slice(0, 1)];
  const { rows, assist } = table;
  const marks: Mark[] = [
    {
      kind: 'band',
      signal: 'torque',
      x: x(tug.map((t) => t.speed)),
      low: y(tug.map((t) => t.torque - t.halfWidth)),
      high: y(tug.map((t) => t.torque + t.halfWidth)),
      label: '95 %',
    },
    {
      kind: 'line',
      meaning: 'model',
      signal: 'torque',
      x: x(seen.map((t) => t.speed)),
      y: y(seen.map((t) => t.torque)),
      label: 'drag law',
    },
  ];
  if (below.length > 1)
    marks.push({
      kind: 'line',
      meaning: 'extrapolated',
      signal: 'torque',
      x: x(below.map((t) => t.speed)),
      y: y(below.map((t) => t.torque)),
      label: 'below the measured speeds',
    });
  marks.push({
    kind: 'line',
    meaning: 'reference',
    signal: 'neutral',
    x: x(rows.map((r) => r.speed)),
    y: y(rows.map((r) => r.torque)),
    label: `table, ${rows.length} rows`,
  });
  for (const [key, label] of [
    ['accelerating', 'speeding up'],
    ['decelerating', 'slowing down'],
  ] as const)
    if (rows.some((r) => r[key] !== undefined))
      marks.push({
        kind: 'line',
        meaning: 'model',
        signal: key === 'accelerating' ? 'speed' : 'tension',
        x: x(rows.map((r) => r.speed)),
        y: y(rows.map((r) => r[key] ?? Number.NaN)),
        label,
      });
  const first = rows[0];
  if (assist && first)
    marks.push({
      kind: 'line',
      meaning: 'model',
      signal: 'neutral',
      x: x([0, assist.fadeSpeed]),
      y: y([first.torque + assist.torque, valueIn(direction, assist.fadeSpeed)]),
      label: 'with assist at start',
    });
  if (points.length > 0)
    marks.push({
      kind: 'points',
      signal: 'torque',
      x: x(points.map((p) => p.speed)),
      y: y(points.map((p) => p.torque)),
      halfWidth: y(points.map((p) => p.halfWidth95)),
      fill: isAsLeft ? 'filled' : 'hollow',
      shape: 'circle',
      label: 'measured',
    });
  const limit = limitOf(drive);
  // drawn only where the table comes near it: it must not press the curve flat
  const isNear = limit !== undefined && rows.some((r) => Math.abs(r.accelerating ?? r.torque) > 0.7 * limit);
  if (isNear)
    marks.push({
      kind: 'limit',
      from: torque.value(limit),
      to: Number.POSITIVE_INFINITY,
      label: 'torque limit',
    });
  return {
    y: {
      label: `${named('Torque at motor', direction)}, T [${torque.label}]`,
      include: isNear ? [0, torque.value(1.1 * limit)] : [0],
    },
    height: 200,
    marks,
  };
}

const valueIn = ({ tug }: MadeDirection, speed: number): number =>
  tug.find((t) => t.speed >= speed)?.torque ?? Number.NaN;

const limitOf = ({ ratedTorque, torqueLimit }: Drive): number | undefined =>
  ratedTorque === undefined || torqueLimit === undefined ? undefined : ratedTorque * torqueLimit;

function tugPanel(direction: MadeDirection, { units }: Look): Panel[] {
  const { tug } = direction;
  if (!tug.some((t) => t.force !== undefined)) return [];
  const x = tug.map((t) => units.value('angularSpeed', t.speed));
  const y = (force: number | undefined): number =>
    force === undefined ? Number.NaN : units.value('tension', force);
  return [
    {
      y: {
        label: `${named('Tug left on the web', direction)}, ±F [${units.unit('tension').label}]`,
        include: [0],
      },
      height: 90,
      marks: [
        {
          kind: 'line',
          meaning: 'model',
          signal: 'tension',
          x,
          y: tug.map((t) => y(t.force)),
          label: 'with the error between rows',
        },
        {
          kind: 'line',
          meaning: 'reference',
          signal: 'tension',
          x,
          y: tug.map((t) => y(t.uncertaintyForce)),
          label: '95 % of the drag alone',
        },
      ],
    },
  ];
}
