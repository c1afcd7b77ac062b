import { TautlineError, type Where } from '../../errors.js';
import { pchip } from '../../numerics/pchip.js';
import type { Curve } from '../../numerics/piecewiseCubic.js';
import type { Length, Ratio } from '../../units/quantity.js';
import type { HardStart, ScheduleLaw, SchedulePoint } from './types.js';

/** The diameters between which a roll builds up [m]. */
export interface Build {
  readonly core: Length;
  readonly full: Length;
}

/** A law between core and full roll, with the diameters at which its higher derivatives may jump. */
export interface LawCurve extends Curve {
  readonly breaks: readonly Length[];
  readonly taper?: Ratio;
}

/** Refuses a schedule, naming it. */
export function refuse(name: string, where: Where, message: string, next: string): never {
  throw new TautlineError('argument_invalid', { schedule: name, ...where }, `${name}: ${message}`, next);
}

/** Share of linear in the law's shape: 1 linear, 0 hyperbolic, between them a blend [1]. */
const linearShare = (law: Exclude<ScheduleLaw, { law: 'constant' | 'table' }>): Ratio =>
  law.law === 'blend' ? law.linearShare : Number(law.law === 'linear');

/**
 * What a taper of 1 takes off by the full roll, a + (1 − a)·(1 − D₀/D₁) [1]: 1 for linear, less for hyperbolic. a share of linear [1], D₀ core
 * and D₁ full diameter [m]. Source: the laws at D = D₁.
 */
export const fullFall = (a: Ratio, { core, full }: Build): Ratio => a + (1 - a) * (1 - core / full);

/**
 * Value at the full roll that a taper leaves, start·(1 − taper·{a + (1 − a)·(1 − D₀/D₁)}), in the unit of start [N/m].
 * Source: the laws at D = D₁.
 */
export const endFromTaper = (start: number, taper: Ratio, a: Ratio, build: Build): number =>
  start - taper * start * fullFall(a, build);

/**
 * Taper that leaves an end value, (1 − end/start)/{a + (1 − a)·(1 − D₀/D₁)} [1]. start, end in one unit [N/m], start not 0.
 * Source: inverse of {@link endFromTaper}.
 */
export const taperFromEnd = (start: number, end: number, a: Ratio, build: Build): Ratio =>
  (start - end) / (start * fullFall(a, build));

/** The law as a curve over diameter. @throws TautlineError argument_invalid for what cannot be followed */
export function lawCurve(law: ScheduleLaw, build: Build, name: string, mayBeNegative: boolean): LawCurve {
  if (law.law === 'table') return tableCurve(law.points, build, name, mayBeNegative);
  const { start } = law;
  if (!Number.isFinite(start)) refuse(name, { start }, `starts at ${start}`, 'state a finite start value');
  if (start < 0 && !mayBeNegative)
    refuse(name, { start }, `starts at ${start}, below 0`, 'state a start value of at least 0');
  if (law.law === 'constant') return { value: () => start, derivative: () => 0, breaks: [] };
  return fallingCurve(law, build, name, mayBeNegative);
}

function fallingCurve(
  law: Exclude<ScheduleLaw, { law: 'constant' | 'table' }>,
  build: Build,
  name: string,
  mayBeNegative: boolean,
): LawCurve {
  const { core, full } = build;
  const { start, taper, end } = law;
  const a = linearShare(law);
  if (!(a >= 0 && a <= 1))
    refuse(name, { linearShare: a }, `the share of linear is ${a}`, 'state a share from 0 to 1');
  if ((taper === undefined) === (end === undefined))
    refuse(
      name,
      { law: law.law },
      taper === undefined ? 'neither taper nor end is stated' : 'both taper and end are stated',
      'state either the taper or the end value',
    );
  const last = end ?? endFromTaper(start, taper as number, a, build);
  if (!Number.isFinite(last))
    refuse(name, taper === undefined ? { end: last } : { taper }, `ends at ${last}`, 'state a finite value');
  // The laws are monotone, so both ends at or above 0 mean all of it.
  if (last < 0 && !mayBeNegative)
    refuse(
      name,
      taper === undefined ? { end: last } : { taper, end: last },
      taper === undefined ? `ends at ${last}, below 0` : `a taper of ${taper} drives it to ${last}, below 0`,
      `state a taper of at most ${(1 / fullFall(a, build)).toPrecision(4)} or an end of at least 0`,
    );
  const drop = taper === undefined ? (start - last) / fullFall(a, build) : taper * start;
  const perDiameter = a / (full - core);
  // rounding must not carry a monotone law beyond its ends, least of all below 0
  const [low, high] = start < last ? [start, last] : [last, start];
  const value = (d: Length): number =>
    Math.min(high, Math.max(low, start - drop * (perDiameter * (d - core) + (1 - a) * (1 - core / d))));
  return {
    value: (d) => (d === full ? last : value(d)),
    derivative: (d) => -drop * (perDiameter + ((1 - a) * core) / (d * d)),
    breaks: [],
    ...(start !== 0 ? { taper: taper ?? taperFromEnd(start, last, a, build) } : {}),
  };
}

