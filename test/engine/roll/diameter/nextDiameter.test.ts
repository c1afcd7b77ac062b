import { describe, expect, test } from 'vitest';
import { createRandom } from '../../../../src/engine/numerics/random.js';
import type { DiameterErrors } from '../../../../src/engine/roll/diameter/estimates.js';
import {
  type DiameterMeasurement,
  type DiameterSettings,
  type DiameterState,
  nextDiameter,
  resetDiameter,
} from '../../../../src/engine/roll/diameter/nextDiameter.js';

const errors: DiameterErrors = {
  caliper: 0.03,
  caliperScatter: 0.02,
  speedScale: 0.002,
  speedNoise: 0.03,
  angularSpeedNoise: 0.1,
  lengthNoise: 0.01,
  angleNoise: 0.002,
};
const settings: DiameterSettings = { sense: 1, caliper: 1e-4, errors };
const dt = 0.1;

interface Build {
  readonly sense: 1 | -1;
  readonly from: number;
  readonly to: number;
  /** True caliper. */
  readonly caliper: number;
  /** Factor on the reading of speed and length. */
  readonly scale?: number;
  readonly noise?: boolean;
  /** Factor on speed and length over a stretch of radius: the web slips on its measuring roller. */
  readonly slip?: (radius: number) => number;
  readonly seed?: string;
  /** Highest web speed. */
  readonly speed?: number;
}

interface Reading extends DiameterMeasurement {
  readonly angle: number;
  readonly length: number;
  readonly speed: number;
  readonly angularSpeed: number;
  /** Radius at the end of the step. */
  readonly truth: number;
}

/** An invented roll: starts from rest, runs at one speed. Own equations: it shares no code with what it tests. */
function* build({
  sense,
  from,
  to,
  caliper,
  scale = 1,
  noise = true,
  slip,
  seed = 'roll',
  speed = 8,
}: Build): Generator<Reading> {
  const random = createRandom(seed);
  const normal = (sigma: number): number => (noise ? sigma * random.normal() : 0);
  let radius = from;
  let lengthError = normal(errors.lengthNoise);
  let angleError = normal(errors.angleNoise);
  for (let k = 0; sense * (to - radius) > 0; k++) {
    const v = Math.min(speed, 0.2 + 0.05 * k);
    const turned = (v * dt) / radius;
    const laps = turned / (2 * Math.PI);
    const grown = noise
      ? caliper * (laps + errors.caliperScatter * Math.sqrt(laps) * random.normal())
      : caliper * laps;
    const length = turned * (radius + (sense * grown) / 2);
    radius += sense * grown;
    const factor = scale * (slip?.(radius) ?? 1);
    const [l, a] = [normal(errors.lengthNoise), normal(errors.angleNoise)];
    yield {
      angle: turned + a - angleError,
      length: length * factor + l - lengthError,
      speed: v * factor + normal(errors.speedNoise),
      angularSpeed: v / radius + normal(errors.angularSpeedNoise),
      truth: radius,
    };
    [lengthError, angleError] = [l, a];
  }
}

interface Outcome {
  readonly state: DiameterState;
  readonly rms: number;
  readonly worst: number;
  readonly last: number;
}

function run(
  plan: Build,
  start: DiameterState,
  s: DiameterSettings,
  see?: (r: Reading, after: DiameterState, before: DiameterState) => void,
): Outcome {
  let state = start;
  let [sum, n, worst, last] = [0, 0, 0, 0];
  for (const reading of build(plan)) {
    const before = state;
    state = nextDiameter(before, reading, s);
    see?.(reading, state, before);
    last = state.radius - reading.truth;
    sum += last * last;
    worst = Math.max(worst, Math.abs(last));
    n++;
  }
  return { state, rms: Math.sqrt(sum / n), worst, last };
}

const winder: Build = { sense: 1, from: 0.05, to: 0.3, caliper: 1e-4 };
const core = resetDiameter(0.05, 1e-4);

