import { describe, expect, test } from 'vitest';
import { findStarts, type Start } from '../../../src/engine/identify/breakaway.js';
import { fitStartingMotion, type StartingMotion } from '../../../src/engine/identify/breakawayMotion.js';
import { createRandom } from '../../../src/engine/numerics/random.js';
import { toDrive } from '../../../src/engine/project/drive.js';
import { evenTime, scalesFor, signalsOf } from '../../support/profiles.js';

/**
 * Starts of a shaft with dry friction and torque ripple, stepped here at 0.1 ms: it sticks while |T - ripple(θ)| <= Fs, else
 * J·ω' = T - ripple(θ) - ±(Fc + (Fs - Fc)·exp(-|ω|/ωs)). The torque ramps from nothing until the shaft turns at `stop`, then
 * it is taken away and the shaft comes to rest; `count` times, one direction after the other when `bothWays`.
 */
interface Shaft {
  readonly inertia?: number;
  readonly ratio?: number;
  /** Amplitudes [N·m] and phases [rad] at the motor and at the roller. */
  readonly motor?: readonly [number, number];
  readonly roller?: readonly [number, number];
  readonly stop?: number;
  readonly count?: number;
  readonly bothWays?: boolean;
  readonly noise?: number;
  readonly seed?: number;
  /** The gear ratio that the drive file says, when it is not the true one. */
  readonly saidRatio?: number;
}

const breakaway = 5;
const coulomb = 3;
const topSpeed = 100;

interface Recorded {
  readonly starts: readonly Start[];
  readonly motion: StartingMotion | undefined;
  /** True ripple at the moment of every start [N·m]. */
  readonly ripple: readonly number[];
}

function record(shaft: Shaft): Recorded {
  const { inertia = 0.5, ratio = 2.7, motor = [0, 0], roller = [0, 0], stop = 4, count = 6 } = shaft;
  const { bothWays = false, noise = 0, seed = 1, saidRatio = ratio } = shaft;
  const random = createRandom(seed);
  const step = 1e-4;
  const every = 100;
  const rippleAt = (theta: number): number =>
    motor[0] * Math.sin(theta + motor[1]) + roller[0] * Math.sin(theta / ratio + roller[1]);
  const speed: number[] = [];
  const torque: number[] = [];
  const truth: number[] = [];
  let [theta, w, n] = [0.3, 0, 0];
  const advance = (t: number): void => {
    const push = t - rippleAt(theta);
    if (w === 0 && Math.abs(push) <= breakaway) w = 0;
    else {
      const side = w === 0 ? Math.sign(push) : Math.sign(w);
      if (w === 0) truth.push(rippleAt(theta));
      const friction = coulomb + (breakaway - coulomb) * Math.exp(-Math.abs(w) / 0.5);
      const next = w + (step / inertia) * (push - side * friction);
      theta += 0.5 * step * (w + next);
      w = next * side < 0 ? 0 : next;
    }
    if (n++ % every === 0) {
      speed.push(w + noise * random.normal());
      torque.push(t + noise * breakaway * random.normal());
    }
  };
  for (let k = 0; k < count; k++) {
    const direction = bothWays && k % 2 === 1 ? -1 : 1;
    for (let i = 0; i < 1.5 / step; i++) advance(0);
    for (let t = 0; Math.abs(w) < stop; t += step) advance(direction * t);
    while (w !== 0) advance(0);
  }
  const time = evenTime((speed.length - 1) * 0.01, 0.01);
  const signals = signalsOf({ time, speed: Float64Array.from(speed), torque: Float64Array.from(torque) });
  const scales = { ...scalesFor(topSpeed, 2 * breakaway, noise), restSpeed: 0.3 };
  const drive = toDrive({
    schema: 'tautline/drive@1',
    name: 'shaft of a test',
    element: 'driven-idler',
    rated_torque_Nm: 20,
    gear_ratio: saidRatio,
    max_motor_speed_rad_per_s: topSpeed,
  });
  const samples = signals.torque as Float64Array;
  const first = findStarts(signals, samples, scales);
  const motion = fitStartingMotion(signals, samples, first, scales, drive);
  return { starts: findStarts(signals, samples, scales, inertia), motion, ripple: truth };
}

const eventsOf = (starts: readonly Start[]) => starts.flatMap((s) => (s.event ? [s.event] : []));

