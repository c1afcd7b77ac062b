import type { RollPrediction } from '../../program/roll/predictRoll.js';
import { type Format, shortNumber } from '../format.js';
import type { Fact } from '../reportTree.js';

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
    ...p.slipCases
      .filter((c) => Number.isFinite(c.smallest.value))
      .map((c) => ({
        label: `Layers hold, ${c.name}`,
        value: `${shortNumber(c.smallest.value)} times what is asked, least at a radius of ${length(c.smallest.radius)}`,
      })),
    ...brakingFacts(p, format),
    ...compressedFacts(p, format),
    ...airFacts(p, format),
    {
      label: 'Error of the calculation',
      value: `about ${percent(p.scheme.error)} of the largest pressure`,
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