describe('an invented roll with noise', () => {
  test('the blend beats ratio and lap count', () => {
    for (const caliper of [0.97e-4, 1.03e-4])
      for (const scale of [0.998, 1.002]) {
        let [ratio, count, n] = [0, 0, 0];
        let counted = 0.05;
        const { rms } = run({ ...winder, caliper, scale }, core, settings, (r) => {
          counted += (1e-4 * r.angle) / (2 * Math.PI);
          ratio += (r.speed / r.angularSpeed - r.truth) ** 2;
          count += (counted - r.truth) ** 2;
          n++;
        });
        expect(rms).toBeLessThan(0.5 * Math.sqrt(ratio / n));
        expect(rms).toBeLessThan(0.5 * Math.sqrt(count / n));
      }
  });

  test('never runs backwards and never faster than margin allows', () => {
    run({ ...winder, caliper: 0.95e-4 }, core, settings, (r, after, before) => {
      const nominal = (1e-4 * r.angle) / (2 * Math.PI);
      expect(after.radius).toBeGreaterThanOrEqual(before.radius);
      expect(after.radius - before.radius).toBeLessThanOrEqual(1.5 * nominal + 1e-15);
    });
    run(
      { ...winder, sense: -1, from: 0.3, to: 0.06 },
      resetDiameter(0.302, 0.002),
      { ...settings, sense: -1 },
      (r, after, before) => {
        const nominal = (1e-4 * r.angle) / (2 * Math.PI);
        expect(after.radius).toBeLessThanOrEqual(before.radius);
        expect(before.radius - after.radius).toBeLessThanOrEqual(1.5 * nominal + 1e-15);
      },
    );
  });

  test('an unwind that starts 4 mm wrong within a stated 5 mm finds its radius', () => {
    const plan: Build = { sense: -1, from: 0.3, to: 0.1, caliper: 1e-4 };
    const { last } = run(plan, resetDiameter(0.304, 0.005), { ...settings, sense: -1 });
    expect(Math.abs(last)).toBeLessThan(5e-4);
  });

  test('the stated standard error is that of many rolls', () => {
    // Errors that last drawn anew for each roll, noise by its own seed. The mean square of
    // 80 standard normal draws has a standard deviation of √(2/80) = 0.16.
    let square = 0;
    const rolls = 80;
    for (let k = 0; k < rolls; k++) {
      const random = createRandom(`errors ${k}`);
      const plan: Build = {
        sense: 1,
        from: 0.1 + 0.002 * random.normal(),
        to: 0.16,
        caliper: 1e-4 / (1 + errors.caliper * random.normal()),
        scale: 1 + errors.speedScale * random.normal(),
        seed: `roll ${k}`,
      };
      const { state, last } = run(plan, resetDiameter(0.1, 0.002), settings);
      square += (last / state.standardError) ** 2 / rolls;
    }
    expect(square).toBeGreaterThan(0.6);
    expect(square).toBeLessThan(1.4);
  });
});

describe('slip', () => {
  const within = (from: number, to: number, factor: number) => (radius: number) =>
    radius > from && radius < to ? factor : 1;

  test('a short slip of 20 % leaves no trace; the ratio alone follows it', () => {
    // 10 laps: within the patience.
    const slip = within(0.2, 0.201, 1.2);
    let ratioWorst = 0;
    const slipped = run({ ...winder, slip }, core, settings, (r) => {
      if (slip(r.truth) !== 1)
        ratioWorst = Math.max(ratioWorst, Math.abs(r.speed / r.angularSpeed - r.truth));
    });
    const clean = run(winder, core, settings);
    expect(ratioWorst).toBeGreaterThan(0.03);
    expect(slipped.worst).toBeLessThan(clean.worst + 2e-4);
  });

  test('a long slip is bounded by margin and laps, and is forgotten after it', () => {
    // 100 laps of 20 %: believed after 20 of them, then the radius in use gains at most half a caliper a lap.
    const slip = within(0.15, 0.16, 1.2);
    let during = 0;
    const { last, worst } = run({ ...winder, slip }, core, settings, (r, after) => {
      if (slip(r.truth) !== 1) during = Math.max(during, after.radius - r.truth);
    });
    expect(during).toBeGreaterThan(5e-4);
    expect(worst).toBeLessThan(0.5 * 100 * 1e-4 + 5e-4);
    expect(Math.abs(last)).toBeLessThan(5e-4);
  });

  test('a reset that is wrong by far more than stated is found out', () => {
    let recovered = Number.NaN;
    const { last } = run({ ...winder, from: 0.08 }, resetDiameter(0.06, 1e-4), settings, (r, after) => {
      if (Number.isNaN(recovered) && Math.abs(after.radius - r.truth) < 1e-3) recovered = r.truth;
    });
    // 20 mm at half a caliper a lap are 400 laps, 40 mm of radius, after the patience
    expect(recovered).toBeGreaterThan(0.08 + 0.035);
    expect(recovered).toBeLessThan(0.08 + 0.06);
    expect(Math.abs(last)).toBeLessThan(5e-4);
  });
});

