import type { RollPrediction } from '../../program/roll/predictRoll.js';
import { dipOf } from '../../program/roll/rollLimits.js';
import { type Format, shortNumber } from '../format.js';
import type { Fact } from '../reportTree.js';
import { threeDigits } from './shiftUnit.js';
import { keptWords, limitWords, slipRows } from './slipRows.js';

type Words = Pick<Format, 'withUnit'>;

/** What a roll amounts to, in words and numbers: the same in the report and in the workbench. */
export function rollFacts(p: RollPrediction, format: Words): Fact[] {
  const pressure = (x: number): string => format.withUnit('pressure', x);
  const length = (x: number): string => format.withUnit('length', x);
  return [
    { label: 'Laps', value: String(p.radius.length) },
    { label: 'Pressure at the core', value: pressure(p.corePressure) },
    ...fact('in the middle of the build', p.plateauPressure, pressure),
    {
      label: 'Smallest hoop stress',
      value: `${pressure(p.minimumHoopStress.value)} at a radius of ${length(p.minimumHoopStress.radius)}`,
    },
    ...limitFacts(p, format),
    ...holdFacts(p, format),
    ...onTheWayFacts(p, format),
    ...brakingFacts(p, format),
    ...compressedFacts(p, format),
    ...airFacts(p, format),
    {
      label: 'Error of the calculation',
      value: `about ${percent(p.scheme.error)} of the largest pressure`,
    },
  ];
}

/** Limits that are stated; the hoop stress, whose limit nobody states, is a fact by itself. */
function limitFacts({ limits, dip }: RollPrediction, format: Words): Fact[] {
  const pressure = (x: number): string => format.withUnit('pressure', x);
  return [
    ...limits.flatMap((l) =>
      l.limit === undefined || l.name === 'hoop stress'
        ? []
        : [
            {
              label: limitWords[l.name],
              value: `${pressure(l.value)}, ${l.name === 'outer pressure' ? 'at least' : 'at most'} ${pressure(l.limit)} stated: ${keptWords(l)}`,
            },
          ],
    ),
    ...(dip === undefined || dip.depth < dipOf.mention
      ? []
      : [
          {
            label: 'Pressure dips',
            value: `by ${percent(dip.depth)} at a radius of ${format.withUnit('length', dip.radius)}, against further out`,
          },
        ]),
  ];
}

/** What layers hold in each way of handling on the winder, and in the worst on the unwind. */
function holdFacts({ slipCases }: RollPrediction, format: Words): Fact[] {
  const asked = slipCases.filter((c) => Number.isFinite(c.smallest.value));
  const words = ({ smallest }: RollPrediction['slipCases'][number]): string =>
    `${threeDigits(smallest.value)} times what is asked, at a radius of ${format.withUnit('length', smallest.radius)}`;
  const isOfUnwind = (name: string): boolean => name.startsWith('unwinding');
  const [worst] = asked.filter((c) => isOfUnwind(c.name)).sort((a, b) => a.smallest.value - b.smallest.value);
  return [
    ...asked
      .filter((c) => !isOfUnwind(c.name))
      .map((c) => ({ label: `Layers hold, ${c.name}`, value: words(c) })),
    ...(worst === undefined ? [] : [{ label: `on the unwind, ${worst.name} at worst`, value: words(worst) }]),
  ];
}

/** The way of handling that comes nearest to slip before the roll is full, where that is nearer than the full roll comes in any. */
function onTheWayFacts(p: RollPrediction, format: Words): Fact[] {
  const rows = slipRows(p);
  const full = Math.min(...rows.map((r) => r.full ?? Number.POSITIVE_INFINITY));
  const [least] = rows
    .flatMap(({ name, worst }) => (worst === undefined ? [] : [{ name, ...worst }]))
    .sort((a, b) => a.margin - b.margin);
  if (least === undefined || !(least.margin < full)) return [];
  return [
    {
      label: 'On the way it holds at least',
      value: `${threeDigits(least.margin)} times what is asked, ${least.name}, at a diameter of ${format.withUnit('length', least.diameter)}`,
    },
  ];
}

function brakingFacts({ largestDeceleration, frictionUsed }: RollPrediction, format: Words): Fact[] {
  const limit = (x: number): string =>
    x === Number.POSITIVE_INFINITY ? 'any deceleration' : format.withUnit('acceleration', x);
  return [
    ...fact('Braked at the core it holds up to', largestDeceleration?.webOn, limit),
    ...fact('after a web break', largestDeceleration?.webBroken, limit),
    ...fact('Friction, its low end', frictionUsed, shortNumber),
  ];
}

/** Size and weight of the roll with its layers compressed, and by how much they are. */
function compressedFacts({ compressed, stackStrain, radius }: RollPrediction, format: Words): Fact[] {
  const { outerRadius, density } = compressed;
  const length = (x: number): string => format.withUnit('length', x);
  const [innermost = Number.NaN, next = Number.NaN] = radius;
  const asLaid = innermost + radius.length * (next - innermost);
  return [
    ...fact(
      'Diameter, layers compressed',
      Number.isFinite(outerRadius) ? outerRadius : undefined,
      (x) =>
        `${length(2 * x)}${Number.isFinite(asLaid) ? `, against ${length(2 * asLaid)} with none compressed` : ''}`,
    ),
    ...fact('Density of the roll', density, (x) => format.withUnit('density', x)),
    ...fact(
      'Layers are compressed by',
      Number.isFinite(stackStrain) ? stackStrain : undefined,
      (x) => `${percent(x)} at the most`,
    ),
  ];
}

function airFacts({ air }: RollPrediction, format: Words): Fact[] {
  if (air === undefined) return [];
  const caliper = (x: number): string => format.withUnit('caliper', x);
  return [
    {
      label: 'Air taken along',
      value: `${caliper(mean(air.film))} a lap, of which ${caliper(mean(air.left))} stay under pressure; means of all laps`,
    },
    { label: 'A lap with its air', value: `${caliper(air.lapThickness)} thick` },
  ];
}

const fact = (label: string, value: number | undefined, words: (x: number) => string): Fact[] =>
  value === undefined ? [] : [{ label, value: words(value) }];

const percent = (share: number): string => `${shortNumber(Number((100 * share).toPrecision(2)))} %`;
const mean = (of: Float64Array): number => of.reduce((a, b) => a + b, 0) / of.length;
