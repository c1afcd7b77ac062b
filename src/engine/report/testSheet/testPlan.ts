import { mostChangeWhileUncertain, usualLatency } from '../../identify/breakaway.js';
import { levelsForQuadratic } from '../../identify/support.js';
import type { Drive } from '../../line/drive.js';

/** Tests that a sheet can be asked for; `designed` is all of them in one recording. */
export const sheetTests = ['designed', 'staircase', 'ramps', 'coast-down', 'breakaway', 'web-on'] as const;
export type SheetTest = (typeof sheetTests)[number];

/** What a test is planned from. */
export interface PlanInput {
  readonly drive: Drive;
  readonly test: SheetTest;
  /** Top speed of the line [m/s] and its acceleration [m/s²], where line.yaml states them. */
  readonly lineTop?: number;
  readonly lineAcceleration?: number;
}

/** One thing to do, in order. Speeds are shares of the top speed [1]. */
export type TestStep =
  | { readonly kind: 'speed'; readonly to: number; readonly ramp: number; readonly hold: number }
  /** Torque from zero at `rate` until the shaft moves; `rate` and `most` as shares of rated torque [1/s, 1]. */
  | {
      readonly kind: 'start';
      readonly rate: number;
      readonly most: number;
      readonly stopSpeed: number;
      readonly dwell: number;
    }
  | { readonly kind: 'coast' };

export interface TestPlan {
  readonly test: SheetTest;
  /** Motor speed that 1 means [rad/s]; undefined where neither the drive nor the line states one. */
  readonly top?: number;
  readonly topFrom?: 'drive' | 'line';
  /** Time of the fast ramp from rest to top speed [s], and what it follows. */
  readonly rampTime: number;
  readonly rampFrom: 'line' | 'torque' | 'usual';
  readonly steps: readonly TestStep[];
  /** Of all steps, without coasting [s]. */
  readonly duration: number;
  /** Longest sampling interval that serves [s]. */
  readonly interval: number;
  /** Breakaway torques below this are read too high at the planned rate: torque rises on while the start is found [share of rated]. */
  readonly leastBreakaway: number;
}

/** Steady speeds, shares of top: the slow ones show the Stribeck bow, the others drag that grows with speed and its square. */
const slowLevels = [0.008, 0.015, 0.025];
const levels = [0.05, 0.1, 0.2, 0.35, 0.5, 0.7, 0.85, 1];
/** A plateau lasts this long, and so many turns of the slowest shaft, so that ripple and noise average out; within reason [s, 1, s]. */
const usualHold = 5;
const holdTurns = 2;
const longestHold = 40;
/** Time of a comfortable ramp where nothing else says one [s]; ours. */
const usualRampTime = 10;
/** Share of the torque limit that turning the rotor alone may take: the rest is for roller and drag. Ours. */
const rotorShare = 0.4;
const starts = 5;
/** Torque rises by this share of rated a second: 4 % of rated, a usual breakaway, after 8 s. Ours. */
const startRate = 0.005;
const mostStartTorque = 0.3;
const interval = 0.01;

/**
 * Speeds, rates and durations of a test for one drive: what the identification needs to see. Speeds in shares of the motor's top speed
 * ω_top [rad/s]: the drive's own, else that of the line v·i/R [m/s, 1, m]. The ramp time t [s] follows the line's acceleration
 * a [m/s²], t = v/a, made longer where turning the rotor alone, J·ω/t [kg·m²·rad/s²], would take more than two fifths of the torque limit
 * [N·m]. Validity: a roller free of the web, except for `web-on`. Source: the conditions in src/engine/identify (number of levels,
 * growth of torque while a start is found); what is not from there is ours and says so.
 */
export function testPlan({ drive, test, lineTop, lineAcceleration }: PlanInput): TestPlan {
  const { top, topFrom } = topSpeed(drive, lineTop);
  const { rampTime, rampFrom } = ramp(drive, top, lineTop, lineAcceleration);
  const steps = stepsOf(test, rampTime, slowestTurn(drive, top));
  return {
    test,
    ...(top !== undefined && { top, topFrom }),
    rampTime,
    rampFrom,
    steps,
    duration: steps.reduce((sum, s) => sum + lengthOf(s), 0),
    interval,
    leastBreakaway: (startRate * (usualLatency + 2 * interval)) / mostChangeWhileUncertain,
  };
}