describe('error propagation', () => {
  // Without noise and with limits wide open the step is a smooth function of its inputs.
  const open: DiameterSettings = { ...settings, gate: Number.POSITIVE_INFINITY, margin: 1e9 };
  const plan: Build = { sense: 1, from: 0.05, to: 0.12, caliper: 1e-4, noise: false };
  const final = (p: Build, start: number, s: DiameterSettings, only?: 'length'): DiameterState => {
    let state = resetDiameter(start, 1e-3);
    for (const reading of build(p))
      state = nextDiameter(state, only === undefined ? reading : { length: reading.length }, s);
    return state;
  };
  const finalEstimate = (...of: Parameters<typeof final>) => final(...of).estimate;
  const h = 1e-5;
  const difference = (f: (x: number) => DiameterState): number =>
    (f(h).estimate.radius - f(-h).estimate.radius) / (2 * h);

  test.each([
    ['all readings', undefined],
    ['length only', 'length'],
  ] as const)('sensitivities of the state are finite differences of whole runs: %s', (_, only) => {
    const { sensitivity } = finalEstimate(plan, 0.05, open, only);
    expect(sensitivity.start).toBeCloseTo(
      difference((x) => final(plan, 0.05 + x, open, only)),
      4,
    );
    const relative = (got: number, want: number): void =>
      expect(Math.abs(got - want) / 0.12).toBeLessThan(2e-4);
    relative(
      sensitivity.caliper,
      difference((x) => final(plan, 0.05, { ...open, caliper: 1e-4 * (1 + x) }, only)),
    );
    // one encoder: the scale is in speed and length alike
    relative(
      sensitivity.speedScale,
      difference((x) => final({ ...plan, scale: 1 + x }, 0.05, open, only)),
    );
  });

  test('the blend carries a small part of the error of the caliper, and most of that of the speed', () => {
    const { sensitivity } = finalEstimate(plan, 0.05, open);
    expect(Math.abs(sensitivity.caliper)).toBeLessThan(0.25 * 0.07);
    // while the scale of the speed enters nearly in full: nothing else says what the radius is
    expect(sensitivity.speedScale).toBeGreaterThan(0.5 * 0.12);
  });

  test('length only: no error of the radius but those of caliper and length, that of the core fades', () => {
    const { sensitivity, radius } = finalEstimate(plan, 0.05, open, 'length');
    const truth = [...build(plan)].at(-1)?.truth ?? Number.NaN;
    expect(radius).toBeCloseTo(truth, 9);
    expect(sensitivity.start).toBeCloseTo(0.05 / truth, 6);
  });
});

describe('edges', () => {
  test('reset holds its values and refuses nonsense', () => {
    expect(core).toMatchObject({ radius: 0.05, standardError: 1e-4, lapsOff: 0 });
    for (const [radius, error] of [
      [0, 0],
      [-1, 0],
      [Number.NaN, 0],
      [0.1, -1],
      [0.1, Number.NaN],
    ] as const)
      expect(() => resetDiameter(radius, error)).toThrowError(
        expect.objectContaining({ code: 'argument_invalid' }),
      );
  });

  test('at standstill nothing moves, whatever speed noise says', () => {
    const state = nextDiameter(core, { angle: 0, length: 0, speed: 0.02, angularSpeed: 0.1 }, settings);
    expect(state.radius).toBe(core.radius);
    expect(state.estimate).toEqual(core.estimate);
    expect(nextDiameter(core, {}, settings).radius).toBe(core.radius);
  });

  test('a jog backwards gives back what comes off the winder', () => {
    const forward = nextDiameter(core, { angle: 20 * Math.PI }, settings);
    const back = nextDiameter(forward, { angle: -20 * Math.PI }, settings);
    expect(forward.radius).toBeCloseTo(0.051, 12);
    expect(back.radius).toBeCloseTo(0.05, 12);
  });

  test('the step leaves the state it was given alone', () => {
    const before = JSON.stringify(core);
    const reading = { angle: 3, length: 0.2, speed: 1, angularSpeed: 15 };
    const first = nextDiameter(core, reading, settings);
    expect(nextDiameter(core, reading, settings)).toEqual(first);
    expect(JSON.stringify(core)).toBe(before);
  });
});
