import { describe, expect, test } from 'vitest';
import { type Model, stribeckDecay } from '../../../src/engine/identify/equation.js';
import { estimate, type Fit, fitRows, termEstimate, termIndex } from '../../../src/engine/identify/fit.js';
import type { Estimate } from '../../../src/engine/identify/identification.js';
import type { WindowRow } from '../../../src/engine/identify/windows.js';
import { createRandom, type Random } from '../../../src/engine/numerics/random.js';
import { evenTime, signalsOf } from '../../support/profiles.js';

/** Windows made by hand: what the fit must give is known before it is asked. */
const time = evenTime(1, 0.01);
const signals = signalsOf({ time, speed: time });

interface Truth {
  readonly inertia: number;
  readonly coulomb: number;
  readonly viscous: number;
  readonly quadratic: number;
  readonly offset: number;
}
const truth: Truth = { inertia: 0.4, coulomb: 3, viscous: 0.05, quadratic: 2e-4, offset: 0.6 };

function row(
  stretch: number,
  speed: number,
  acceleration: number,
  error: number,
  t: Truth,
  coasting = false,
): WindowRow {
  const direction = speed > 0 ? 1 : -1;
  const drag = direction * t.coulomb + t.viscous * speed + t.quadratic * speed * Math.abs(speed);
  // A coast-down has no torque, so its acceleration is what drag and inertia make it.
  const a = coasting ? -drag / t.inertia : acceleration;
  return {
    start: 0,
    end: 10,
    time: stretch,
    duration: 0.5,
    stretch,
    coasting,
    direction,
    acceleration: a,
    speed,
    speedSquared: speed * Math.abs(speed),
    torque: coasting ? 0 : t.inertia * a + drag + t.offset + error,
  };
}

/** Plateaus and ramps in turn; `perStretch` windows each; the errors come from the caller. */
function rows(
  stretches: number,
  perStretch: number,
  t: Truth,
  error: (stretch: number, k: number) => number,
  bothWays = false,
): WindowRow[] {
  return Array.from({ length: stretches }, (_, s) =>
    Array.from({ length: perStretch }, (_, k) => {
      const sign = bothWays && s % 4 >= 2 ? -1 : 1;
      const ramp = s % 2 === 1;
      const level = 10 + 80 * ((s * 0.37) % 1);
      const speed = ramp ? 10 + (80 * (k + 0.5)) / perStretch : level;
      return row(s, sign * speed, ramp ? sign * (s % 3 === 0 ? -15 : 12) : 0, error(s, k), t);
    }),
  ).flat();
}

const oneDirection: Model = {
  terms: [
    { name: 'inertia', direction: 0 },
    { name: 'coulomb', direction: 0 },
    { name: 'viscous', direction: 0 },
  ],
};
const whole: Model = {
  terms: [...oneDirection.terms, { name: 'quadratic', direction: 0 }, { name: 'offset', direction: 0 }],
};

describe('without errors the fit is exact', () => {
  const expectTruth = (fit: Fit | undefined, names: readonly (keyof Truth)[], t: Truth): void => {
    expect(fit).toBeDefined();
    for (const name of names) expect(termEstimate(fit as Fit, name, 1)?.value).toBeCloseTo(t[name], 9);
    expect((fit as Fit).rss).toBeLessThan(1e-20);
  };

  test('both directions: inertia, drag of three terms and offset', () => {
    const names = ['inertia', 'coulomb', 'viscous', 'quadratic', 'offset'] as const;
    expectTruth(
      fitRows(
        rows(12, 4, truth, () => 0, true),
        whole,
        signals,
      ),
      names,
      truth,
    );
  });

  test('coast-downs tell the offset in one direction, since it is not in their balance', () => {
    const coast = Array.from({ length: 8 }, (_, k) => row(20, 90 - 10 * k, 0, 0, truth, true));
    const fit = fitRows([...rows(12, 4, truth, () => 0), ...coast], whole, signals);
    expectTruth(fit, ['inertia', 'coulomb', 'viscous', 'quadratic', 'offset'], truth);
  });

  test('a drag for each direction', () => {
    const other = { ...truth, coulomb: 4, viscous: 0.08, quadratic: 0, offset: 0 };
    const one = { ...truth, quadratic: 0, offset: 0 };
    const forward = rows(8, 4, one, () => 0);
    const reverse = rows(8, 4, other, () => 0).map((r) => ({
      ...r,
      stretch: r.stretch + 8,
      direction: -1 as const,
      speed: -r.speed,
      acceleration: -r.acceleration,
      speedSquared: -r.speedSquared,
      torque: -r.torque,
    }));
    const terms = [
      { name: 'inertia', direction: 0 },
      ...([1, -1] as const).flatMap((direction) => [
        { name: 'coulomb', direction } as const,
        { name: 'viscous', direction } as const,
      ]),
    ] as const;
    const fit = fitRows([...forward, ...reverse], { terms }, signals) as Fit;
    expect(termEstimate(fit, 'coulomb', 1)?.value).toBeCloseTo(3, 9);
    expect(termEstimate(fit, 'coulomb', -1)?.value).toBeCloseTo(4, 9);
    expect(termEstimate(fit, 'viscous', -1)?.value).toBeCloseTo(0.08, 9);
    expect(termIndex(fit, 'offset', 1)).toBe(-1);
    expect(termEstimate(fit, 'offset', 1)).toBeUndefined();
  });

  test('what cannot be told apart is not fitted: one direction and an offset, or fewer windows than terms', () => {
    expect(
      fitRows(
        rows(12, 4, truth, () => 0),
        whole,
        signals,
      ),
    ).toBeUndefined();
    expect(fitRows(rows(12, 4, truth, () => 0).slice(0, 3), oneDirection, signals)).toBeUndefined();
  });
});