describe('inertia and ripple from the starts alone', () => {
  test.each<[string, Shaft]>([
    ['ripple of the motor', { motor: [0.4, 1] }],
    ['ripple of the roller', { roller: [0.3, 2] }],
    ['both', { motor: [0.3, -1], roller: [0.3, 0.5] }],
    ['in a long gear', { motor: [0.3, -1], roller: [0.3, 0.5], ratio: 1.6 }],
    ['a direct drive', { motor: [0.4, 1], ratio: 1 }],
    ['a heavy roll', { motor: [0.4, 1], inertia: 2 }],
    ['with noise', { motor: [0.3, -1], roller: [0.3, 0.5], noise: 0.02 }],
  ])('%s: inertia and ripple within a hundredth, starts within one and a half', (_, shaft) => {
    const { starts, motion, ripple } = record(shaft);
    const events = eventsOf(starts);
    expect(events).toHaveLength(shaft.count ?? 6);
    expect(ripple).toHaveLength(events.length);
    expect(Math.abs((motion?.inertia.value ?? 0) / (shaft.inertia ?? 0.5) - 1)).toBeLessThan(0.01);
    events.forEach((e, k) => {
      const found = motion?.rippleAt(e.time) ?? 0;
      expect(Math.abs(found - ripple[k])).toBeLessThan(0.01 * breakaway);
      expect(Math.abs((e.torque - e.direction * found) / breakaway - 1)).toBeLessThan(0.015);
    });
    // Without it the starts lie apart by more than that.
    const raw = events.map((e) => e.torque);
    expect((Math.max(...raw) - Math.min(...raw)) / breakaway).toBeGreaterThan(0.03);
  });

  test('without ripple next to none is found, so the starts stay as they were', () => {
    const { starts, motion } = record({ noise: 0.02 });
    expect(eventsOf(starts)).toHaveLength(6);
    for (const e of eventsOf(starts))
      expect(Math.abs(motion?.rippleAt(e.time) ?? 1)).toBeLessThan(0.01 * breakaway);
  });

  test('short moves show little of a turn; the mean ripple is as sure as it then says: within 2 σ in 90 % of 40', () => {
    let hits = 0;
    for (let seed = 1; seed <= 40; seed++) {
      const { starts, motion, ripple } = record({
        motor: [0.3, seed],
        roller: [0.3, 2 * seed],
        stop: 2,
        noise: 0.02,
        seed,
      });
      const times = eventsOf(starts).map((e) => e.time);
      expect(times).toHaveLength(6);
      const error = times.reduce((s, t, k) => s + ((motion?.rippleAt(t) ?? 0) - ripple[k]) / times.length, 0);
      if (Math.abs(error) < 2 * Math.sqrt(motion?.meanRippleVariance(times) ?? 0)) hits++;
    }
    expect(hits).toBeGreaterThanOrEqual(36);
  });

  test('to and fro between the same two angles tells next to nothing, and it says so', () => {
    const shaft: Shaft = { motor: [0.3, -1], roller: [0.3, 0.5], bothWays: true, count: 8 };
    const { starts, motion, ripple } = record(shaft);
    const times = eventsOf(starts).map((e) => e.time);
    const sigma = Math.sqrt(motion?.meanRippleVariance(times) ?? 0);
    expect(sigma).toBeGreaterThan(0.02 * breakaway);
    times.forEach((t, k) => {
      expect(Math.abs((motion?.rippleAt(t) ?? 0) - ripple[k])).toBeLessThan(2 * sigma);
    });
  });

  test('a shaft that the drive file does not know leaves the ripple unexplained and the starts apart', () => {
    const { starts, motion } = record({ roller: [0.5, 2], ratio: 2.7, saidRatio: 1, count: 10 });
    const left = eventsOf(starts).map((e) => e.torque - (motion?.rippleAt(e.time) ?? 0));
    expect((Math.max(...left) - Math.min(...left)) / breakaway).toBeGreaterThan(0.03);
  });
});

describe('what is no breakaway test says nothing', () => {
  test('no starts', () => expect(record({ count: 0 }).motion).toBeUndefined());
  test('starts that run on past a tenth of top speed', () =>
    expect(record({ stop: 15, count: 2 }).motion).toBeUndefined());
});
