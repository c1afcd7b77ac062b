import { boundedLeastSquares } from '../../numerics/boundedLeastSquares.js';
import { formatNumber, formatQuantity } from '../../units/format.js';
import type { Length, Pressure, Ratio, TensionPerWidth, UnitSystem } from '../../units/quantity.js';
import type { ScheduleLaw } from '../schedule/types.js';
import { predictRoll, type RollPrediction } from './predictRoll.js';
import { rollBuild } from './rollBuild.js';
import type { RollInput } from './rollInput.js';
import { isSlipping, rollStates, slipCases } from './slipCases.js';
import { windAsStated } from './windAsStated.js';

/** What a schedule is designed for. */
export type DesignTarget =
  /** The largest smallest margin against slip; reached from `wanted` on. */
  | { readonly kind: 'slip margin'; readonly wanted: Ratio }
  /** Pressure that differs least over the central 80 % of the build; reached when it differs by no more than `wanted` of its mean, up or down. */
  | { readonly kind: 'flat pressure'; readonly wanted: Ratio }
  /** Hoop stress nowhere below a floor, with the least change of the schedules. */
  | { readonly kind: 'hoop stress'; readonly floor: Pressure };

/** Lowest and highest value that a knob may take. */
export type Range = readonly [low: TensionPerWidth, high: TensionPerWidth];

/** What drive, web and traction allow. Only knobs with a range are changed. */
export interface DesignLimits {
  readonly tension: Range;
  /** Share of the tension that the torque differential may be, -1 to 1 [1]. */
  readonly differentialShare?: readonly [Ratio, Ratio];
  readonly nip?: Range;
  /** Largest slope of tension and nip: change per diameter as a share of their largest value [1/m]. */
  readonly slope?: number;
  readonly highestPressure?: Pressure;
  readonly highestCorePressure?: Pressure;
}

export interface DesignOptions {
  /** Knots of each schedule, evenly spread over the diameter: 6 to 10. */
  readonly knots?: number;
  readonly units?: UnitSystem;
  /** Told after each step of the search; false ends it with what it has. */
  onStep?(step: number, of: number): boolean;
}

export interface DesignedSchedule {
  /** The roll with the schedules that were found. */
  readonly input: RollInput;
  readonly prediction: RollPrediction;
  readonly isReached: boolean;
  /** What was reached of the target, in its own measure: margin [1], half spread over mean [1], or smallest hoop stress [Pa]. */
  readonly value: number;
  /** The same of the schedules as stated. */
  readonly before: number;
  /** Why it was not reached: what holds it back. Empty when it was. */
  readonly because: readonly string[];
  readonly steps: number;
  readonly ended: 'converged' | 'iterations' | 'stopped';
}

const mostSteps = 25;
/** Weight of a smooth schedule against the target: enough to choose among equals, too little to give way for. */
const smoothness = 0.02;
/** Weight of the limits that are no bounds of a knob. */
const strictness = 20;
/** Exponent that lets the smallest margin count nearly alone. */
const sharpness = 4;
/** Where margins and pressures are taken, evenly over the build. */
const places = 60;

/**
 * Schedules of tension, torque differential and nip over the roll that come nearest to a target within limits: values at knots, joined smoothly, by
 * least squares in a box with forward differences on the winding itself; slope and pressure limits and the smoothness of the schedules are residuals.
 * A target that the limits do not let be reached comes back with the nearest roll and what holds it [N/m, Pa, 1].
 * @throws TautlineError argument_invalid for limits without a range, and as {@link predictRoll}
 * Source: docs/models/wound-roll.md, "Designing a schedule"; the idea of optimising winding tension on slip and hoop stress: Hashimoto, Jeenkour,
 * Mongkolwongrojn, J. Adv. Mech. Design Syst. Manuf. 4(1), 2010 (abstract).
 */
export function designSchedule(
  input: RollInput,
  target: DesignTarget,
  limits: DesignLimits,
  { knots = 8, units = 'si', onStep }: DesignOptions = {},
): DesignedSchedule {
  const knobs = knobsOf(input, limits, knots);
  const before = tryRoll(input);
  const found = boundedLeastSquares({
    start: knobs.start,
    lower: knobs.lower,
    upper: knobs.upper,
    residuals: (x) => {
      const tried = tryRoll(withKnobs(input, knobs, x));
      return Float64Array.from([
        ...targetResiduals(tried, before, target),
        ...limitResiduals(tried, limits, knobs, x),
        ...shapeResiduals(knobs, x, target),
      ]);
    },
    step: 1e-3,
    maxIterations: mostSteps,
    tolerance: 1e-3,
    onIteration: (k, sum) => (onStep?.(k, mostSteps) ?? true) && !isPlenty(sum, target),
  });
  const designed = withKnobs(input, knobs, found.parameters);
  const roll = tryRoll(designed);
  const value = targetValue(roll, target);
  const broken = brokenLimits(roll, limits, knobs, found.parameters, units);
  const isReached = reaches(value, target) && broken.length === 0;
  return {
    input: designed,
    prediction: predictRoll(designed, units),
    isReached,
    value,
    before: targetValue(before, target),
    because: isReached
      ? []
      : [...broken, ...heldWords(knobs, found.held, units), whatAsks(roll, target, units)],
    steps: found.iterations,
    ended: found.ended === 'stopped' && isReached ? 'converged' : found.ended,
  };
}

