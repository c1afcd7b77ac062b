import { describe, expect, test } from 'vitest';
import { termEstimate } from '../../../src/engine/identify/fit.js';
import { fitRipple } from '../../../src/engine/identify/ripple.js';
import type { Profile } from '../../support/profiles.js';
import { baseFit, helperDrive, staircaseContext } from '../../support/staircaseDrive.js';

/** Angle of the motor [rad] along a polyline of speeds: the area under it, exact by trapezoids since corners are samples. */
function angles(profile: Profile): Float64Array {
  const angle = new Float64Array(profile.time.length);
  for (let i = 1; i < angle.length; i++)
    angle[i] =
      angle[i - 1] +
      0.5 * (profile.value[i] + profile.value[i - 1]) * (profile.time[i] - profile.time[i - 1]);
  return angle;
}

const truth = { inertia: 0.1, coulomb: 2, viscous: 0.02 };
const levels = [6, 9, 14, 22, 35, 60, 100];
const { gearRatio } = helperDrive;

/** Amplitudes [N·m] of roller and motor ripple, each with a phase of its own. */
function run(
  amplitudes: {
    readonly roller?: number;
    readonly motor?: number;
    readonly phase?: number;
    readonly ratio?: number;
  },
  noise = 0.02,
  seed = 1,
) {
  const { roller = 0, motor = 0, phase = 0.7, ratio = gearRatio } = amplitudes;
  let angle: Float64Array | undefined;
  const context = staircaseContext(
    {
      inertia: truth.inertia,
      drag: (w) => truth.coulomb + truth.viscous * w,
      noise,
      seed,
      extra: (i, profile) => {
        angle ??= angles(profile);
        return roller * Math.sin(angle[i] / gearRatio + phase) + motor * Math.sin(angle[i] + 2 * phase);
      },
    },
    levels,
    { hold: 3 },
  );
  const base = baseFit(context, { viscous: true, quadratic: false });
  return { base, rippled: fitRipple(context.signals, base, { ...helperDrive, gearRatio: ratio }) };
}

describe('a sine that repeats with every turn', () => {
  test.each([0, 1, 2.5, 4, 5.5])(
    'of the roller, phase %f rad: amplitude within a twentieth, drag cleared of it',
    (phase) => {
      const { base, rippled } = run({ roller: 0.5, phase });
      expect(rippled?.ripples.map((r) => r.shaft)).toEqual(['roller']);
      expect(Math.abs((rippled?.ripples[0].amplitude ?? 0) / 0.5 - 1)).toBeLessThan(0.05);
      if (rippled === undefined) return;
      for (const name of ['inertia', 'coulomb', 'viscous'] as const) {
        const after = termEstimate(rippled.fit, name, 1)?.value ?? 0;
        expect(Math.abs(after / truth[name] - 1)).toBeLessThan(0.01);
      }
      expect(rippled.fit.rss).toBeLessThan(0.2 * base.rss);
    },
  );

  test('of the motor', () => {
    const { rippled } = run({ motor: 1 });
    expect(rippled?.ripples.map((r) => r.shaft)).toContain('motor');
    const motor = rippled?.ripples.find((r) => r.shaft === 'motor');
    expect(Math.abs((motor?.amplitude ?? 0) - 1)).toBeLessThan(0.1);
  });

  test('of both at once', () => {
    const { rippled } = run({ roller: 0.5, motor: 1 });
    expect(rippled?.ripples.map((r) => r.shaft)).toEqual(['roller', 'motor']);
  });

  test('Coulomb drag comes closer to the truth over all phases', () => {
    let before = 0;
    let after = 0;
    for (let phase = 0; phase < 6; phase += 0.5) {
      const { base, rippled } = run({ roller: 0.5, phase });
      before += ((termEstimate(base, 'coulomb', 1)?.value ?? 0) - truth.coulomb) ** 2;
      after += ((termEstimate(rippled?.fit ?? base, 'coulomb', 1)?.value ?? 0) - truth.coulomb) ** 2;
    }
    expect(after).toBeLessThan(0.1 * before);
  });

  test('a gear ratio of 1: roller and motor are one shaft and are not fitted twice', () => {
    const { rippled } = run({ motor: 1, ratio: 1 });
    expect(rippled?.ripples.map((r) => r.shaft)).toEqual(['motor']);
  });
});

test('without ripple there is none, whatever the noise', () => {
  for (let seed = 1; seed <= 20; seed++) expect(run({}, 0.2, seed).rippled).toBeUndefined();
});

test('a sine of a shaft that is not there, 0.53 turns of the motor, is not taken for roller or motor', () => {
  const context = staircaseContext(
    {
      inertia: truth.inertia,
      drag: (w) => truth.coulomb + truth.viscous * w,
      noise: 0.1,
      extra: (i, profile) => 0.3 * Math.sin(0.53 * angles(profile)[i]),
    },
    levels.slice(0, 3),
    { hold: 3, interval: 0.02 },
  );
  const base = baseFit(context, { viscous: true, quadratic: false });
  expect(fitRipple(context.signals, base, helperDrive)).toBeUndefined();
});
