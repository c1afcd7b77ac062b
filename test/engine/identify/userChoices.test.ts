import { describe, expect, test } from 'vitest';
import { identify, identifyPrepared, prepareIdentification } from '../../../src/engine/identify/identify.js';
import { withUserChoices } from '../../../src/engine/identify/userChoices.js';
import { createRandom } from '../../../src/engine/numerics/random.js';
import type { Channel, Recording, Role } from '../../../src/engine/recording/recording.js';
import { scalesFor, signalsOf, staircase, stretchesOf } from '../../support/profiles.js';
import { helperDrive } from '../../support/staircaseDrive.js';

// An invented drive: J = 0.02 kg·m², drag 0.5 N·m + 0.004 N·m·s/rad · ω; the recording is that of its equation of motion.
const inertia = 0.02;
const coulomb = 0.5;
const viscous = 0.004;
const profile = staircase([20, 40, 60, 80, 100], 4, 20, 0.01);

/** @param disturbed adds to the torque [N·m] at a time [s] */
function recording(disturbed: (t: number) => number): Recording {
  const random = createRandom(7);
  const torque = profile.value.map(
    (w, i) =>
      inertia * profile.slope[i] +
      (w === 0 ? 0 : coulomb + viscous * w) +
      disturbed(profile.time[i]) +
      0.002 * random.normal(),
  );
  const speed = profile.value.map((w) => w + 0.005 * random.normal());
  const channel = (role: Role, unit: string, values: Float64Array): Channel => ({
    role,
    header: role,
    unit,
    values,
  });
  return {
    time: Float64Array.from(profile.time),
    channels: {
      'motor-speed': channel('motor-speed', 'rad/s', Float64Array.from(speed)),
      'motor-torque': channel('motor-torque', 'Nm', Float64Array.from(torque)),
    },
    timeSource: { header: 'time', unit: 's' },
    findings: [],
    source: { file: 'invented', sha256: '', rows: profile.time.length },
  };
}

/** The plateau at a level [rad/s], from and to [s]. */
function plateauAt(level: number): [number, number] {
  const at = [...profile.value.keys()].filter((i) => profile.value[i] === level && profile.slope[i] === 0);
  return [profile.time[at[0]], profile.time[at[at.length - 1]]];
}

/** Somebody leaned on the roller for a moment. */
const leanedOnce = recording((t) => (t >= 20 && t <= 22 ? 0.01 : 0));

describe('a stretch taken out', () => {
  const [from, to] = plateauAt(60);
  // somebody leaned on the roller during one plateau
  const leaned = recording((t) => (t >= from && t <= to ? 0.4 : 0));

  test('no longer bends the result', () => {
    const error = (options: Parameters<typeof identify>[2]): number => {
      const e = identify(leaned, helperDrive, options).estimates;
      const at60 =
        (e.coulomb?.value ?? 0) + 60 * (e.viscous?.value ?? 0) + 60 ** 2 * (e.quadratic?.value ?? 0);
      return Math.abs(at60 - (coulomb + 60 * viscous));
    };
    expect(error({})).toBeGreaterThan(0.05);
    expect(error({ exclude: [[from - 0.2, to + 0.2]] })).toBeLessThan(0.01);
  });

  test('is shown with its reason, and the rest of its neighbours stays', () => {
    const { segments } = identify(leaned, helperDrive, { exclude: [[from + 1, to - 1]] });
    const out = segments.filter((s) => s.why === 'taken out by the user');
    expect(out).toHaveLength(1);
    expect(out[0].used).toBe(false);
    expect(out[0].from).toBeCloseTo(from + 1, 1);
    expect(out[0].to).toBeCloseTo(to - 1, 1);
    const beside = segments.filter(
      (s) => s.kind === 'plateau' && s.used && s.from >= from - 0.3 && s.to <= to + 0.3,
    );
    expect(beside).toHaveLength(2);
  });

  test('with nothing left there is no result, and the reasons say so', () => {
    const { estimates, notEstimated } = identify(leaned, helperDrive, { exclude: [[-1, 1e6]] });
    expect(estimates).toEqual({});
    expect(notEstimated.length).toBeGreaterThan(0);
  });

  test.each([
    [3, 1],
    [1, 1],
    [Number.NaN, 1],
    [0, Number.POSITIVE_INFINITY],
  ])('%d s to %d s is refused', (a, b) =>
    expect(() => identify(leaned, helperDrive, { exclude: [[a, b]] })).toThrowError(
      expect.objectContaining({ code: 'argument_invalid' }),
    ),
  );
});

describe('a stretch taken in', () => {
  const signals = signalsOf({ time: profile.time, speed: profile.value, torque: profile.value });
  const scales = scalesFor(100, 1);
  const left = stretchesOf(profile).map((s) =>
    s.kind === 'plateau' ? { ...s, kind: 'excluded' as const, used: false, why: 'left out' } : s,
  );
  const [from, to] = plateauAt(40);

  test('is used as what its speed is, and only where it was left out', () => {
    const out = withUserChoices(left, signals, scales, { include: [[from, to]] });
    const taken = out.filter((s) => s.why.startsWith('taken in by the user'));
    expect(taken.map((s) => [s.kind, s.used])).toEqual([['plateau', true]]);
    expect(taken[0].level).toBeCloseTo(40, 6);
    expect(out.filter((s) => s.kind === 'ramp')).toEqual(left.filter((s) => s.kind === 'ramp'));
  });

  test('out wins where both are said', () => {
    const out = withUserChoices(left, signals, scales, { include: [[from, to]], exclude: [[from, to]] });
    expect(out.some((s) => s.used && s.kind === 'plateau')).toBe(false);
  });

  test('covers every sample once, whatever is chosen', () => {
    for (const [a, b] of [
      [from - 3, from + 0.5],
      [from + 1.2, from + 1.23],
      [-5, 1e9],
      [to + 1e3, to + 2e3],
    ] as const)
      for (const choice of [{ include: [[a, b]] as const }, { exclude: [[a, b]] as const }]) {
        let at = 0;
        for (const s of withUserChoices(left, signals, scales, choice)) {
          expect(s.start).toBe(at);
          expect(s.end).toBeGreaterThan(s.start);
          at = s.end;
        }
        expect(at).toBe(left[left.length - 1].end);
      }
  });
});

describe('a recording that is prepared once', () => {
  const prepared = prepareIdentification(leanedOnce, helperDrive);
  const [a, b] = plateauAt(40);
  const [c, d] = plateauAt(80);

  test.each([
    {},
    { exclude: [[a, b]] as const },
    {
      exclude: [
        [a, b],
        [c + 1, d - 1],
      ] as const,
      include: [[c + 1.5, d]] as const,
    },
    { include: [[0, 5]] as const, compensateDelay: 0.004 },
    // again, after the others: nothing they did has stayed behind
    {},
    { exclude: [[a, b]] as const },
  ])('gives what a start from scratch gives: %j', (options) => {
    const again = identifyPrepared(prepared, options);
    expect(again).toEqual(identify(leanedOnce, helperDrive, options));
    expect(again.estimates.inertia).toBeDefined();
  });

  test('a refused one is refused each time, without its reasons piling up', () => {
    const still = { ...leanedOnce, channels: { 'motor-torque': leanedOnce.channels['motor-torque'] } };
    const refused = prepareIdentification(still, helperDrive);
    const once = identifyPrepared(refused);
    expect(once.verdict).toBe('refused');
    expect(identifyPrepared(refused, { exclude: [[a, b]] })).toEqual(once);
  });
});