/** A pressure that is flat to a fifth of what was wanted is flat: the rest of the search would only cost time. */
const isPlenty = (sumOfSquares: number, target: DesignTarget): boolean =>
  target.kind === 'flat pressure' && Math.sqrt(sumOfSquares / (0.8 * places)) < target.wanted / 10;

/** Values of a knob at the knots: a stretch of the parameters. */
interface Knob {
  readonly key: 'tension' | 'torque differential' | 'nip';
  readonly from: number;
}

interface Knobs {
  readonly diameters: readonly Length[];
  readonly list: readonly Knob[];
  readonly start: Float64Array;
  readonly lower: Float64Array;
  readonly upper: Float64Array;
}

function knobsOf(input: RollInput, limits: DesignLimits, count: number): Knobs {
  const { build, tension, torqueDifferential, nip } = rollBuild(input);
  const diameters = Array.from(
    { length: count },
    (_, k) => build.core + ((build.full - build.core) * k) / (count - 1),
  );
  const list: Knob[] = [];
  const start: number[] = [];
  const lower: number[] = [];
  const upper: number[] = [];
  const add = (
    key: Knob['key'],
    [low, high]: readonly [number, number],
    now: (d: Length) => number,
  ): void => {
    list.push({ key, from: start.length });
    for (const d of diameters) {
      start.push(Math.min(high, Math.max(low, now(d))));
      lower.push(low);
      upper.push(high);
    }
  };
  add('tension', limits.tension, (d) => tension.at(d));
  if (torqueDifferential !== undefined && limits.differentialShare !== undefined)
    add('torque differential', limits.differentialShare, (d) =>
      tension.at(d) > 0 ? torqueDifferential.at(d) / tension.at(d) : 0,
    );
  if (limits.nip !== undefined) add('nip', limits.nip, nip);
  return {
    diameters,
    list,
    start: Float64Array.from(start),
    lower: Float64Array.from(lower),
    upper: Float64Array.from(upper),
  };
}

const valuesOf = ({ diameters }: Knobs, { from }: Knob, x: Float64Array): Float64Array =>
  x.subarray(from, from + diameters.length);

function withKnobs(input: RollInput, knobs: Knobs, x: Float64Array): RollInput {
  const table = (values: ArrayLike<number>): ScheduleLaw => ({
    law: 'table',
    points: knobs.diameters.map((diameter, k) => ({ diameter, value: values[k] as number })),
  });
  let out = input;
  const [first] = knobs.list;
  const tensions = first === undefined ? new Float64Array() : valuesOf(knobs, first, x);
  for (const knob of knobs.list) {
    const values = valuesOf(knobs, knob, x);
    if (knob.key === 'tension') out = { ...out, tension: table(values) };
    else if (knob.key === 'nip') out = { ...out, nipSchedule: table(values) };
    else
      out = {
        ...out,
        torqueDifferential: table(values.map((share, k) => share * (tensions[k] as number))),
      };
  }
  return out;
}

/** A roll that was wound on trial, thinned to the places that are looked at. */
interface Trial {
  readonly pressures: Float64Array;
  readonly hoopStress: Float64Array;
  /** Margins of every case at every place. */
  readonly margins: Float64Array;
  readonly smallest?: { readonly value: Ratio; readonly radius: Length; readonly case: string };
  readonly largestPressure: Pressure;
  readonly corePressure: Pressure;
  readonly smallestHoop: Pressure;
}

function tryRoll(input: RollInput): Trial {
  const { input: own, build: made, wound, holding, webStress } = windAsStated(input);
  const stress = webStress(wound.hoopStress);
  const n = wound.pressure.length;
  const at = Array.from({ length: Math.min(places, n) }, (_, k, m = Math.min(places, n)) =>
    Math.round((k * (n - 1)) / Math.max(1, m)),
  );
  const slip = isSlipping(own)
    ? slipCases(own, holding, rollStates(own, made, made.build.full)).judged
    : undefined;
  const least = slip?.reduce((a, b) => (b.smallest.value < a.smallest.value ? b : a));
  return {
    pressures: Float64Array.from(at, (i) => wound.pressure[i] as number),
    hoopStress: Float64Array.from(at, (i) => stress[i] as number),
    margins: Float64Array.from((slip ?? []).flatMap((c) => at.map((i) => c.margin[i] as number))),
    ...(least && { smallest: { ...least.smallest, case: least.name } }),
    largestPressure: wound.pressure.reduce((a, b) => Math.max(a, b), 0),
    corePressure: wound.pressure[0] as number,
    smallestHoop: stress.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY),
  };
}

/** The central 80 % of the build. */
const central = (values: Float64Array): Float64Array =>
  values.subarray(Math.floor(0.1 * values.length), Math.ceil(0.9 * values.length));
const mean = (values: Float64Array): number => values.reduce((a, b) => a + b, 0) / values.length;

