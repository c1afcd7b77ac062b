import type { RollPrediction } from '../../program/roll/predictRoll.js';
import type { Band, RollBand } from '../../program/roll/rollBand.js';
import type { Format } from '../format.js';
import type { Figure } from '../svg/figure.js';
import { ratioAxis, ratioCaption } from './ratioAxis.js';

/** Pressure, hoop stress and slip margin over the radius of a roll. */
export function rollFigure(
  id: string,
  title: string,
  roll: RollPrediction,
  format: Pick<Format, 'samples' | 'axis'>,
): Figure {
  const radius = format.samples('length', roll.radius);
  const line = (y: Float64Array, signal: 'neutral' | 'tension' | 'torque', label: string) => ({
    kind: 'line' as const,
    meaning: 'model' as const,
    signal,
    x: radius,
    y,
    label,
  });
  return {
    id: `${id}-roll`,
    title,
    description:
      `Pressure between laps, stress along the web and slip margin over the radius of a roll of ${roll.radius.length} laps. ${marginCaption([roll])}`.trim(),
    x: { label: format.axis('Radius', 'r', 'length') },
    panels: [
      {
        y: { label: format.axis('Pressure between laps', 'P', 'pressure'), include: [0] },
        height: 150,
        marks: [line(format.samples('pressure', roll.pressure), 'neutral', 'pressure')],
      },
      {
        y: { label: format.axis('Stress along the web', 'σ', 'pressure'), include: [0] },
        height: 150,
        marks: [line(format.samples('pressure', roll.hoopStress), 'tension', 'hoop stress')],
      },
      ...(roll.slip
        ? [
            {
              y: ratioAxis('Slip margin', margins([roll])),
              height: 120,
              marks: [
                line(roll.slip.margin, 'torque', 'torque held over torque asked'),
                { kind: 'limit' as const, from: Number.NEGATIVE_INFINITY, to: 1, label: 'layers slip' },
              ],
            },
          ]
        : []),
    ],
  };
}

/** A roll beside another one. */
export interface ComparedRoll {
  readonly name: string;
  readonly roll: RollPrediction;
  /** What it may hold, given how uncertain its web is. */
  readonly band?: RollBand;
}

/**
 * Several rolls over one radius: wound-on tension, pressure, hoop stress and slip margin. The first is drawn solid, the second dashed, the third
 * dash-dotted; the margins are those of the case that is judged. A band lies behind the roll that it belongs to.
 */
export function rollComparisonFigure(
  id: string,
  title: string,
  rolls: readonly ComparedRoll[],
  format: Pick<Format, 'samples' | 'axis'>,
): Figure {
  const meanings = ['model', 'reference', 'second-reference'] as const;
  const lines = (signal: 'neutral' | 'tension' | 'torque', of: (roll: RollPrediction) => Float64Array) =>
    rolls.map(({ name, roll }, k) => ({
      kind: 'line' as const,
      meaning: meanings[Math.min(k, meanings.length - 1)] as (typeof meanings)[number],
      signal,
      x: format.samples('length', roll.radius),
      y: of(roll),
      label: name,
    }));
  const bands = (signal: 'neutral' | 'tension', of: (band: RollBand) => Band) =>
    rolls.flatMap(({ band }) =>
      band === undefined
        ? []
        : [
            {
              kind: 'band' as const,
              signal,
              x: format.samples('length', band.radius),
              low: format.samples('pressure', of(band).low),
              high: format.samples('pressure', of(band).high),
              label: '95 % of the rolls',
            },
          ],
    );
  return {
    id: `${id}-rolls`,
    title,
    description:
      `Wound-on tension, pressure between laps, stress along the web and slip margin over the radius, for ${rolls.map((r) => r.name).join(', ')}. ${marginCaption(rolls.map((r) => r.roll))}`.trim(),
    x: { label: format.axis('Radius', 'r', 'length') },
    panels: [
      {
        y: { label: format.axis('Wound-on tension', 'WOT', 'tensionPerWidth'), include: [0] },
        height: 110,
        marks: lines('tension', (r) => format.samples('tensionPerWidth', r.woundOnTension)),
      },
      {
        y: { label: format.axis('Pressure between laps', 'P', 'pressure'), include: [0] },
        height: 140,
        marks: [
          ...bands('neutral', (b) => b.pressure),
          ...lines('neutral', (r) => format.samples('pressure', r.pressure)),
        ],
      },
      {
        y: { label: format.axis('Stress along the web', 'σ', 'pressure'), include: [0] },
        height: 140,
        marks: [
          ...bands('tension', (b) => b.hoopStress),
          ...lines('tension', (r) => format.samples('pressure', r.hoopStress)),
        ],
      },
      ...(rolls.every(({ roll }) => roll.slip)
        ? [
            {
              y: ratioAxis('Slip margin', margins(rolls.map((r) => r.roll))),
              height: 120,
              marks: [
                ...lines('torque', (r) => r.slip?.margin ?? new Float64Array()),
                { kind: 'limit' as const, from: Number.NEGATIVE_INFINITY, to: 1, label: 'layers slip' },
              ],
            },
          ]
        : []),
    ],
  };
}

/** Those of the lap being laid are rounding, as where slip is judged. */
const margins = (rolls: readonly RollPrediction[]): Float64Array[] =>
  rolls.flatMap(({ slip }) => slip?.margin.subarray(0, -1) ?? []);

/** What a caption has to say of the slip margins of rolls: their scale, and what lies outside of it; nothing where slip is not judged. */
export function marginCaption(rolls: readonly RollPrediction[]): string {
  const all = margins(rolls);
  return all.length === 0 ? '' : ratioCaption('Slip margins', ratioAxis('', all), all);
}
