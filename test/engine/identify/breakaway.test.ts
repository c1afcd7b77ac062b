import { describe, expect, test } from 'vitest';
import { breakawayEstimate, findStarts, type Start } from '../../../src/engine/identify/breakaway.js';
import { createRandom } from '../../../src/engine/numerics/random.js';
import { evenTime, scalesFor, signalsOf } from '../../support/profiles.js';

/**
 * A start in closed form. The torque rises at rate r from nothing after `rest` seconds; the shaft holds until it reaches
 * Fs; from there J·ω' = r·τ + c·ω, τ the time since, so ω = (r/J)·φ(τ) with φ = (exp(κτ) - 1 - κτ)/κ², κ = c/J, and τ²/2 for
 * κ = 0 (put it into the equation to see it).
 */
interface Given {
  readonly breakaway: number;
  readonly rate: number;
  readonly inertia: number;
  readonly kappa?: number;
  readonly interval?: number;
  readonly rest?: number;
  readonly direction?: 1 | -1;
  readonly speedNoise?: number;
  readonly torqueNoise?: number;
  readonly seed?: number;
  /** Torque as a function of time, in place of the ramp, until and after motion begins at `onset`. */
  readonly torqueAt?: (t: number, onset: number) => number;
}

const topSpeed = 100;

function start(given: Given, knownInertia = true): { starts: Start[]; onset: number } {
  const { breakaway, rate, inertia, kappa = 0, interval = 0.01, rest = 2, direction = 1 } = given;
  const { speedNoise = 0, torqueNoise = 0, seed = 1 } = given;
  const random = createRandom(seed);
  const onset = rest + breakaway / rate;
  const growth = (tau: number): number =>
    kappa === 0 ? 0.5 * tau * tau : (Math.exp(kappa * tau) - 1 - kappa * tau) / kappa ** 2;
  // Recorded until the shaft turns at 3 % of its top speed.
  let end = onset;
  while ((rate / inertia) * growth(end - onset) < 0.03 * topSpeed) end += interval;
  const time = evenTime(end, interval);
  const ramp = given.torqueAt ?? ((t: number) => rate * Math.max(0, t - rest));
  const speed = time.map(
    (t) =>
      direction * (t > onset ? (rate / inertia) * growth(t - onset) : 0) +
      (speedNoise === 0 ? 0 : speedNoise * random.normal()),
  );
  const torque = time.map(
    (t) => direction * ramp(t, onset) + (torqueNoise === 0 ? 0 : torqueNoise * random.normal()),
  );
  const signals = signalsOf({ time, speed, torque });
  const scales = scalesFor(topSpeed, 2 * breakaway, speedNoise);
  return { starts: findStarts(signals, torque, scales, knownInertia ? inertia : undefined), onset };
}

const ramp: Given = { breakaway: 5, rate: 0.5, inertia: 0.1 };

describe('a slow ramp from rest in closed form', () => {
  test.each([
    ['as it is', {}],
    ['in reverse', { direction: -1 }],
    ['friction that falls with speed, κ = 2 /s', { kappa: 2 }],
    ['κ = 8 /s', { kappa: 8 }],
    ['κ = 5 /s, none of the rates that are tried', { kappa: 5 }],
    ['slower', { rate: 0.1 }],
    ['a heavy roll', { inertia: 2, rate: 0.3 }],
    ['a light roller', { inertia: 0.005, rate: 0.3 }],
    ['sampled at 1 kHz', { interval: 0.001 }],
    ['sampled at 20 Hz', { interval: 0.05, rate: 0.1 }],
    ['after a long rest', { rest: 30 }],
    ['with noise', { speedNoise: 0.02, torqueNoise: 0.05 }],
    ['with noise and κ = 4 /s', { speedNoise: 0.02, torqueNoise: 0.05, kappa: 4 }],
  ] as const)('%s: the torque within a hundredth, the time to match', (_, change) => {
    const given = { ...ramp, ...change };
    const { starts, onset } = start(given);
    expect(starts).toHaveLength(1);
    const { event } = starts[0];
    expect(starts[0].rejected).toBeUndefined();
    expect(Math.abs((event?.torque ?? 0) / given.breakaway - 1)).toBeLessThan(0.01);
    expect(Math.abs((event?.time ?? 0) - onset)).toBeLessThan((0.01 * given.breakaway) / given.rate);
    expect((event?.rate ?? 0) / given.rate).toBeCloseTo(1, 1);
    expect(event?.direction).toBe('direction' in given ? given.direction : 1);
    expect(Math.abs((event?.dwell ?? 0) - onset)).toBeLessThan(0.1 + (0.01 * given.breakaway) / given.rate);
  });

  test('a light shaft on a large drive: torque noise of 15 % of the breakaway torque still leaves a start, right to 4 %', () => {
    for (let seed = 1; seed <= 20; seed++)
      for (const knownInertia of [true, false]) {
        const { event } = start({ ...ramp, torqueNoise: 0.75, seed }, knownInertia).starts[0];
        expect(Math.abs((event?.torque ?? 0) / ramp.breakaway - 1)).toBeLessThan(0.04);
      }
  });

  test('without a known inertia too', () => {
    for (const kappa of [0, 4])
      expect(Math.abs((start({ ...ramp, kappa }, false).starts[0].event?.torque ?? 0) / 5 - 1)).toBeLessThan(
        0.01,
      );
  });

  test('free of the acceleration that follows: ten times the inertia moves it by less than 1 %', () => {
    const light = start(ramp).starts[0].event?.torque ?? 0;
    const heavy = start({ ...ramp, inertia: 1 }).starts[0].event?.torque ?? 0;
    expect(Math.abs(heavy / light - 1)).toBeLessThan(0.01);
    // Reading the torque where the rest speed of 0.3 rad/s is passed would give √(2·J·ω·r) more: 11 % of 5 N·m.
    expect(Math.sqrt(2 * 1 * 0.3 * 0.5) / 5).toBeGreaterThan(0.1);
  });

  test('a torque column twice as large gives twice the torque', () => {
    const one = start(ramp).starts[0].event?.torque ?? 0;
    const two = start({ ...ramp, breakaway: 10, rate: 1, inertia: 0.2 }).starts[0].event?.torque ?? 0;
    expect(two / one).toBeCloseTo(2, 9);
  });
});

