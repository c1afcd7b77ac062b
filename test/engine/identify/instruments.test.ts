import { describe, expect, test } from 'vitest';
import { type Fit, fitRows, termEstimate } from '../../../src/engine/identify/fit.js';
import { checkInstruments, type InstrumentCheck } from '../../../src/engine/identify/instruments.js';
import { windowRows } from '../../../src/engine/identify/windows.js';
import { createRandom } from '../../../src/engine/numerics/random.js';
import { signalsOf, staircase } from '../../support/profiles.js';

/**
 * A drive under a PI speed loop, J·dω/dt = T - Tc - B·ω, stepped at 2.5 ms. The loop sees the speed with
 * noise and its torque reacts to it, so the noise is in the recorded speed and in the recorded torque. What that does to
 * least squares is textbook (errors in variables, closed loop): the slope is drawn down.
 */
const truth = { inertia: 0.5, coulomb: 3, viscous: 0.05 };

function loop(seed: number, noise: number) {
  const interval = 0.01;
  const substeps = 4;
  const profile = staircase([20, 60, 30, 80, 40, 90, 20], 2, 15, interval);
  const random = createRandom(`loop ${seed}`);
  const n = profile.time.length;
  const speed = new Float64Array(n);
  const demand = new Float64Array(n);
  const [proportional, integral] = [4, 8];
  let omega = profile.value[0];
  let sum = (truth.coulomb + truth.viscous * omega) / integral;
  for (let i = 0; i < n; i++) {
    speed[i] = omega + noise * random.normal();
    const error = profile.value[i] - speed[i];
    sum += error * interval;
    demand[i] = proportional * error + integral * sum;
    for (let s = 0; s < substeps; s++)
      omega += ((interval / substeps) * (demand[i] - truth.coulomb - truth.viscous * omega)) / truth.inertia;
  }
  // Demand k acts from sample k to the next; at a sample the mean of before and after stands.
  const torque = demand.map((t, i) => (i === 0 ? t : 0.5 * (t + demand[i - 1])));
  const signals = signalsOf({ time: profile.time, speed, torque, reference: profile.value });
  const rows = windowRows(
    signals,
    torque,
    profile.pieces.map((p, stretch) => ({
      start: p.start,
      end: p.end,
      stretch,
      coasting: false,
      // Short windows: the noise of a slope over twelve samples is a fair part of the ramps' own acceleration.
      count: Math.floor((p.end - p.start) / 12),
    })),
    1,
  );
  const fit = fitRows(
    rows,
    {
      terms: [
        { name: 'inertia', direction: 0 },
        { name: 'coulomb', direction: 0 },
        { name: 'viscous', direction: 0 },
      ],
    },
    signals,
  ) as Fit;
  return { signals, fit, check: checkInstruments(signals, fit) as InstrumentCheck };
}

const inertiaOf = (fit: Fit): number => termEstimate(fit, 'inertia', 1)?.value ?? Number.NaN;

describe('noise that goes round the speed loop', () => {
  const runs = Array.from({ length: 40 }, (_, seed) => loop(seed, 0.35));
  const meanOf = (values: number[]): number => values.reduce((a, b) => a + b, 0) / values.length;
  const errors = (f: (r: (typeof runs)[number]) => Fit): number[] =>
    runs.map((r) => inertiaOf(f(r)) / truth.inertia - 1);

  test('least squares is biased by more than a thirtieth of the inertia, instruments by less than a hundredth', () => {
    const byLeastSquares = errors((r) => r.fit);
    const byInstruments = errors((r) => r.check.fit);
    expect(Math.abs(meanOf(byLeastSquares))).toBeGreaterThan(1 / 30);
    expect(Math.abs(meanOf(byInstruments))).toBeLessThan(0.01);
  });

  test('the difference is told from chance, with the right sign', () => {
    for (const { check, fit } of runs) {
      expect(check.inertiaChange).toBeCloseTo(inertiaOf(check.fit) / inertiaOf(fit) - 1, 12);
      expect(Math.sign(check.score)).toBe(Math.sign(check.inertiaChange));
    }
    expect(meanOf(runs.map((r) => Math.abs(r.check.score)))).toBeGreaterThan(3);
  });

  test('the intervals by instruments hold the truth in at least 90 % of the runs', () => {
    for (const name of ['inertia', 'coulomb', 'viscous'] as const) {
      const hits = runs.filter(({ check }) => {
        const [a, b] = termEstimate(check.fit, name, 1)?.interval95 ?? [0, 0];
        return a <= truth[name] && truth[name] <= b;
      });
      expect(hits.length).toBeGreaterThanOrEqual(36);
    }
  });
});

describe('where there is nothing to correct', () => {
  test('no noise: both give the truth and each other', () => {
    const { fit, check } = loop(1, 0);
    expect(Math.abs(inertiaOf(fit) / truth.inertia - 1)).toBeLessThan(0.01);
    expect(Math.abs(check.inertiaChange)).toBeLessThan(0.002);
  });

  test('a reference that is the speed itself is least squares', () => {
    const { signals, fit } = loop(2, 0.25);
    const same = checkInstruments({ ...signals, reference: signals.speed }, fit);
    expect(same?.inertiaChange).toBeCloseTo(0, 9);
  });

  test('a reference of another scale gives the same: an instrument needs no scale', () => {
    const { signals, fit, check } = loop(3, 0.25);
    const reference = signals.reference?.map((w) => 2 * w);
    expect(checkInstruments({ ...signals, reference }, fit)?.inertiaChange).toBeCloseTo(
      check.inertiaChange,
      9,
    );
  });

  test('instruments never make an interval shorter', () => {
    for (let seed = 0; seed < 5; seed++) {
      const { fit, check } = loop(seed, 0.1);
      for (let j = 0; j < 9; j += 4)
        expect(check.fit.covariance[j]).toBeGreaterThanOrEqual(fit.covariance[j] * (1 - 1e-9));
    }
  });

  test('nothing is said without a reference, without inertia in the model, or with gaps in the reference', () => {
    const { signals, fit } = loop(4, 0.1);
    expect(checkInstruments({ ...signals, reference: undefined }, fit)).toBeUndefined();
    const reference = signals.reference?.map((w, i) => (i === 500 ? Number.NaN : w));
    expect(checkInstruments({ ...signals, reference }, fit)).toBeUndefined();
    const terms = fit.model.terms.slice(1);
    const without = fitRows(fit.rows, { terms }, signals) as Fit;
    expect(checkInstruments(signals, without)).toBeUndefined();
  });
});
