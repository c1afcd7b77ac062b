import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { advanced, estimateDelay } from '../../../src/engine/identify/delay.js';
import type { DriveSignals } from '../../../src/engine/identify/signals.js';
import type { Stretch } from '../../../src/engine/identify/stretch.js';
import { createRandom } from '../../../src/engine/numerics/random.js';
import { evenTime, signalsOf } from '../../support/profiles.js';

describe('a column moved in time', () => {
  const time = evenTime(2, 0.01);

  test('a straight line moved by d is the line d later, a gap where the file ends; whatever the sample times', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0.2, max: 2, noNaN: true }), { minLength: 5, maxLength: 60 }),
        fc.double({ min: -0.05, max: 0.05, noNaN: true }),
        (steps, delay) => {
          let t = 50;
          const uneven = Float64Array.from(steps, (s) => (t += 0.01 * s));
          const line = uneven.map((x) => 4 - 3 * x);
          const moved = advanced(uneven, line, delay);
          const last = uneven[uneven.length - 1];
          uneven.forEach((x, i) => {
            if (x + delay < uneven[0] || x + delay > last) expect(moved[i]).toBeNaN();
            else expect(moved[i]).toBeCloseTo(4 - 3 * (x + delay), 9);
          });
        },
      ),
    );
  });

  test('it undoes a torque that is late: advanced by d, f(t - d) is f(t)', () => {
    const late = time.map((t) => Math.sin(3 * (t - 0.05)));
    const moved = advanced(time, late, 0.05);
    for (let i = 0; i + 6 < time.length; i++) expect(moved[i]).toBeCloseTo(Math.sin(3 * time[i]), 4);
  });

  test('no delay changes nothing; a gap spreads to the samples that would rest on it only', () => {
    const values = time.map((t) => t);
    expect(advanced(time, values, 0)).toEqual(values);
    values[100] = Number.NaN;
    const moved = advanced(time, values, 0.004);
    expect(moved[98]).toBeCloseTo(time[98] + 0.004, 12);
    expect(moved[99]).toBeNaN();
    expect(moved[100]).toBeNaN();
    expect(moved[101]).toBeCloseTo(time[101] + 0.004, 12);
  });
});

/**
 * A plant in closed form: T = J·a + Tc + B·ω with speeds joined by cycloids, ω = from + Δ·(x - sin(2πx)/2π), whose
 * acceleration Δ/D·(1 - cos 2πx) has no step, so that a shift by any part of a sampling interval is exact.
 */
const inertia = 0.2;
const levels = [20, 60, 35, 90, 45, 100, 20];
const hold = 2;
const rampTime = 1;

function motion(t: number): { speed: number; acceleration: number } {
  const k = Math.max(0, Math.min(levels.length - 1, Math.floor(t / (hold + rampTime))));
  const x = (t - k * (hold + rampTime) - hold) / rampTime;
  if (x <= 0 || k === levels.length - 1) return { speed: levels[k], acceleration: 0 };
  const change = levels[k + 1] - levels[k];
  return {
    speed: levels[k] + change * (x - Math.sin(2 * Math.PI * x) / (2 * Math.PI)),
    acceleration: (change / rampTime) * (1 - Math.cos(2 * Math.PI * x)),
  };
}

