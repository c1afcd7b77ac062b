import type { JLine } from '../engine/program/roll/jLines.js';
import { handlingWords } from '../engine/program/roll/judgeSlip.js';
import type { RollPrediction } from '../engine/program/roll/predictRoll.js';
import { formatNumber, formatQuantity } from '../engine/units/format.js';
import type { QuantityKey, UnitSystem } from '../engine/units/quantity.js';
import { textTable } from './table.js';

/** Rows of the table over the diameter. */
const rows = 6;
/** A line that bends by less than this cannot be read on the side of a roll [m]. */
const readable = 1e-4;

/** What a person reads of a roll's limits, of slip at each diameter on the way, and of lines on its side. */
export function rollSlipText(roll: RollPrediction, units: UnitSystem): string[] {
  const show = (x: number, quantity: QuantityKey): string => formatQuantity(x, quantity, units, 4);
  return [
    'limits:',
    textTable(
      ['', 'reaches', 'at a radius of', 'limit', ''],
      roll.limits.map(({ name, value, radius, limit, isKept }) => [
        name,
        show(value, 'pressure'),
        show(radius, 'length'),
        limit === undefined ? 'none stated' : show(limit, 'pressure'),
        isKept === undefined ? '' : isKept ? 'kept' : 'not kept',
      ]),
    ),
    '',
    ...overDiameter(roll, show),
    ...roll.jLines.flatMap((line) => lineText(line, show)),
  ];
}

type Show = (x: number, quantity: QuantityKey) => string;

function overDiameter({ slipOverDiameter: places }: RollPrediction, show: Show): string[] {
  const last = places.at(-1);
  if (last === undefined || !places.some((p) => p.cases.some((c) => Number.isFinite(c.margin)))) return [];
  const picked = [
    ...new Set(Array.from({ length: rows }, (_, k) => Math.round((k * (places.length - 1)) / (rows - 1)))),
  ];
  const margin = (x: number): string => (Number.isFinite(x) ? formatNumber(x, 3) : '');
  return [
    'slip margin at each diameter on the way:',
    textTable(
      ['diameter', ...last.cases.map((c) => c.name)],
      picked.map((k) => [
        show(places[k].diameter, 'length'),
        ...places[k].cases.map((c) => margin(c.margin)),
      ]),
    ),
    '',
  ];
}

function lineText({ struckAt, radius, elasticShift, steps }: JLine, show: Show): string[] {
  const most = elasticShift.reduce((at, d, i) => (Math.abs(d) > Math.abs(elasticShift[at]) ? i : at), 0);
  const bent = Math.abs(elasticShift[most]);
  return [
    `line struck at a diameter of ${show(struckAt, 'length')}: ${
      bent < readable
        ? `bent elastically by less than ${show(readable, 'length')}`
        : `bent elastically by up to ${show(bent, 'length')} ${elasticShift[most] > 0 ? 'in' : 'against'} winding direction, at a radius of ${show(radius[most], 'length')}; that goes back with the torque`
    }`,
    ...steps.map(
      ({ name, diameter, radius: at, arc, direction }) =>
        `  ${handlingWords[name]}, at a diameter of ${show(diameter, 'length')}: a jump of ${Number.isFinite(arc) ? show(arc, 'length') : 'more than a turn'} at a radius of ${show(at, 'length')}, the inside ${direction > 0 ? 'ahead' : 'behind'}, which stays`,
    ),
    '',
  ];
}