function targetResiduals(tried: Trial, before: Trial, target: DesignTarget): number[] {
  if (target.kind === 'flat pressure') {
    const p = central(tried.pressures);
    const m = mean(p);
    return Array.from(p, (v) => (m > 0 ? v / m - 1 : 1));
  }
  if (target.kind === 'slip margin') {
    const scale = before.smallest?.value ?? 1;
    return Array.from(tried.margins, (m) => (m > 0 ? Math.min(1e3, scale / m) ** sharpness : 1e3));
  }
  const short = target.floor - before.smallestHoop;
  if (short <= 0) return [0];
  // a little beyond the floor, so that smoothness does not keep it just below
  const aim = target.floor + 0.05 * short;
  return Array.from(tried.hoopStress, (v) => Math.max(0, aim - v) / short);
}

function limitResiduals(tried: Trial, limits: DesignLimits, knobs: Knobs, x: Float64Array): number[] {
  const over = (value: number, limit: number | undefined): number =>
    limit === undefined ? 0 : strictness * Math.max(0, value / limit - 1);
  return [
    over(tried.largestPressure, limits.highestPressure),
    over(tried.corePressure, limits.highestCorePressure),
    ...steepness(knobs, x).map(({ slope }) => over(slope, limits.slope)),
  ];
}

/** Slope of tension and nip between knots, as a share of their largest value a metre of diameter. */
function steepness(knobs: Knobs, x: Float64Array): { key: Knob['key']; at: Length; slope: number }[] {
  return knobs.list
    .filter(({ key }) => key !== 'torque differential')
    .flatMap((knob) => {
      const values = valuesOf(knobs, knob, x);
      const largest = values.reduce((a, b) => Math.max(a, b), 0);
      return Array.from(values.subarray(1), (v, k) => {
        const [d0, d1] = [knobs.diameters[k] as number, knobs.diameters[k + 1] as number];
        // a smooth curve through knots is steepest at half again the slope between them (monotone cubic)
        const slope = largest > 0 ? (1.5 * Math.abs(v - (values[k] as number))) / (d1 - d0) / largest : 0;
        return { key: knob.key, at: (d0 + d1) / 2, slope };
      });
    });
}

/** Among equals the smoothest schedule; for a floor of hoop stress the one that changes least. */
function shapeResiduals(knobs: Knobs, x: Float64Array, target: DesignTarget): number[] {
  const share = x.map((v, k) => v / ((knobs.upper[k] as number) - (knobs.lower[k] as number)));
  const bends = knobs.list.flatMap((knob) => {
    const v = valuesOf(knobs, knob, share);
    return Array.from(
      v.subarray(2),
      (b, k) => smoothness * (b - 2 * (v[k + 1] as number) + (v[k] as number)),
    );
  });
  if (target.kind !== 'hoop stress') return bends;
  const moved = Array.from(
    x,
    (v, k) =>
      (smoothness * (v - (knobs.start[k] as number))) /
      ((knobs.upper[k] as number) - (knobs.lower[k] as number)),
  );
  return [...bends, ...moved];
}

function targetValue(tried: Trial, target: DesignTarget): number {
  if (target.kind === 'hoop stress') return tried.smallestHoop;
  if (target.kind === 'slip margin') return tried.smallest?.value ?? Number.NaN;
  const p = central(tried.pressures);
  const m = mean(p);
  return p.reduce((worst, v) => Math.max(worst, Math.abs(v / m - 1)), 0);
}

const reaches = (value: number, target: DesignTarget): boolean =>
  target.kind === 'hoop stress'
    ? value >= target.floor
    : target.kind === 'slip margin'
      ? value >= target.wanted
      : value <= target.wanted;

/** A limit counts as kept within this share: residuals push a value to its limit, not behind it. */
const slack = 0.01;

function brokenLimits(
  tried: Trial,
  limits: DesignLimits,
  knobs: Knobs,
  x: Float64Array,
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
    for (const { key, at, slope } of steepness(knobs, x))
      if (slope > limit * (1 + slack))
        out.push(
          `${key} would change faster than the limit near a diameter of ${formatQuantity(at, 'length', units)}`,
        );
  return out;
}

/** Which knobs stand at their limits, and where. */
function heldWords(knobs: Knobs, held: Int8Array, units: UnitSystem): string[] {
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
      return [`${knob.key} stands at its ${side === 1 ? 'highest' : 'lowest'}, ${value}, ${place}`];
    }),
  );
}

/** What holds a target back besides the limits. */
function whatAsks(tried: Trial, target: DesignTarget, units: UnitSystem): string {
  const { smallest } = tried;
  if (target.kind !== 'slip margin' || smallest === undefined)
    return 'within the limits no schedule of these knots comes nearer';
  const place = `at a radius of ${formatQuantity(smallest.radius, 'length', units)}`;
  return smallest.case === 'winding'
    ? `the layers are asked most while winding, ${place}`
    : `the layers are asked most ${smallest.case === 'stop' ? 'in the stop' : 'after a web break'}, ${place}: the inertia of the roll asks there, which no schedule changes; stop more slowly or brake at the surface`;
}