/**
 * Monotone cubic through the points. Where the table starts after the core or ends before the full roll its end value is held: the held
 * stretch is a point of the table, so that value and slope go on without a step.
 */
function tableCurve(
  points: readonly SchedulePoint[],
  { core, full }: Build,
  name: string,
  mayBeNegative: boolean,
): LawCurve {
  if (points.length < 2)
    refuse(
      name,
      { points: points.length },
      `a table of ${points.length} points`,
      'state two or more points, or a constant',
    );
  points.forEach(({ diameter, value }, index) => {
    const where = { point: index, diameter, value };
    if (!(Number.isFinite(diameter) && Number.isFinite(value)))
      refuse(name, where, `point ${index} is (${diameter} m, ${value})`, 'state finite numbers');
    if (value < 0 && !mayBeNegative)
      refuse(name, where, `point ${index} is ${value}, below 0`, 'state values of at least 0');
    const before = points[index - 1];
    if (before !== undefined && !(diameter > before.diameter))
      refuse(
        name,
        where,
        `the diameter goes from ${before.diameter} m to ${diameter} m at point ${index}`,
        'sort the points by diameter, each diameter once',
      );
  });
  const first = points[0];
  const last = points[points.length - 1];
  if (first.diameter >= full || last.diameter <= core)
    refuse(
      name,
      { from: first.diameter, to: last.diameter, core, full },
      `the table from ${first.diameter} m to ${last.diameter} m lies beside the roll from ${core} m to ${full} m`,
      'state points between core and full roll',
    );
  const held = [
    ...(first.diameter > core ? [{ diameter: core, value: first.value }] : []),
    ...points,
    ...(last.diameter < full ? [{ diameter: full, value: last.value }] : []),
  ];
  const curve = pchip(
    Float64Array.from(held, (p) => p.diameter),
    Float64Array.from(held, (p) => p.value),
  );
  const breaks = held.map((p) => p.diameter).filter((d) => d > core && d < full);
  // between monotone pieces nothing lies beyond the points but by rounding
  const [low, high] = [Math.min(...held.map((p) => p.value)), Math.max(...held.map((p) => p.value))];
  return {
    value: (d) => Math.min(high, Math.max(low, curve.value(d))),
    derivative: curve.derivative,
    breaks,
  };
}

/**
 * A curve with a hard start on it: times 1 + b·(1 − 3u² + 2u³), u = (D − D₀)/depth. b boost [1], depth [m].
 * @throws TautlineError argument_invalid for a boost of -1 or less, a depth that is not within the build-up
 * Source: cubic with slope 0 at both ends; the form is ours.
 */
export function withHardStart(
  law: LawCurve,
  { boost, depth }: HardStart,
  { core, full }: Build,
  name: string,
): LawCurve {
  if (!(boost > -1 && Number.isFinite(boost)))
    refuse(
      name,
      { boost },
      `a hard start of ${boost} times the law`,
      'state a boost above -1, 0.1 for 10 % more',
    );
  if (!(depth > 0 && depth <= full - core))
    refuse(
      name,
      { depth, buildUp: full - core },
      `a hard start over ${depth} m of diameter, with ${full - core} m to build`,
      'state a depth above 0 and within the build-up',
    );
  return {
    ...law,
    value(d) {
      const u = (d - core) / depth;
      const value = law.value(d);
      return u >= 1 ? value : value * (1 + boost * (1 - u * u * (3 - 2 * u)));
    },
    derivative(d) {
      const u = (d - core) / depth;
      const slope = law.derivative(d);
      if (u >= 1) return slope;
      return (
        slope * (1 + boost * (1 - u * u * (3 - 2 * u))) - (law.value(d) * boost * 6 * u * (1 - u)) / depth
      );
    },
    breaks: [...law.breaks, core + depth].sort((x, y) => x - y),
  };
}
