import { formatNumber, formatQuantity } from '../../../units/format.js';
import type { Length, Pressure, UnitSystem } from '../../../units/quantity.js';
import { handlingWords } from '../judgeSlip.js';
import type { RollInput } from '../rollInput.js';
import type { DesignLimits, DesignTarget } from './designTarget.js';
import { type Knob, type Knobs, steepness } from './knobs.js';
import { type ShareAt, sharesAt } from './sharesAt.js';
import type { Trial } from './trial.js';

/** A limit counts as kept within this share: residuals push a value to its limit, not behind it. */
export const slack = 0.01;

/** Limits of pressure and slope that are not kept. */
export function brokenLimits(
  tried: Trial,
  limits: DesignLimits,
  knobs: Knobs,
  input: RollInput,
  units: UnitSystem,
): string[] {
  const out: string[] = [];
  const pressure = (what: string, value: Pressure, limit: Pressure | undefined): void => {
    if (limit !== undefined && value > limit * (1 + slack))
      out.push(
        `${what} would be ${formatQuantity(value, 'pressure', units)}, above its limit of ${formatQuantity(limit, 'pressure', units)}`,
      );
  };
  pressure('the largest pressure', tried.largestPressure, limits.highestPressure);
  pressure('the pressure on the core', tried.corePressure, limits.highestCorePressure);
  const { slope: limit } = limits;
  if (limit !== undefined)
    for (const { key, at, slope } of steepness(knobs, input))
      if (slope > limit * (1 + slack))
        out.push(
          `${key} would change faster than the limit near a diameter of ${formatQuantity(at, 'length', units)}`,
        );
  return out;
}

const groupedWords = (
  at: readonly ShareAt[],
  say: (name: string, place: string) => string,
  units: UnitSystem,
): string[] => {
  const length = (d: Length): string => formatQuantity(d, 'length', units);
  return [...new Set(at.map((s) => s.name))].map((name) => {
    const own = at.filter((s) => s.name === name).map((s) => s.diameter);
    const [first, last] = [own[0] as number, own[own.length - 1] as number];
    return say(
      name,
      first === last
        ? `at a diameter of ${length(first)}`
        : `between diameters of ${length(first)} and ${length(last)}`,
    );
  });
};

/** Motors and drums that would be asked for more than they have. */
export const brokenShares = (input: RollInput, limits: DesignLimits, units: UnitSystem): string[] =>
  groupedWords(
    sharesAt(input, limits).filter((s) => s.over > slack),
    (name, place) => `${name} would be asked for more than it has ${place}`,
    units,
  );

/** Motors and drums that are used to the full, without being asked for more. */
export const standingShares = (input: RollInput, limits: DesignLimits, units: UnitSystem): string[] =>
  groupedWords(
    sharesAt(input, limits).filter((s) => s.over <= slack && s.left < slack),
    (name, place) => `${name} is used to the full ${place}`,
    units,
  );

/** Which knobs stand at their limits, and where. */
export function heldWords(
  knobs: Knobs,
  held: Int8Array,
  { names }: DesignLimits,
  units: UnitSystem,
): string[] {
  const length = (d: Length): string => formatQuantity(d, 'length', units);
  return knobs.list.flatMap((knob) =>
    ([1, -1] as const).flatMap((side) => {
      const at = knobs.diameters.filter((_, k) => held[knob.from + k] === side);
      const [first, last] = [at[0], at[at.length - 1]];
      if (first === undefined || last === undefined) return [];
      const limit = (side === 1 ? knobs.upper : knobs.lower)[knob.from] as number;
      const value =
        knob.key === 'torque differential'
          ? `${formatNumber(100 * limit, 3)} % of the tension`
          : formatQuantity(limit, 'tensionPerWidth', units);
      const place =
        first === last
          ? `at a diameter of ${length(first)}`
          : `between diameters of ${length(first)} and ${length(last)}`;
      const made = boundName(knob.key, side, names);
      return [
        `${knob.key} stands at its ${side === 1 ? 'highest' : 'lowest'}, ${value}${made === undefined ? '' : ` (${made})`}, ${place}`,
      ];
    }),
  );
}

function boundName(key: Knob['key'], side: 1 | -1, names: DesignLimits['names']): string | undefined {
  if (key === 'tension') return side === 1 ? names?.highestTension : names?.lowestTension;
  return key === 'nip' ? (side === 1 ? names?.highestNip : names?.lowestNip) : undefined;
}

/** What holds a target back besides the limits; `full` diameter of the roll [m]. Source: the trial. */
export function whatAsks(tried: Trial, target: DesignTarget, full: Length, units: UnitSystem): string {
  const { smallest } = tried;
  if (target.kind !== 'slip margin' || smallest === undefined)
    return 'within the limits no schedule of these knots comes nearer';
  const length = (x: Length): string => formatQuantity(x, 'length', units);
  const place = `at a radius of ${length(smallest.radius)}${smallest.diameter < 0.999 * full ? ` when the roll has a diameter of ${length(smallest.diameter)}` : ''}`;
  const asked = `the layers are asked most ${handlingWords[smallest.case]}, ${place}`;
  return smallest.case === 'winding' || smallest.case === 'unwinding'
    ? asked
    : `${asked}: the inertia of the roll asks there, which no schedule changes; change speed more slowly or brake at the surface`;
}
