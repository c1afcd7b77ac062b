import type { RollPrediction } from '../../program/roll/predictRoll.js';
import type { Format } from '../format.js';
import type { Figure, LineMark } from '../svg/figure.js';
import { ratioAxis, ratioCaption } from './ratioAxis.js';

type Axes = Pick<Format, 'samples' | 'axis'>;

/** Largest deceleration of a stop that is braked at the core before the layers at a radius slip, with the web on and broken, and the stop that is stated. Undefined where slip is not judged. */
export function decelerationFigure(id: string, roll: RollPrediction, format: Axes): Figure | undefined {
  const drawn = samplesOf(roll, format);
  if (drawn === undefined) return undefined;
  const radius = format.samples('length', roll.radius);
  const line = (meaning: LineMark['meaning'], x: Float64Array, y: Float64Array, label: string): LineMark => ({
    kind: 'line',
    meaning,
    signal: 'speed',
    x,
    y,
    label,
  });
  const ends = Float64Array.of(radius[0] as number, radius.at(-1) as number);
  const { webOn, webBroken, stated } = drawn;
  return {
    id: `${id}-deceleration`,
    title: 'What stop the layers bear',
    description:
      'Largest deceleration of the full roll, braked at its core, before the layers at a radius slip: with its web, and after a web break.',
    x: { label: format.axis('Radius', 'r', 'length') },
    panels: [
      {
        y: axisOf(drawn, format),
        height: 150,
        marks: [
          line('model', radius, webOn, 'web on'),
          line('second-reference', radius, webBroken, 'web broken'),
          ...(stated === undefined
            ? []
            : [line('reference', ends, Float64Array.of(stated, stated), 'the stop that is stated')]),
        ],
      },
    ],
  };
}

/** What its caption has to say. */
export function decelerationCaption(roll: RollPrediction, format: Axes): string {
  const drawn = samplesOf(roll, format);
  if (drawn === undefined) return '';
  return `The full roll, friction at its low end; layers slip where a stop asks for more. ${ratioCaption('Decelerations', axisOf(drawn, format), [drawn.webOn, drawn.webBroken])}`;
}

interface Drawn {
  readonly webOn: Float64Array;
  readonly webBroken: Float64Array;
  readonly stated?: number;
}

/** In the unit shown. The lap being laid is left out, as it is where slip is judged: what is left of its demand and capacity is rounding. */
function samplesOf({ decelerationLimit: limit }: RollPrediction, format: Axes): Drawn | undefined {
  if (limit === undefined) return undefined;
  const inner = (all: Float64Array): Float64Array =>
    format.samples(
      'acceleration',
      all.map((a, i) => (i < all.length - 1 && Number.isFinite(a) ? a : Number.NaN)),
    );
  return {
    webOn: inner(limit.webOn),
    webBroken: inner(limit.webBroken),
    ...(limit.stated !== undefined && {
      stated: format.samples('acceleration', [limit.stated])[0] as number,
    }),
  };
}

function axisOf({ webOn, webBroken, stated }: Drawn, format: Axes): ReturnType<typeof ratioAxis> {
  const [one = 1] = format.samples('acceleration', [1]);
  return ratioAxis(
    format.axis('Largest deceleration', 'a', 'acceleration'),
    [webOn, webBroken],
    stated ?? one,
  );
}