describe('laws of the fit', () => {
  const random = createRandom('laws');
  const some = rows(16, 5, truth, () => 0.2 * random.normal());
  const base = fitRows(some, oneDirection, signals) as Fit;

  test('torque times a factor: coefficients times it, covariance times its square', () => {
    const scaled = fitRows(
      some.map((r) => ({ ...r, torque: -3 * r.torque })),
      oneDirection,
      signals,
    ) as Fit;
    scaled.coefficients.forEach((c, j) => {
      expect(c).toBeCloseTo(-3 * base.coefficients[j], 9);
    });
    scaled.covariance.forEach((c, j) => {
      expect(c / (9 * base.covariance[j])).toBeCloseTo(1, 8);
    });
  });

  test('the order of the stretches does not matter', () => {
    const turned = [...some.slice(40), ...some.slice(0, 40)];
    const other = fitRows(turned, oneDirection, signals) as Fit;
    other.covariance.forEach((c, j) => {
      expect(c / base.covariance[j]).toBeCloseTo(1, 8);
    });
  });

  test('the residuals are at right angles to every term, weighted by length', () => {
    for (const regressor of ['acceleration', 'direction', 'speed'] as const) {
      const product = some.reduce((s, r, i) => s + r.duration * r[regressor] * base.residuals[i], 0);
      expect(Math.abs(product)).toBeLessThan(1e-8);
    }
  });

  test('the covariance is symmetric and no direction has a negative variance', () => {
    const p = 3;
    for (let i = 0; i < p; i++)
      for (let j = 0; j < p; j++)
        expect(base.covariance[i * p + j] / base.covariance[j * p + i]).toBeCloseTo(1, 9);
    for (let k = 0; k < 50; k++) {
      const g = Array.from({ length: p }, () => random.normal());
      let v = 0;
      for (let i = 0; i < p; i++) for (let j = 0; j < p; j++) v += g[i] * base.covariance[i * p + j] * g[j];
      expect(v).toBeGreaterThan(0);
    }
  });

  test('the sandwich alone, by its formula on one term: Σ over stretches of (Σ w·x·e)² over (Σ w·x²)², enlarged for few', () => {
    // Errors that alternate within a stretch leave no positive correlation, so (b) is the plain textbook variance.
    const single: Model = { terms: [{ name: 'inertia', direction: 0 }] };
    const shared = createRandom('sandwich');
    const list = Array.from({ length: 20 }, (_, s) => {
      const u = shared.normal();
      return Array.from({ length: 6 }, () => ({
        ...row(s, 50, 10, 0, truth),
        torque: 4 + u,
      }));
    }).flat();
    const fit = fitRows(list, single, signals) as Fit;
    let xx = 0;
    const scores = new Map<number, number>();
    list.forEach((r) => {
      xx += r.duration * 100;
    });
    list.forEach((r) => {
      const e = r.torque - 10 * fit.coefficients[0];
      scores.set(r.stretch, (scores.get(r.stretch) ?? 0) + r.duration * 10 * e);
    });
    const meat = [...scores.values()].reduce((s, x) => s + x * x, 0);
    const sandwich = ((20 / 19) * (119 / 119) * meat) / (xx * xx);
    expect(fit.covariance[0]).toBeGreaterThanOrEqual(sandwich * (1 - 1e-9));
    // Wholly shared errors: no better than the 20 stretch means they are, variance s²/20 of the mean over x².
    const means = [...new Set(list.map((r) => r.torque))];
    const centre = means.reduce((a, b) => a + b, 0) / 20;
    const s2 = means.reduce((a, b) => a + (b - centre) ** 2, 0) / 19;
    expect(sandwich / (s2 / 20 / 100)).toBeCloseTo(1, 9);
  });
});

