import type { Product } from '../../../engine/program/product.js';
import type { ProgrammedRoll } from '../../../engine/program/programmedRoll.js';
import type { RollRow } from '../../../engine/program/rollRows.js';
import { shareNames } from '../../../engine/report/program/figures.js';
import type { FigureColumn } from '../../components/SaveFigure.js';
import type { KnobKey } from '../../schedules/handles.js';
import type { Units } from '../../state/units.js';

export type Signal = 'speed' | 'torque' | 'tension' | 'neutral';

/** A curve over diameter, SI. */
export interface Curve {
  readonly label: string;
  readonly signal: Signal;
  readonly meaning: 'model' | 'reference';
  readonly y: readonly number[];
}

/** One plot of the stack. */
export interface PanelModel {
  readonly id: string;
  readonly label: string;
  readonly symbol: string;
  readonly quantity: 'tensionPerWidth' | 'torque';
  readonly height: number;
  readonly curves: readonly Curve[];
  readonly band?: {
    readonly low: readonly number[];
    readonly high: readonly number[];
    readonly label: string;
  };
  /** Values outside are not allowed. */
  readonly lowest?: number;
  readonly highest?: number;
  /** Knob whose handles stand in this plot. */
  readonly knob?: KnobKey;
}

const values = (rows: readonly RollRow[], pick: (row: RollRow) => number | undefined): number[] =>
  rows.map((r) => pick(r) ?? Number.NaN);

function curve(
  rows: readonly RollRow[],
  label: string,
  pick: (row: RollRow) => number | undefined,
  signal: Signal,
  meaning: Curve['meaning'] = 'model',
): Curve[] {
  return rows.some((r) => pick(r) !== undefined) ? [{ label, signal, meaning, y: values(rows, pick) }] : [];
}

const smallest = (...limits: readonly (number | undefined)[]): number | undefined => {
  const stated = limits.filter((l) => l !== undefined);
  return stated.length === 0 ? undefined : Math.min(...stated);
};

/** The plots of a program, the same things in the same colours as in the report. */
export function panelsOf(roll: ProgrammedRoll, { limits, web }: Product): PanelModel[] {
  const { rows } = roll.result;
  const strength = web.strength === undefined ? undefined : limits.strengthShare * web.strength;
  const highest = smallest(limits.highestTension, strength);
  const panels: PanelModel[] = [
    {
      id: 'tension',
      label: 'Tension',
      symbol: 'T',
      quantity: 'tensionPerWidth',
      height: 160,
      knob: 'tension',
      curves: curve(rows, 'tension', (r) => r.tension, 'tension'),
      ...(limits.lowestTension !== undefined && { lowest: limits.lowestTension }),
      ...(highest !== undefined && { highest }),
    },
  ];
  const names = shareNames(roll);
  if (roll.result.knobs.some((k) => k.name === 'torque differential'))
    panels.push({
      id: 'shares',
      label: 'Shares of the tension',
      symbol: 'F',
      quantity: 'tensionPerWidth',
      height: 150,
      knob: 'torque_differential',
      curves: [
        ...curve(rows, names.first, (r) => r.share1, 'torque'),
        ...curve(rows, names.second, (r) => r.share2, 'neutral'),
        ...curve(rows, 'torque differential', (r) => r.torqueDifferential, 'neutral', 'reference'),
      ],
    });
  if (rows.some((r) => r.nip !== undefined) && roll.result.role === 'winder')
    panels.push({
      id: 'nip',
      label: 'Nip force per width',
      symbol: 'N',
      quantity: 'tensionPerWidth',
      height: 120,
      knob: 'nip',
      curves: [
        ...curve(
          rows,
          rows.some((r) => r.drumNip !== undefined) ? 'rider roller' : 'nip',
          (r) => r.nip,
          'neutral',
        ),
        ...curve(rows, 'each drum', (r) => r.drumNip, 'neutral', 'reference'),
      ],
      ...(limits.lowestNip !== undefined && { lowest: limits.lowestNip }),
      ...(limits.highestNip !== undefined && { highest: limits.highestNip }),
    });
  if (roll.result.role === 'winder' && rows.some((r) => r.woundOnTension !== undefined))
    panels.push({
      id: 'wound-on',
      label: 'Wound-on tension',
      symbol: 'WOT',
      quantity: 'tensionPerWidth',
      height: 130,
      curves: curve(rows, 'wound-on tension', (r) => r.woundOnTension, 'tension'),
      ...(rows.some((r) => r.woundOnBounds) && {
        band: {
          low: values(rows, (r) => r.woundOnBounds?.lower),
          high: values(rows, (r) => r.woundOnBounds?.upper),
          label: 'while λ is not measured',
        },
      }),
      ...(web.strength !== undefined && { highest: web.strength }),
    });
  const motors = roll.motors[0]?.map((m) => m.name) ?? [];
  if (motors.length > 0)
    panels.push({
      id: 'motors',
      label: 'Torque at motor, running',
      symbol: 'T',
      quantity: 'torque',
      height: 130,
      curves: motors.map((name, k) => ({
        label: name,
        // two motors of one roll at most: the first green, the second in ink
        signal: k === 0 ? 'torque' : 'neutral',
        meaning: 'model',
        y: roll.motors.map((m) => m[k]?.torque ?? Number.NaN),
      })),
    });
  return panels;
}

/** Value of a sampled curve between its samples. */
export function valueAtDiameter(x: readonly number[], y: readonly number[], diameter: number): number {
  const k = x.findIndex((d) => d >= diameter);
  if (k <= 0) return k === 0 && x[0] === diameter ? (y[0] as number) : Number.NaN;
  const [x0, x1, y0, y1] = [x[k - 1] as number, x[k] as number, y[k - 1] as number, y[k] as number];
  return y0 + ((y1 - y0) * (diameter - x0)) / (x1 - x0);
}

/** The numbers behind the plots, in the units shown. */
export const columnsOf = (
  diameters: readonly number[],
  panels: readonly PanelModel[],
  units: Units,
): FigureColumn[] => [
  {
    name: 'diameter',
    unit: units.unit('length').label,
    values: diameters.map((d) => units.value('length', d)),
  },
  ...panels.flatMap((p) =>
    p.curves.map((c) => ({
      name: `${p.label.toLowerCase()}, ${c.label}`,
      unit: units.unit(p.quantity).label,
      values: c.y.map((v) => units.value(p.quantity, v)),
    })),
  ),
];