function plant(
  delay: number,
  options: { interval?: number; noise?: number; sign?: 1 | -1 } = {},
): { signals: DriveSignals; stretches: Stretch[] } {
  const { interval = 0.01, noise = 0, sign = 1 } = options;
  const random = createRandom(`delay ${delay} ${interval} ${noise}`);
  const time = evenTime(levels.length * (hold + rampTime) - rampTime, interval);
  const torqueAt = (t: number): number => {
    const { speed, acceleration } = motion(t);
    return sign * (inertia * acceleration + 1.5 + 0.02 * speed) + noise * random.normal();
  };
  const signals = signalsOf({
    time,
    speed: time.map((t) => sign * motion(t).speed),
    torque: time.map((t) => torqueAt(t - delay)),
  });
  const stretches: Stretch[] = [];
  const add = (kind: 'plateau' | 'ramp', from: number, to: number, level: number, slope: number): void => {
    const start = Math.round(from / interval);
    const end = Math.min(time.length, Math.round(to / interval));
    stretches.push({ kind, start, end, level: sign * level, slope: sign * slope, used: true, why: '' });
  };
  levels.forEach((level, k) => {
    const t = k * (hold + rampTime);
    add('plateau', t, t + hold, level, 0);
    if (k + 1 < levels.length)
      add(
        'ramp',
        t + hold,
        t + hold + rampTime,
        (level + levels[k + 1]) / 2,
        (levels[k + 1] - level) / rampTime,
      );
  });
  return { signals, stretches };
}

describe('delay between torque and speed', () => {
  test.each([0.013, 0.04, 0.1, -0.025, -0.08])(
    'a torque that is late by %f s (negative: the speed is late) is found to a tenth of a sample',
    (delay) => {
      const { signals, stretches } = plant(delay);
      const found = estimateDelay(signals, stretches, 1);
      expect(found?.significant).toBe(true);
      expect(Math.abs((found?.delay ?? Number.NaN) - delay)).toBeLessThan(0.001);
    },
  );

  test('advancing by what was found gives the torque of the plant without delay', () => {
    const { signals, stretches } = plant(0.06);
    const found = estimateDelay(signals, stretches, 1);
    const moved = advanced(signals.time, signals.torque as Float64Array, found?.delay ?? 0);
    const without = plant(0).signals.torque as Float64Array;
    for (let i = 10; i + 10 < moved.length; i++) expect(Math.abs(moved[i] - without[i])).toBeLessThan(0.08);
  });

  test('no delay is not told from none', () => {
    const { signals, stretches } = plant(0, { noise: 0.1 });
    const found = estimateDelay(signals, stretches, 1);
    expect(found?.significant).toBe(false);
    expect(Math.abs(found?.delay ?? Number.NaN)).toBeLessThan(0.005);
  });

  test('with noise the truth lies within three standard errors, and the delay within half a sample', () => {
    for (const delay of [0.03, -0.03, 0.055]) {
      const { signals, stretches } = plant(delay, { noise: 0.3 });
      const found = estimateDelay(signals, stretches, 1);
      const error = Math.abs((found?.delay ?? Number.NaN) - delay);
      expect(error).toBeLessThan(3 * (found?.standardError ?? 0));
      expect(error).toBeLessThan(0.005);
    }
  });

  test('rotation the other way, another sampling interval and another scale of torque give the same delay', () => {
    const of = (p: ReturnType<typeof plant>): number =>
      estimateDelay(p.signals, p.stretches, 1)?.delay ?? Number.NaN;
    const forward = of(plant(0.04));
    expect(of(plant(0.04, { sign: -1 }))).toBeCloseTo(forward, 9);
    expect(of(plant(0.04, { interval: 0.004 }))).toBeCloseTo(forward, 3);
    const { signals, stretches } = plant(0.04);
    const torque = signals.torque?.map((x) => 8 * x);
    expect(of({ signals: { ...signals, torque }, stretches })).toBeCloseTo(forward, 9);
  });

  test('nothing is said without torque, without ramps, or of a delay beyond what the ramps can show', () => {
    const { signals, stretches } = plant(0.04);
    expect(estimateDelay({ ...signals, torque: undefined }, stretches, 1)).toBeUndefined();
    expect(
      estimateDelay(
        signals,
        stretches.filter((s) => s.kind === 'plateau'),
        1,
      ),
    ).toBeUndefined();
    const far = plant(0.6);
    expect(estimateDelay(far.signals, far.stretches, 1)).toBeUndefined();
  });
});
