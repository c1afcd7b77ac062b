import { describe, expect, test } from 'vitest';
import { designSchedule } from '../../../../src/engine/program/roll/design/designSchedule.js';
import type { DesignLimits } from '../../../../src/engine/program/roll/design/designTarget.js';
import { predictRoll } from '../../../../src/engine/program/roll/predictRoll.js';
import { rollBuild } from '../../../../src/engine/program/roll/rollBuild.js';
import type { RollInput } from '../../../../src/engine/program/roll/rollInput.js';
import { newsprintRoll } from '../../../support/newsprintRoll.js';

const newsprint = newsprintRoll(300);
const limits: DesignLimits = { tension: [150, 450] };
const tensionAt = (input: RollInput, share: number): number => {
  const { build, tension } = rollBuild(input);
  return tension.at(build.core + share * (build.full - build.core));
};

describe('a designed schedule', () => {
  test('for the largest slip margin: high at the core, low at the outside, as the balance of the roll asks', () => {
    const made = designSchedule(newsprint, { kind: 'slip margin', wanted: 2 }, limits);
    expect(made.value).toBeGreaterThan(1.5 * made.before);
    // capacity is made near the core, and demand is T·W·R: both ends go to their limits
    expect(tensionAt(made.input, 0)).toBeGreaterThan(400);
    expect(tensionAt(made.input, 1)).toBeLessThan(160);
    expect(made.prediction.slip?.smallest.value).toBeCloseTo(made.value, 6);
  });

  test('what it says it reaches is what the prediction of its schedules says', () => {
    const made = designSchedule(newsprint, { kind: 'flat pressure', wanted: 0.02 }, limits);
    expect(made.value).toBeLessThan(0.5 * made.before);
    const p = made.prediction.pressure;
    const central = p.subarray(Math.floor(0.12 * p.length), Math.ceil(0.86 * p.length));
    const mean = central.reduce((a, b) => a + b, 0) / central.length;
    for (const v of central) expect(Math.abs(v / mean - 1)).toBeLessThan(1.3 * made.value + 0.01);
  });

  test('keeps to its bounds, also where it would go beyond, and then says what holds it', () => {
    const tight: DesignLimits = { tension: [290, 310] };
    const made = designSchedule(newsprint, { kind: 'slip margin', wanted: 100 }, tight);
    for (let k = 0; k <= 20; k++) {
      expect(tensionAt(made.input, k / 20)).toBeGreaterThanOrEqual(290);
      expect(tensionAt(made.input, k / 20)).toBeLessThanOrEqual(310);
    }
    expect(made.isReached).toBe(false);
    expect(made.because.join('; ')).toMatch(/tension stands at its lowest, 290 N\/m, .*diameter/);
    expect(made.because.join('; ')).toMatch(/asked most while winding/);
  });

  test('a target that no schedule reaches after a web break says that inertia asks', () => {
    const stopped: RollInput = { ...newsprint, stop: { deceleration: 8, brakedAt: 'core' } };
    const made = designSchedule(stopped, { kind: 'slip margin', wanted: 100 }, limits);
    expect(made.isReached).toBe(false);
    expect(made.because.at(-1)).toMatch(/inertia of the roll asks there, which no schedule changes/);
  });

  test('a slope limit is kept', () => {
    const slope = 0.5;
    const made = designSchedule(newsprint, { kind: 'slip margin', wanted: 2 }, { ...limits, slope });
    const { build, tension } = rollBuild(made.input);
    const steepest = Math.abs(tension.steepest.relativeSlope);
    expect(steepest).toBeLessThan(slope * 1.05);
    // and it costs margin
    const free = designSchedule(newsprint, { kind: 'slip margin', wanted: 2 }, limits);
    expect(made.value).toBeLessThan(free.value);
    expect(build.full).toBeCloseTo(0.7, 12);
  });

  test('a pressure cap is kept, and named where it stands in the way', () => {
    const wide: DesignLimits = { tension: [50, 450] };
    const largest = (made: ReturnType<typeof designSchedule>): number =>
      made.prediction.pressure.reduce((a, b) => Math.max(a, b), 0);
    expect(largest(designSchedule(newsprint, { kind: 'slip margin', wanted: 1 }, wide))).toBeGreaterThan(
      25e3,
    );
    const capped = designSchedule(
      newsprint,
      { kind: 'slip margin', wanted: 1 },
      { ...wide, highestPressure: 20e3 },
    );
    expect(capped.isReached).toBe(true);
    expect(largest(capped)).toBeLessThan(20.2e3);
    // one that not even the lowest tension keeps
    const hopeless = designSchedule(
      newsprint,
      { kind: 'slip margin', wanted: 0.1 },
      { tension: [290, 450], highestPressure: 5e3 },
    );
    expect(hopeless.isReached).toBe(false);
    expect(hopeless.because[0]).toMatch(/largest pressure would be .* above its limit of 5\.00 kPa/);
  });

  test('hoop stress above a floor, with the least change of the schedule', () => {
    const before = designSchedule(newsprint, { kind: 'hoop stress', floor: -1e9 }, limits);
    // a floor that is kept already changes nothing
    expect(before.isReached).toBe(true);
    for (let k = 0; k <= 4; k++) expect(tensionAt(before.input, k / 4)).toBeCloseTo(300, 0);
    const floor = 0.7 * before.before;
    const made = designSchedule(newsprint, { kind: 'hoop stress', floor }, limits);
    expect(made.isReached).toBe(true);
    expect(made.value).toBeGreaterThanOrEqual(floor);
    // and hardly more than that: the rest of the schedule stays
    expect(made.value).toBeLessThan(0.6 * before.before);
  });

  test('changes the torque differential and the nip only where they have a range', () => {
    const shared: RollInput = {
      ...newsprint,
      method: 'centre-surface',
      nip: 300,
      torqueDifferential: { law: 'constant', start: 100 },
    };
    const alone = designSchedule(shared, { kind: 'flat pressure', wanted: 0.01 }, limits, { knots: 6 });
    expect(alone.input.torqueDifferential).toBe(shared.torqueDifferential);
    expect(alone.input.nipSchedule).toBeUndefined();
    const all = designSchedule(
      shared,
      { kind: 'flat pressure', wanted: 0.01 },
      { ...limits, differentialShare: [-0.5, 0.8], nip: [100, 600] },
      { knots: 6 },
    );
    expect(all.input.torqueDifferential?.law).toBe('table');
    expect(all.input.nipSchedule?.law).toBe('table');
    expect(all.value).toBeLessThanOrEqual(alone.value * 1.05);
  });

  test('tells its steps and can be stopped', () => {
    const steps: number[] = [];
    const made = designSchedule(newsprint, { kind: 'slip margin', wanted: 2 }, limits, {
      onStep: (k) => {
        steps.push(k);
        return k < 2;
      },
    });
    expect(steps).toEqual([1, 2]);
    expect(made.ended).toBe('stopped');
    expect(made.value).toBeGreaterThan(made.before);
  });
});

