import { describe, expect, test } from 'vitest';
import type { Finding } from '../../../src/engine/findings.js';
import { coastDowns } from '../../../src/engine/identify/coastDowns.js';
import { identifyCoastOnly } from '../../../src/engine/identify/coastOnly.js';
import type { DriveSignals } from '../../../src/engine/identify/signals.js';
import { createRandom } from '../../../src/engine/numerics/random.js';
import { evenTime, scalesFor, signalsOf } from '../../support/profiles.js';
import { helperDrive } from '../../support/staircaseDrive.js';

/**
 * Coast-downs in closed form, J·dω/dt = -M(ω), from ω0 (each put into the equation to see it):
 *   Coulomb                ω = ω0 - Tc·t/J
 *   Coulomb and viscous    ω = (ω0 + Tc/B)·exp(-B·t/J) - Tc/B,  still after (J/B)·ln(1 + B·ω0/Tc)
 *   Coulomb and quadratic  ω = √(Tc/K)·tan(atan(ω0·√(K/Tc)) - t·√(K·Tc)/J)
 */
const inertia = 0.5;
const coulomb = 2;
const top = 100;

interface Law {
  readonly name: string;
  readonly speed: (t: number) => number;
  readonly drag: (omega: number) => number;
}
const laws: Law[] = [
  { name: 'Coulomb', speed: (t) => top - (coulomb * t) / inertia, drag: () => coulomb },
  {
    name: 'Coulomb and viscous',
    speed: (t) => (top + coulomb / 0.04) * Math.exp((-0.04 * t) / inertia) - coulomb / 0.04,
    drag: (w) => coulomb + 0.04 * w,
  },
  {
    name: 'Coulomb and quadratic',
    speed: (t) =>
      Math.sqrt(coulomb / 5e-4) *
      Math.tan(Math.atan(top * Math.sqrt(5e-4 / coulomb)) - (t * Math.sqrt(5e-4 * coulomb)) / inertia),
    drag: (w) => coulomb + 5e-4 * w * w,
  },
];

const hold = 3;

/** Steady at top speed, then off until still. */
function coasting(
  law: Law,
  options: { noise?: number; sign?: 1 | -1; channels?: 'enable' | 'torque' | 'none' } = {},
) {
  const { noise = 0, sign = 1, channels = 'enable' } = options;
  const random = createRandom(law.name);
  let still = 0;
  while (law.speed(still) > 0 && still < 100) still += 0.01;
  const time = evenTime(hold + still + 2, 0.01);
  const speed = time.map((t) => {
    const w = t < hold ? top : t < hold + still ? law.speed(t - hold) : 0;
    return sign * w + (noise === 0 ? 0 : noise * random.normal());
  });
  const torque = time.map((t) => (t < hold ? sign * law.drag(top) : 0));
  const enabled = time.map((t) => (t < hold ? 1 : 0));
  const signals: DriveSignals = signalsOf({
    time,
    speed,
    ...(channels !== 'none' && { torque }),
    ...(channels === 'enable' && { enabled }),
  });
  return { signals, scales: scalesFor(top, law.drag(top), noise), still };
}

describe.each(laws)('$name', (law) => {
  test.each(['enable', 'torque'] as const)(
    'found by its %s column, from where the drive goes off until it stands',
    (channels) => {
      const { signals, scales, still } = coasting(law, { channels });
      const [coast, ...others] = coastDowns(signals, helperDrive, scales);
      expect(others).toEqual([]);
      expect(coast.kind).toBe('coast');
      // The start may lie where the fall first shows: 0.2 % of the range, and the nine samples that torque and speed are averaged over, later.
      expect(signals.time[coast.start]).toBeGreaterThanOrEqual(hold - 0.05);
      expect(signals.time[coast.start]).toBeLessThan(hold + 0.2 / (law.drag(top) / inertia) + 0.1);
      expect(Math.abs(signals.time[coast.end - 1] - hold - still)).toBeLessThan(
        scales.restSpeed / (coulomb / inertia) + 0.05,
      );
    },
  );

  test.each([0, 0.05])('the deceleration over speed is drag over inertia, noise of %f rad/s', (noise) => {
    const { signals, scales } = coasting(law, { noise, channels: 'none' });
    const stretches = coastDowns(signals, helperDrive, scales);
    expect(stretches).toHaveLength(1);
    const findings: Finding[] = [];
    const result = identifyCoastOnly(signals, stretches, scales, findings);
    expect(result.dragOverInertia?.length).toBeGreaterThan(5);
    for (const { speed, deceleration } of result.dragOverInertia ?? [])
      expect(Math.abs(deceleration / (law.drag(speed) / inertia) - 1)).toBeLessThan(
        noise === 0 ? 0.005 : 0.02,
      );
    expect(result.estimates).toEqual({});
    expect(findings.map((f) => f.code)).toContain('inertia_not_identifiable');
  });

  test('in reverse the same', () => {
    const one = coasting(law);
    const other = coasting(law, { sign: -1 });
    const forward = coastDowns(one.signals, helperDrive, one.scales);
    const reverse = coastDowns(other.signals, helperDrive, other.scales);
    expect(reverse.map((s) => [s.start, s.end])).toEqual(forward.map((s) => [s.start, s.end]));
    expect(reverse[0].slope).toBeCloseTo(-forward[0].slope, 9);
  });
});