function topSpeed(drive: Drive, lineTop: number | undefined): Pick<TestPlan, 'top' | 'topFrom'> {
  if (drive.maxMotorSpeed !== undefined) return { top: drive.maxMotorSpeed, topFrom: 'drive' };
  // an unwind or winder turns fastest on its core
  const radius = drive.rollerRadius ?? drive.coreRadius;
  if (lineTop === undefined || radius === undefined) return {};
  return { top: (lineTop * drive.gearRatio) / radius, topFrom: 'line' };
}

function ramp(
  { motorInertia, ratedTorque, torqueLimit = 1 }: Drive,
  top: number | undefined,
  lineTop: number | undefined,
  acceleration: number | undefined,
): Pick<TestPlan, 'rampTime' | 'rampFrom'> {
  const byLine = lineTop !== undefined && acceleration !== undefined ? lineTop / acceleration : undefined;
  const wanted = byLine ?? usualRampTime;
  if (motorInertia !== undefined && ratedTorque !== undefined && top !== undefined) {
    const shortest = (motorInertia * top) / (rotorShare * torqueLimit * ratedTorque);
    if (shortest > wanted) return { rampTime: shortest, rampFrom: 'torque' };
  }
  return { rampTime: wanted, rampFrom: byLine === undefined ? 'usual' : 'line' };
}

/** Time of one turn of the roller at top speed [s]; of the motor where there is no gear. */
const slowestTurn = ({ gearRatio }: Drive, top: number | undefined): number =>
  top === undefined ? 0 : (2 * Math.PI * Math.max(1, gearRatio)) / top;

const lengthOf = (s: TestStep): number =>
  s.kind === 'speed' ? s.ramp + s.hold : s.kind === 'start' ? s.dwell + s.most / s.rate : 0;

function stepsOf(test: SheetTest, rampTime: number, turn: number): TestStep[] {
  const hold = (share: number): number =>
    Math.min(longestHold, Math.max(usualHold, share > 0 ? (holdTurns * turn) / share : 0));
  const walk = (shares: readonly number[], from: number, time = rampTime): TestStep[] => {
    let last = from;
    return shares.map((to): TestStep => {
      // no corner so sharp that the speed loop overshoots it
      const step: TestStep = {
        kind: 'speed',
        to,
        ramp: Math.max(0.5, Math.abs(to - last) * time),
        hold: hold(to),
      };
      last = to;
      return step;
    });
  };
  const start: TestStep = {
    kind: 'start',
    rate: startRate,
    most: mostStartTorque,
    stopSpeed: 0.02,
    dwell: 3,
  };
  const breakaway = Array.from({ length: starts }, () => [start, ...walk([0], 0)]).flat();
  const ramps = [...walk([1, 0], 0), ...walk([1, 0], 0, 2 * rampTime)];
  const down = [...levels].reverse();
  switch (test) {
    case 'breakaway':
      return breakaway;
    case 'ramps':
      return ramps;
    case 'staircase':
      return walk([...slowLevels, ...levels, ...down.slice(1), 0], 0);
    case 'coast-down':
      return [...walk([1], 0), { kind: 'coast' }];
    case 'web-on':
      return [...walk([1, 0], 0), ...walk([0.5, 0], 0)];
    case 'designed':
      return [
        ...breakaway,
        ...ramps,
        ...walk([...slowLevels, ...levels, ...down.slice(1)], 0),
        ...walk([1], levels[0] as number),
        { kind: 'coast' },
      ];
  }
}

/** True when a plan's plateaus can tell drag that grows with speed squared: enough levels up to the top. Not a relation [1]. Source: support.ts. */
export const showsQuadraticDrag = (plan: TestPlan): boolean =>
  new Set(plan.steps.flatMap((s) => (s.kind === 'speed' && s.to > 0 ? [s.to] : []))).size >=
  levelsForQuadratic;