describe('a schedule within what a line bears', () => {
  const { build } = rollBuild(newsprint);
  // A motor of constant torque: the force at the surface falls as 1/D from 450 N/m at a third of the build.
  const torque = 450 * (build.core + (build.full - build.core) / 3);
  const diameters = Float64Array.from(
    { length: 40 },
    (_, k) => build.core + ((build.full - build.core) * k) / 39,
  );
  const shares = {
    diameters,
    motor1: {
      name: 'winder',
      lower: diameters.map(() => -1e3),
      upper: diameters.map((d) => torque / d),
    },
  };
  const bounded: DesignLimits = {
    tension: [100, 450],
    shares,
    names: { lowestTension: 'traction of idler 2', highestTension: '20 % of the web’s strength' },
  };
  const floor = { kind: 'slip margin', wanted: 100 } as const;

  test('asks no motor for more than it has, anywhere in the build, and names it where it is used to the full', () => {
    const free = designSchedule(newsprint, { kind: 'flat pressure', wanted: 1e-4 }, limits);
    const made = designSchedule(
      newsprint,
      { kind: 'flat pressure', wanted: 1e-4 },
      {
        ...bounded,
        shares: { ...shares, motor1: { ...shares.motor1, upper: diameters.map((d) => (0.62 * torque) / d) } },
      },
    );
    // between the knots as well: a limit that falls as 1/D hangs below the straight line between two of them
    for (let k = 0; k <= 100; k++) {
      const d = build.core + ((build.full - build.core) * k) / 100;
      expect(tensionAt(made.input, k / 100)).toBeLessThan((1.011 * 0.62 * torque) / d);
    }
    // and it would have gone further
    expect(tensionAt(free.input, 1)).toBeGreaterThan((1.1 * 0.62 * torque) / build.full);
    expect(made.because.join('; ')).toMatch(/the motor of winder is used to the full/);
  });

  test('says what makes the ends of its ranges', () => {
    const made = designSchedule(newsprint, floor, bounded);
    expect(made.isReached).toBe(false);
    expect(made.because.join('; ')).toMatch(/tension stands at its lowest, 100 N\/m \(traction of idler 2\)/);
  });

  test('is judged on the way as well: what a stop asks at a smaller diameter counts', () => {
    const falling: RollInput = {
      ...newsprint,
      tension: {
        law: 'table',
        points: [
          { diameter: build.core, value: 300 },
          { diameter: 0.75 * build.full, value: 300 },
          { diameter: build.full, value: 80 },
        ],
      },
    };
    const made = designSchedule(falling, { kind: 'slip margin', wanted: 0.1 }, limits, { knots: 6 });
    const { slipCases, slipOverDiameter } = predictRoll(falling);
    const onTheWay = Math.min(...slipOverDiameter.map((p) => p.cases[0]?.margin ?? Number.NaN));
    expect(onTheWay).toBeLessThan(0.9 * (slipCases[0]?.smallest.value ?? 0));
    // `before` looks at a quarter, a half and three quarters of the build
    expect(made.before).toBeLessThan(0.95 * (slipCases[0]?.smallest.value ?? 0));
    expect(made.before).toBeGreaterThanOrEqual(onTheWay * 0.999);
  });
});
