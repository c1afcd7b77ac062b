import { describe, expect, test } from 'vitest';
import { type Fit, termEstimate, termIndex } from '../../../src/engine/identify/fit.js';
import { fitStribeck } from '../../../src/engine/identify/stribeck.js';
import { baseFit, staircaseContext } from '../../support/staircaseDrive.js';

/** Drag with a known excess at low speed: Tc + Ts·exp(-(ω/ωs)^δ) + B·ω. */
const coulomb = 2;
const viscous = 0.02;
const inertia = 0.1;
const dragWith =
  (excess: number, decay: number, exponent: 1 | 2) =>
  (w: number): number =>
    coulomb + excess * Math.exp(-((w / decay) ** exponent)) + viscous * w;

const low = [0.8, 1.6, 2.6, 4, 6, 9];
const high = [15, 30, 50, 70, 100];
const levels = [...low, ...high];

function run(drag: (w: number) => number, speeds: readonly number[], noise: number, seed = 1) {
  const context = staircaseContext({ inertia, drag, noise, seed }, speeds, { hold: 8 });
  return fitStribeck(context, baseFit(context, { viscous: true, quadratic: false }), 1);
}

const fitted = (result: ReturnType<typeof run>): Fit => {
  if (result.fit === undefined) throw new Error(result.refusal.why);
  return result.fit;
};

describe('a known excess with plateaus low enough', () => {
  test.each([
    [1, 1, 3],
    [1, 1, 4],
    [2, 1, 3],
    [2, 0.5, 5],
  ] as const)(
    'δ = %i, %f N·m, decaying over %f rad/s: every term within a fiftieth',
    (exponent, excess, decay) => {
      const fit = fitted(run(dragWith(excess, decay, exponent), levels, 0.002));
      expect(fit.model.stribeck?.exponent).toBe(exponent);
      // The decay speed is the point of linearisation plus the step that the last fit makes from it.
      const speed = (fit.model.stribeck?.speed ?? 0) + (termEstimate(fit, 'stribeckSpeed', 1)?.value ?? 0);
      expect(Math.abs(speed / decay - 1)).toBeLessThan(0.02);
      for (const [name, truth] of [
        ['stribeck', excess],
        ['coulomb', coulomb],
        ['viscous', viscous],
        ['inertia', inertia],
      ] as const)
        expect(Math.abs((termEstimate(fit, name, 1)?.value ?? 0) / truth - 1)).toBeLessThan(0.02);
    },
  );

  test('with noise the intervals hold excess, decay speed and Coulomb level in at least 90 % of 40 runs', () => {
    const hits = { stribeck: 0, stribeckSpeed: 0, coulomb: 0 };
    const truths = { stribeck: 1, stribeckSpeed: 3, coulomb };
    for (let seed = 1; seed <= 40; seed++) {
      const fit = fitted(run(dragWith(1, 3, 1), levels, 0.3, seed));
      // Noise may choose the other exponent; then the excess is another quantity.
      for (const name of ['stribeck', 'stribeckSpeed', 'coulomb'] as const) {
        const e = termEstimate(fit, name, 1);
        const shift = name === 'stribeckSpeed' ? (fit.model.stribeck?.speed ?? 0) : 0;
        if (e && e.interval95[0] + shift <= truths[name] && truths[name] <= e.interval95[1] + shift)
          hits[name]++;
      }
    }
    for (const n of Object.values(hits)) expect(n).toBeGreaterThanOrEqual(36);
  });

  test('the uncertainty of the decay speed is part of the covariance', () => {
    const fit = fitted(run(dragWith(1, 3, 1), levels, 0.1));
    const p = fit.model.terms.length;
    const j = termIndex(fit, 'stribeckSpeed', 1);
    expect(fit.covariance[j * p + j]).toBeGreaterThan(0);
  });

  test('torque twice as large: excess twice, decay speed the same', () => {
    const one = fitted(run(dragWith(1, 3, 1), levels, 0));
    const context = staircaseContext({ inertia: 0.2, drag: (w) => 2 * dragWith(1, 3, 1)(w) }, levels, {
      hold: 8,
    });
    const two = fitted(fitStribeck(context, baseFit(context, { viscous: true, quadratic: false }), 1));
    expect(two.model.stribeck?.speed).toBeCloseTo(one.model.stribeck?.speed ?? 0, 6);
    expect(termEstimate(two, 'stribeck', 1)?.value).toBeCloseTo(
      2 * (termEstimate(one, 'stribeck', 1)?.value ?? 0),
      6,
    );
  });
});

describe('refused, with the reason and what to record', () => {
  test('without low plateaus, however large the excess', () => {
    const { refusal } = run(dragWith(3, 3, 1), high, 0.01);
    expect(refusal?.name).toBe('stribeck');
    expect(refusal?.why).toMatch('lowest eighth');
    expect(refusal?.next).toMatch('at least three plateaus');
  });

  test('with one low plateau repeated: repeats are no other speed', () => {
    expect(run(dragWith(1, 3, 1), [2, ...high, 2.05, 50, 2.1], 0.01).refusal?.why).toMatch('lowest eighth');
  });

  test('low plateaus that all lie above three decay speeds', () => {
    // At four decay speeds 2 % of the excess is left: size and decay cannot be told apart.
    expect(run(dragWith(10, 0.4, 1), [1.6, 3, 5, 8, ...high], 0.01).fit).toBeUndefined();
  });

  test('no excess at all, for every one of ten noises', () => {
    for (let seed = 1; seed <= 10; seed++)
      expect(run((w) => coulomb + viscous * w, levels, 0.3, seed).fit).toBeUndefined();
  });

  test('drag that falls towards standstill is no excess', () => {
    expect(run(dragWith(-1, 3, 1), levels, 0.05).fit).toBeUndefined();
  });
});
