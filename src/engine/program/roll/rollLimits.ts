import type { Finding } from '../../findings.js';
import { formatQuantity } from '../../units/format.js';
import type { Length, Pressure, Ratio, UnitSystem } from '../../units/quantity.js';
import type { RollInput } from './rollInput.js';

/** What a wound roll is held against. */
export type RollLimitName = 'hoop stress' | 'pressure' | 'core pressure' | 'outer pressure';

export interface RollLimit {
  readonly name: RollLimitName;
  /** Where it comes nearest to the limit, or goes furthest beyond it. */
  readonly value: Pressure;
  readonly radius: Length;
  /** 0 for the hoop stress; undefined where the roll states none. */
  readonly limit?: Pressure;
  readonly isKept?: boolean;
}

/** Where the pressure is lower than further out. */
export interface PressureDip {
  readonly radius: Length;
  readonly pressure: Pressure;
  /** The highest pressure outside of it. */
  readonly outside: { readonly radius: Length; readonly pressure: Pressure };
  /** How much lower it is, as a share of that [1]. */
  readonly depth: Ratio;
}

/** Place in the build where the outer pressure is read [1]: the last laps carry next to none in every roll. Ours. */
export const outerPlace = 0.95;
/** Depths of a dip that are worth a word, and a warning; ours, no source. */
export const dipOf = { mention: 0.05, warn: 0.2 } as const;

interface Wound {
  readonly radius: Float64Array;
  readonly pressure: Float64Array;
  readonly hoopStress: Float64Array;
}

/**
 * A wound roll against what is asked of it [Pa, m]: hoop stress nowhere below 0 (conservative: every roll of constant tension is compressed inside, most of them hold), pressure and pressure on the core below what product and core bear,
 * pressure near the outside (at 95 % of the build) above what handling asks. Source: docs/models/wound-roll.md, "Limits".
 */
export function rollLimits(
  { highestPressure, highestCorePressure, lowestOuterPressure }: RollInput,
  { radius, pressure, hoopStress }: Wound,
): RollLimit[] {
  const at = (name: RollLimitName, values: Float64Array, i: number) => ({
    name,
    value: values[i] as number,
    radius: radius[i] as number,
  });
  const below = (limit: number | undefined, value: number) =>
    limit === undefined ? {} : { limit, isKept: value <= limit };
  const above = (limit: number | undefined, value: number) =>
    limit === undefined ? {} : { limit, isKept: value >= limit };
  const outer = Math.floor(outerPlace * (pressure.length - 1));
  const stress = at('hoop stress', hoopStress, indexOfSmallest(hoopStress));
  const most = at('pressure', pressure, indexOfLargest(pressure));
  const core = at('core pressure', pressure, 0);
  const outside = at('outer pressure', pressure, outer);
  return [
    { ...stress, ...above(0, stress.value) },
    { ...most, ...below(highestPressure, most.value) },
    { ...core, ...below(highestCorePressure, core.value) },
    { ...outside, ...above(lowestOuterPressure, outside.value) },
  ];
}

/**
 * The deepest place in a roll where the pressure is lower than somewhere further out, or nothing where it falls outwards all the way [Pa, m, 1]: tight laps on soft ones, which starring comes from. The innermost such place counts too: a roll that is softer at its core than outside.
 * Source: definition; docs/models/wound-roll.md, "Limits".
 */
export function pressureDip({
  radius,
  pressure,
}: Pick<Wound, 'radius' | 'pressure'>): PressureDip | undefined {
  let outside = pressure.length - 1;
  let found: { at: number; outside: number; depth: number } | undefined;
  for (let i = pressure.length - 1; i >= 0; i--) {
    const [here, there] = [pressure[i] as number, pressure[outside] as number];
    if (here >= there) outside = i;
    else if (1 - here / there > (found?.depth ?? 0)) found = { at: i, outside, depth: 1 - here / there };
  }
  if (found === undefined) return undefined;
  return {
    radius: radius[found.at] as number,
    pressure: pressure[found.at] as number,
    outside: { radius: radius[found.outside] as number, pressure: pressure[found.outside] as number },
    depth: found.depth,
  };
}

/** What is to be said where a limit is not kept, and of a dip that is deep enough. Source: docs/errors.md. */
export function limitFindings(
  limits: readonly RollLimit[],
  dip: PressureDip | undefined,
  units: UnitSystem,
): Finding[] {
  const show: Show = {
    pressure: (x) => formatQuantity(x, 'pressure', units),
    length: (x) => formatQuantity(x, 'length', units),
  };
  const broken = limits.filter((l) => l.isKept === false).map((l) => brokenLimit[l.name](l, show));
  return dip === undefined || dip.depth < dipOf.mention ? broken : [...broken, dipFinding(dip, show)];
}

interface Show {
  readonly pressure: (x: Pressure) => string;
  readonly length: (x: Length) => string;
}

const brokenLimit: Readonly<Record<RollLimitName, (limit: RollLimit, show: Show) => Finding>> = {
  'hoop stress': ({ value, radius }, show) => ({
    code: 'hoop_compression',
    severity: 'info',
    message: `the web is in compression along its length from ${show.pressure(value)} at a radius of ${show.length(radius)}; every roll of constant tension is, inside`,
    where: { pointer: 'wind.tension' },
    next: 'compare with rolls that buckled or starred on this line before changing anything',
  }),
  pressure: ({ value, limit = 0 }, show) => ({
    code: 'pressure_too_high',
    severity: 'warn',
    message: `the pressure reaches ${show.pressure(value)}, above the ${show.pressure(limit)} that the product bears`,
    where: { pointer: 'limits' },
    next: 'lower tension, or taper',
  }),
  'core pressure': ({ value, limit = 0 }, show) => ({
    code: 'core_pressure_too_high',
    severity: 'warn',
    message: `the pressure on the core reaches ${show.pressure(value)}, above the ${show.pressure(limit)} that it bears`,
    where: { pointer: 'limits' },
    next: 'start with less tension, or wind on a core that bears more',
  }),
  'outer pressure': ({ value, radius, limit = 0 }, show) => ({
    code: 'outer_pressure_low',
    severity: 'warn',
    message: `near the outside, at a radius of ${show.length(radius)}, the pressure is ${show.pressure(value)}, below the ${show.pressure(limit)} that are asked for`,
    where: { pointer: 'limits' },
    next: 'end with more tension or nip: less taper',
  }),
};

const dipFinding = ({ radius, pressure, outside, depth }: PressureDip, show: Show): Finding => ({
  code: 'pressure_dip',
  severity: depth < dipOf.warn ? 'info' : 'warn',
  message: `at a radius of ${show.length(radius)} the pressure is ${show.pressure(pressure)}, ${(100 * depth).toPrecision(2)} % lower than further out, at ${show.length(outside.radius)}: tight laps on softer ones, which starring comes from`,
  where: { pointer: 'wind.tension' },
  next: 'start tighter or taper more, and look at the stiffness of the core',
});

const indexOfSmallest = (values: Float64Array): number =>
  values.reduce((at, v, i) => (v < (values[at] as number) ? i : at), 0);
const indexOfLargest = (values: Float64Array): number =>
  values.reduce((at, v, i) => (v > (values[at] as number) ? i : at), 0);
