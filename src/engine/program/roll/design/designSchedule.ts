import { boundedLeastSquares } from '../../../numerics/boundedLeastSquares.js';
import type { UnitSystem } from '../../../units/quantity.js';
import { predictRoll, type RollPrediction } from '../predictRoll.js';
import { rollBuild } from '../rollBuild.js';
import type { RollInput } from '../rollInput.js';
import type { DesignLimits, DesignTarget } from './designTarget.js';
import { brokenLimits, brokenShares, heldWords, standingShares, whatAsks } from './designWords.js';
import { type Knobs, knobsOf, steepness, valuesOf, withKnobs } from './knobs.js';
import { sharesAt } from './sharesAt.js';
import { places, type Trial, tryRoll } from './trial.js';

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
/** Knots that are tried before the wanted number: straight schedules and bent ones find the way that many knots at their limits of slope would block. */
const coarser = [2, 4];
/** Weight of a smooth schedule against the target: enough to choose among equals, too little to give way for. */
const smoothness = 0.02;
/** Weight of the limits that are no bounds of a knob. */
const strictness = 20;
/** Exponent that lets the smallest margin count nearly alone. */
const sharpness = 4;

/**
 * Schedules of tension, torque differential and nip over the roll that come nearest to a target within limits: values at knots, joined smoothly, by
 * least squares in a box with forward differences on the winding itself, first with few knots and then with all; slope and pressure limits and the smoothness of the schedules are residuals.
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
  const before = tryRoll(input);
  const levels = [...coarser.filter((n) => n < knots), knots];
  const search = (from: RollInput, count: number, level: number) => {
    const own = knobsOf(from, limits, count);
    const stated = knobsOf(input, limits, count).start;
    const found = boundedLeastSquares({
      start: own.start,
      lower: own.lower,
      upper: own.upper,
      residuals: (x) => {
        const changed = withKnobs(input, own, x);
        const tried = tryRoll(changed);
        return Float64Array.from([
          ...targetResiduals(tried, before, target),
          ...limitResiduals(tried, limits, own, changed),
          ...sharesAt(changed, limits).map(({ over }) => strictness * over),
          ...shapeResiduals(own, stated, x, target),
        ]);
      },
      step: 1e-3,
      maxIterations: mostSteps,
      tolerance: 1e-3,
      onIteration: (k, sum) =>
        (onStep?.(level * mostSteps + k, levels.length * mostSteps) ?? true) && !isPlenty(sum, target),
    });
    return { found, knobs: own, roll: withKnobs(input, own, found.parameters) };
  };
  let last = search(input, levels[0] as number, 0);
  let steps = last.found.iterations;
  for (let level = 1; level < levels.length && last.found.ended !== 'stopped'; level++) {
    last = search(last.roll, levels[level] as number, level);
    steps += last.found.iterations;
  }
  const { held, ended } = last.found;
  // However few knots were enough, the schedule is stated in the wanted number of them.
  const fine = knobsOf(last.roll, limits, knots);
  const designed = withKnobs(input, fine, fine.start);
  const roll = tryRoll(designed);
  const value = targetValue(roll, target);
  const broken = [
    ...brokenLimits(roll, limits, fine, designed, units),
    ...brokenShares(designed, limits, units),
  ];
  const isReached = reaches(value, target) && broken.length === 0;
  return {
    input: designed,
    prediction: predictRoll(designed, units),
    isReached,
    value,
    before: targetValue(before, target),
    because: isReached
      ? []
      : [
          ...broken,
          ...heldWords(last.knobs, held, limits, units),
          ...standingShares(designed, limits, units),
          whatAsks(roll, target, rollBuild(designed).build.full, units),
        ],
    steps,
    ended: ended === 'stopped' && isReached ? 'converged' : ended,
  };
}

/** A pressure that is flat to a fifth of what was wanted is flat: the rest of the search would only cost time. */
const isPlenty = (sumOfSquares: number, target: DesignTarget): boolean =>
  target.kind === 'flat pressure' && Math.sqrt(sumOfSquares / (0.8 * places)) < target.wanted / 10;

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
    // Rolls on the way add terms, not weight, against limits and smoothness.
    const weight = 1 / Math.sqrt(tried.rolls);
    return Array.from(tried.margins, (m) => weight * (m > 0 ? Math.min(1e3, scale / m) ** sharpness : 1e3));
  }
  const short = target.floor - before.smallestHoop;
  if (short <= 0) return [0];
  // a little beyond the floor, so that smoothness does not keep it just below
  const aim = target.floor + 0.05 * short;
  return Array.from(tried.hoopStress, (v) => Math.max(0, aim - v) / short);
}

function limitResiduals(tried: Trial, limits: DesignLimits, knobs: Knobs, input: RollInput): number[] {
  const over = (value: number, limit: number | undefined): number =>
    limit === undefined ? 0 : strictness * Math.max(0, value / limit - 1);
  return [
    over(tried.largestPressure, limits.highestPressure),
    over(tried.corePressure, limits.highestCorePressure),
    ...(limits.slope === undefined ? [] : steepness(knobs, input)).map(({ slope }) =>
      over(slope, limits.slope),
    ),
  ];
}

/** Among equals the smoothest schedule; for a floor of hoop stress the one that changes least. */
function shapeResiduals(knobs: Knobs, stated: Float64Array, x: Float64Array, target: DesignTarget): number[] {
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
      (smoothness * (v - (stated[k] as number))) / ((knobs.upper[k] as number) - (knobs.lower[k] as number)),
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