test('Coulomb alone: the slope of the stretch is -Tc/J', () => {
  const { signals, scales } = coasting(laws[0]);
  expect(coastDowns(signals, helperDrive, scales)[0].slope).toBeCloseTo(-coulomb / inertia, 2);
});

describe('what is no coast-down', () => {
  /** Up at full torque, then down from 100 to 5 rad/s within 8 s at the torque given; no enable column. */
  function braking(torqueAt: (omega: number) => number, noise = 0) {
    const random = createRandom('brake');
    const time = evenTime(14, 0.01);
    const speed = time.map((t) => (t < 5 ? 20 * t : t < 6 ? 100 : 100 - (95 / 8) * (t - 6)));
    const torque = time.map(
      (t, i) => (t < 5 ? 12 : t < 6 ? 4 : torqueAt(speed[i])) + (noise === 0 ? 0 : noise * random.normal()),
    );
    return coastDowns(signalsOf({ time, speed, torque }), helperDrive, scalesFor(100, 12));
  }

  test('a braking ramp that passes zero torque, where drag and inertia balance', () => {
    // J·a = -2.4 against a drag of 2 to 3: the torque passes zero at 40 rad/s and is within 1 % of 12 N·m around it only.
    expect(braking((w) => 2 + 0.01 * w - 2.4)).toEqual([]);
  });

  test('nor one that stays within the band of zero all the way while its torque still follows the drag', () => {
    expect(braking((w) => 0.0015 * (w - 50))).toEqual([]);
    expect(braking((w) => 0.0015 * (w - 50), 0.02)).toEqual([]);
  });

  test('the same ramp with a torque column that reads the same nothing throughout is one, offset or not', () => {
    expect(braking(() => 0)).toHaveLength(1);
    expect(braking(() => 0.06)).toHaveLength(1);
    expect(braking(() => 0.03, 0.02)).toHaveLength(1);
  });

  test('without torque and enable signal: a fall after a start may be braked, a fall alone is a coast-down', () => {
    const time = evenTime(14, 0.01);
    const fall = time.map((t) => Math.max(0, 100 - 8 * t));
    const startAndFall = time.map((t) => (t < 5 ? 20 * t : Math.max(0, 100 - 12 * (t - 5))));
    const found = (speed: Float64Array) =>
      coastDowns(signalsOf({ time, speed, torque: undefined }), helperDrive, scalesFor(100, 0));
    expect(found(fall)).toHaveLength(1);
    expect(found(startAndFall)).toEqual([]);
  });

  test('a drive that is off and stands, turns steadily, or is pulled up to speed', () => {
    const time = evenTime(20, 0.01);
    const enabled = time.map(() => 0);
    const torque = time.map((t) => (t < 1 ? 5 : 0));
    for (const speed of [time.map(() => 0), time.map(() => 80), time.map((t) => 5 * t)]) {
      enabled[0] = 1;
      expect(coastDowns(signalsOf({ time, speed, torque, enabled }), helperDrive, scalesFor(100, 5))).toEqual(
        [],
      );
    }
  });

  test('a fall of less than a twentieth of the range', () => {
    const time = evenTime(20, 0.01);
    const enabled = time.map((t) => (t < 5 ? 1 : 0));
    const speed = time.map((t) => (t < 5 ? 100 : 100 - 0.2 * (t - 5)));
    const torque = time.map((t) => (t < 5 ? 3 : 0));
    expect(coastDowns(signalsOf({ time, speed, torque, enabled }), helperDrive, scalesFor(100, 3))).toEqual(
      [],
    );
  });
});
