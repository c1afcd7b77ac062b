import type { RollPrediction } from '../../program/roll/predictRoll.js';
import type { HandlingName } from '../../roll/slip/handling.js';
import type { Format } from '../format.js';
import type { Samples } from '../svg/decimate.js';
import type { Figure, LineMark, Panel } from '../svg/figure.js';
import { ratioAxis, ratioCaption } from './ratioAxis.js';

/** Ways of handling that share a panel: those of the winder, and those of the unwind that the roll comes to later. */
const groups: readonly { readonly title: string; readonly names: readonly HandlingName[] }[] = [
  { title: 'Slip margin on the winder', names: ['winding', 'start', 'stop', 'web break'] },
  { title: 'Slip margin on the unwind', names: ['unwinding', 'unwinding start', 'unwinding stop'] },
];
const meanings = ['model', 'reference', 'second-reference', 'third-reference'] as const;

/** Margins of each way of handling at each diameter; where nothing is asked there is none. */
export const marginsOf = ({ slipOverDiameter: places }: RollPrediction, name: HandlingName): Float64Array =>
  Float64Array.from(places, (p) => {
    const margin = p.cases.find((c) => c.name === name)?.margin ?? Number.NaN;
    return Number.isFinite(margin) ? margin : Number.NaN;
  });

const allMargins = (roll: RollPrediction): Samples[] =>
  groups.flatMap((g) => g.names.map((name) => marginsOf(roll, name)));

/** Smallest slip margin at each diameter that the roll passes, one line for each way of handling. Undefined where slip is not judged. */
export function slipDiameterFigure(
  id: string,
  roll: RollPrediction,
  format: Pick<Format, 'samples' | 'axis'>,
): Figure | undefined {
  const { slipOverDiameter: places } = roll;
  if (places.length === 0) return undefined;
  const diameter = format.samples(
    'length',
    places.map((p) => p.diameter),
  );
  const stated = new Set(places.flatMap((p) => p.cases.map((c) => c.name)));
  const all = allMargins(roll);
  return {
    id: `${id}-slip-diameter`,
    title: 'Do the layers hold at each diameter on the way?',
    description: `Smallest slip margin in the roll at ${places.length} diameters from the core to the full roll: ${[...stated].join(', ')}. Below 1 layers slip.`,
    x: { label: format.axis('Diameter of the roll', 'D', 'length') },
    panels: groups.flatMap(({ title, names }): Panel[] => {
      const shown = names.filter((name) => stated.has(name));
      if (shown.length === 0) return [];
      return [
        {
          y: ratioAxis(title, all),
          height: 130,
          marks: [
            ...shown.map(
              (name): LineMark => ({
                kind: 'line',
                meaning: meanings[names.indexOf(name)] ?? 'model',
                signal: 'torque',
                x: diameter,
                y: marginsOf(roll, name),
                label: name,
              }),
            ),
            { kind: 'limit', from: Number.NEGATIVE_INFINITY, to: 1, label: 'layers slip' },
          ],
        },
      ];
    }),
  };
}

/** What its caption has to say. */
export const slipDiameterCaption = (roll: RollPrediction): string =>
  `At each diameter the smallest margin anywhere in the roll, with friction at its low end. ${ratioCaption('Margins', ratioAxis('', allMargins(roll)), allMargins(roll))}`;