describe('starts that are no breakaway test', () => {
  const rejected = (given: Given): string => {
    const { starts } = start(given);
    expect(starts).toHaveLength(1);
    expect(starts[0].event).toBeUndefined();
    return starts[0].rejected ?? '';
  };

  test('the torque jumps when motion begins', () => {
    const torqueAt = (t: number, onset: number): number => (t > onset ? 12 : ramp.rate * Math.max(0, t - 2));
    expect(rejected({ ...ramp, torqueAt })).toMatch('jumped');
  });

  test('the torque rises within a few samples, or by too much within the time that the start is uncertain', () => {
    expect(rejected({ ...ramp, rate: 200 })).toMatch('too fast');
    expect(rejected({ ...ramp, rate: 20 })).toMatch('too fast');
  });

  test('a constant torque under which the shaft comes loose by itself', () => {
    expect(rejected({ ...ramp, torqueAt: () => 5 })).toMatch('no torque ramp');
  });

  test('a torque that falls, and one that pushes the other way', () => {
    expect(rejected({ ...ramp, torqueAt: (t) => 12 - ramp.rate * t })).toMatch('no torque ramp');
    expect(rejected({ ...ramp, torqueAt: (t) => -ramp.rate * t })).toMatch('does not push');
  });

  test('a torque in two steps', () => {
    const torqueAt = (t: number, onset: number): number => (t > onset - 2 ? 5 : t > 2 ? 3 : 0);
    expect(rejected({ ...ramp, torqueAt })).toMatch('no torque ramp');
  });
});

test('motion that goes on, and a record that begins in motion, hold no start', () => {
  const time = evenTime(10, 0.01);
  const moving = signalsOf({ time, speed: time.map(() => 50), torque: time.map(() => 3) });
  expect(findStarts(moving, moving.torque as Float64Array, scalesFor(100, 5))).toEqual([]);
  const still = signalsOf({ time, speed: time.map(() => 0), torque: time.map((t) => 0.1 * t) });
  expect(findStarts(still, still.torque as Float64Array, scalesFor(100, 5))).toEqual([]);
});

describe('breakaway of a direction', () => {
  const event = (torque: number) => ({ time: 0, torque, direction: 1 as const, dwell: 5, rate: 1 });

  test('the median of its events, which one odd start does not move', () => {
    expect(breakawayEstimate([4, 5, 6].map(event))?.value).toBe(5);
    expect(breakawayEstimate([4, 5, 60].map(event))?.value).toBe(5);
    expect(breakawayEstimate([4, 6].map(event))?.value).toBe(5);
    expect(breakawayEstimate([])).toBeUndefined();
  });

  test('more spread makes it less sure, more events of the same spread surer, a single one 10 % at least', () => {
    const error = (torques: number[]): number => breakawayEstimate(torques.map(event))?.standardError ?? 0;
    expect(error([4, 5, 6])).toBeGreaterThan(error([4.5, 5, 5.5]));
    expect(error([4, 6, 4, 6, 4, 6, 4, 6])).toBeLessThan(error([4, 6]));
    expect(error([5])).toBeGreaterThanOrEqual(0.5);
  });

  test('of normal starts the interval holds the median in at least 95 % of 400 repetitions', () => {
    const random = createRandom('starts');
    let hits = 0;
    for (let k = 0; k < 400; k++) {
      const found = breakawayEstimate(Array.from({ length: 5 }, () => event(5 + 0.3 * random.normal())));
      if (found !== undefined && found.interval95[0] <= 5 && 5 <= found.interval95[1]) hits++;
    }
    // 95 % less two standard errors of the count, 1.1 % each.
    expect(hits / 400).toBeGreaterThan(0.928);
  });
});
