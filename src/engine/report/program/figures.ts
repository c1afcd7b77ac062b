import type { ProgrammedRoll } from '../../program/programmedRoll.js';
import type { RollRow } from '../../program/rollRows.js';
import type { Format } from '../format.js';
import type { Figure, Mark, Panel } from '../svg/figure.js';

/** Schedules of a roll over its diameter: tension with the wound-on tension that results, nip, torque differential, torques of the motors. */
export function programFigure(id: string, title: string, roll: ProgrammedRoll, format: Format): Figure {
  const { rows } = roll.result;
  const diameter = format.samples(
    'length',
    rows.map((r) => r.diameter),
  );
  const line = (pick: (row: RollRow) => number | undefined): Float64Array =>
    format.samples(
      'tensionPerWidth',
      rows.map((r) => pick(r) ?? Number.NaN),
    );
  const has = (pick: (row: RollRow) => number | undefined): boolean =>
    rows.some((r) => pick(r) !== undefined);
  const curve = (
    label: string,
    pick: (row: RollRow) => number | undefined,
    signal: Extract<Mark, { kind: 'line' }>['signal'],
    meaning: Extract<Mark, { kind: 'line' }>['meaning'] = 'model',
  ): Mark[] => (has(pick) ? [{ kind: 'line', meaning, signal, x: diameter, y: line(pick), label }] : []);
  const force = (what: string, symbol: string): { label: string; include: number[] } => ({
    label: format.axis(what, symbol, 'tensionPerWidth'),
    include: [0],
  });
  const bounds: Mark[] = has((r) => r.woundOnBounds?.upper)
    ? [
        {
          kind: 'band',
          signal: 'neutral',
          x: diameter,
          low: line((r) => r.woundOnBounds?.lower),
          high: line((r) => r.woundOnBounds?.upper),
          label: 'wound-on tension while λ is not measured',
        },
      ]
    : [];
  const panels: Panel[] = [
    {
      y: force('Force per width', 'F'),
      height: 190,
      marks: [
        ...bounds,
        ...curve('tension', (r) => r.tension, 'tension'),
        ...curve('wound-on tension', (r) => r.woundOnTension, 'neutral'),
      ],
    },
  ];
  const isDriven = has((r) => r.share1) && has((r) => r.nip ?? r.drumNip);
  if (roll.result.knobs.some((k) => k.name === 'torque differential'))
    panels.push({
      y: force('Shares of the tension', 'F'),
      height: 150,
      marks: [
        ...curve(shareNames(roll).first, (r) => r.share1, 'torque'),
        ...curve(shareNames(roll).second, (r) => r.share2, 'neutral'),
        ...curve('torque differential', (r) => r.torqueDifferential, 'neutral', 'reference'),
      ],
    });
  if (isDriven || has((r) => r.nip))
    panels.push({
      y: force('Nip force per width', 'N'),
      height: 110,
      marks: [
        ...curve(has((r) => r.drumNip) ? 'rider roller' : 'nip', (r) => r.nip, 'neutral'),
        ...curve('each drum', (r) => r.drumNip, 'neutral', 'reference'),
      ],
    });
  const motors = motorPanel(roll, diameter, format);
  if (motors !== undefined) panels.push(motors);
  return {
    id: `${id}-schedules`,
    title,
    description: `Schedules over the diameter of the roll, from core to full roll, in ${rows.length} steps.`,
    x: { label: format.axis('Diameter', 'D', 'length') },
    panels,
  };
}

/** What the two shares go through, by the kind of winder. */
export function shareNames({ result }: ProgrammedRoll): { first: string; second: string } {
  return result.maker.type === 'two-drum'
    ? { first: 'front drum', second: 'rear drum' }
    : { first: 'the roll’s own motor', second: 'drum' };
}

const motorSignals = ['torque', 'neutral'] as const;

function motorPanel({ motors }: ProgrammedRoll, diameter: Float64Array, format: Format): Panel | undefined {
  const names = motors[0]?.map((m) => m.name) ?? [];
  if (names.length === 0) return undefined;
  return {
    y: { label: format.axis('Torque at motor', 'T', 'torque'), include: [0] },
    height: 150,
    marks: names.map((name, k) => ({
      kind: 'line',
      meaning: 'model',
      signal: motorSignals[k % motorSignals.length] as (typeof motorSignals)[number],
      x: diameter,
      y: format.samples(
        'torque',
        motors.map((m) => m[k]?.torque ?? Number.NaN),
      ),
      label: `${name}, running`,
    })),
  };
}