describe('intervals cover the truth when errors are shared within a stretch', () => {
  const small: Truth = { ...truth, quadratic: 0, offset: 0 };

  /** Share of 300 runs whose interval holds the truth, and mean standard error over the scatter that the values really have. */
  function repeated(stretches: number, makeErrors: (random: Random) => (s: number, k: number) => number) {
    const runs = 300;
    const fits = Array.from({ length: runs }, (_, seed) => {
      const error = makeErrors(createRandom(`coverage ${seed}`));
      return fitRows(rows(stretches, 6, small, error), oneDirection, signals) as Fit;
    });
    return (['inertia', 'coulomb', 'viscous'] as const).map((name) => {
      const found = fits.map((f) => termEstimate(f, name, 1) as Estimate);
      const hits = found.filter(({ interval95: [a, b] }) => a <= small[name] && small[name] <= b).length;
      const scatter = Math.sqrt(found.reduce((s, e) => s + (e.value - small[name]) ** 2, 0) / runs);
      return { covered: hits / runs, width: found.reduce((s, e) => s + e.standardError, 0) / runs / scatter };
    });
  }

  const shared =
    (own: number, common: number) =>
    (random: Random): ((s: number, k: number) => number) => {
      const ofStretch = new Map<number, number>();
      return (s) => {
        let u = ofStretch.get(s);
        if (u === undefined) ofStretch.set(s, (u = common * random.normal()));
        return u + own * random.normal();
      };
    };

  test.each([
    ['independent windows', 24, shared(0.2, 0)],
    ['half shared', 24, shared(0.2, 0.2)],
    ['mostly shared', 24, shared(0.05, 0.3)],
    ['mostly shared, more stretches', 60, shared(0.05, 0.3)],
  ] as const)('%s', (_, stretches, errors) => {
    for (const { covered, width } of repeated(stretches, errors)) {
      expect(covered).toBeGreaterThanOrEqual(0.9);
      expect(width).toBeGreaterThan(0.85);
    }
  });

  test('not by being wide for nothing: with independent errors at most half as wide again as the scatter', () => {
    for (const { width } of repeated(24, shared(0.2, 0))) expect(width).toBeLessThan(1.5);
  });

  test('of few stretches with errors that follow each other (ρ = 0.8)', () => {
    const errors = (random: Random): ((s: number, k: number) => number) => {
      let e = 0;
      return (_, k) => (e = k === 0 ? 0.3 * random.normal() : 0.8 * e + 0.6 * 0.3 * random.normal());
    };
    for (const { covered } of repeated(12, errors)) expect(covered).toBeGreaterThanOrEqual(0.9);
  });

  test('shared errors make intervals wider than the same errors on their own', () => {
    const width = (own: number, common: number): number => {
      let sum = 0;
      for (let seed = 0; seed < 40; seed++) {
        const error = shared(own, common)(createRandom(seed));
        const fit = fitRows(rows(24, 6, small, error), oneDirection, signals) as Fit;
        sum += termEstimate(fit, 'coulomb', 1)?.standardError ?? 0;
      }
      return sum;
    };
    expect(width(0, 0.3)).toBeGreaterThan(1.5 * width(0.3, 0));
  });
});

test('an estimate of two degrees of freedom: 4.3027 standard errors, of a million 1.96', () => {
  // Student's t table, 97.5 %: 4.303 for 2, 1.960 for infinity.
  const few = estimate(1, 4, 2);
  expect(few.standardError).toBe(2);
  expect(few.interval95[1] - 1).toBeCloseTo(2 * 4.3027, 3);
  expect(1 - few.interval95[0]).toBeCloseTo(2 * 4.3027, 3);
  expect(estimate(0, 1, 1e6).interval95[1]).toBeCloseTo(1.96, 3);
});

test('the Stribeck decay falls from 1, to 1/e at the decay speed, and its derivative is that of finite differences', () => {
  for (const exponent of [1, 2] as const) {
    const at = (speed: number, w: number) => stribeckDecay({ speed, excess: 1, exponent }, w);
    expect(at(3, 0).share).toBe(1);
    expect(at(3, 3).share).toBeCloseTo(Math.exp(-1), 12);
    for (const w of [0.5, 2, 7]) {
      const h = 1e-5;
      expect(at(3, w).derivative).toBeCloseTo((at(3 + h, w).share - at(3 - h, w).share) / (2 * h), 8);
    }
  }
});
