import type { RollPrediction } from '../../program/roll/predictRoll.js';
import type { Format } from '../format.js';
import type { Figure } from '../svg/figure.js';

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
    description: `Pressure between laps, stress along the web and slip margin over the radius of a roll of ${roll.radius.length} laps.`,
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
              y: {
                label: 'Slip margin',
                include: [0],
                range: [0, marginTop(roll.slip.smallest.value)] as const,
              },
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

/** Margins rise without end towards the outside; the picture shows where they are small. */
const marginTop = (smallest: number): number => Math.max(3, Number.isFinite(smallest) ? 5 * smallest : 3);
