import type { RollPrediction } from '../../program/roll/predictRoll.js';
import { floatsBelow } from '../../program/roll/rollAir.js';
import type { Format } from '../format.js';
import type { Figure, LineMark } from '../svg/figure.js';

/** Air between the laps over the radius, as laid and under pressure, and the friction that it leaves. Undefined where a roll has none. */
export function airFigure(
  id: string,
  { air, radius: radii }: RollPrediction,
  format: Pick<Format, 'samples' | 'axis'>,
): Figure | undefined {
  if (air === undefined) return undefined;
  const radius = format.samples('length', radii);
  const line = (meaning: LineMark['meaning'], y: Float64Array, label: string): LineMark => ({
    kind: 'line',
    meaning,
    signal: 'neutral',
    x: radius,
    y,
    label,
  });
  return {
    id: `${id}-air`,
    title: 'Air between the laps',
    description:
      'Film of air as each lap is laid, what is left of it under the pressure of the full roll, and the share of friction that it leaves, over the radius.',
    x: { label: format.axis('Radius', 'r', 'length') },
    panels: [
      {
        y: { label: format.axis('Air above a lap', 'h', 'caliper'), include: [0] },
        height: 130,
        marks: [
          line('reference', format.samples('caliper', air.film), 'as laid'),
          line('model', format.samples('caliper', air.left), 'left under pressure'),
        ],
      },
      ...(air.frictionShare === undefined
        ? []
        : [
            {
              y: { label: 'Friction left [%]', include: [0, 100] },
              height: 110,
              marks: [
                line(
                  'model',
                  air.frictionShare.map((s) => 100 * s),
                  'of the friction without air',
                ),
                {
                  kind: 'limit' as const,
                  from: Number.NEGATIVE_INFINITY,
                  to: 100 * floatsBelow,
                  label: 'layers can slide sideways',
                },
              ],
            },
          ]),
    ],
  };
}
