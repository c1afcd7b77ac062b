import { describe, expect, test } from 'vitest';
import { predictRoll } from '../../../../src/engine/program/roll/predictRoll.js';
import { rollBand } from '../../../../src/engine/program/roll/rollBand.js';
import type { RollUncertainty } from '../../../../src/engine/program/roll/rollInput.js';
import { scaledStack, spreadOf } from '../../../../src/engine/program/roll/rollSpread.js';
import { stackModulus } from '../../../../src/engine/roll/stress/stackModulus.js';
import type { StackLaw } from '../../../../src/engine/web/web.js';
import { newsprintRoll } from '../../../support/newsprintRoll.js';

const newsprint = newsprintRoll(150);
const still = { pressure: 0, slope: 0 };
const none = { modulus: 0, stack: still, friction: 0 };

describe('a band of rolls', () => {
  test('without any spread is the predicted roll', () => {
    const band = rollBand(newsprint, { rolls: 3, uncertainty: none });
    const roll = predictRoll(newsprint);
    for (const k of [0, 30, 100]) {
      const i = Math.round((k * 149) / 100);
      expect(band.radius[k]).toBe(roll.radius[i]);
      for (const part of ['low', 'middle', 'high'] as const) {
        expect(band.pressure[part][k]).toBeCloseTo(roll.pressure[i] as number, 6);
        expect(band.hoopStress[part][k]).toBeCloseTo(roll.hoopStress[i] as number, 3);
      }
    }
    // friction as stated here, at its low end there
    expect(band.smallestSlip?.middle).toBeCloseTo((roll.slip?.smallest.value as number) / 0.7, 9);
  });

  test('friction alone moves the margin in proportion and no pressure', () => {
    const band = rollBand(newsprint, { rolls: 400, uncertainty: { ...none, friction: 0.3 } });
    expect(Math.max(...band.pressure.high.map((p, k) => p - (band.pressure.low[k] as number)))).toBe(0);
    const { low = 0, middle = 0, high = 0 } = band.smallestSlip ?? {};
    // log-normal with a 95 % half width of 30 %: 1.3 and 1/1.3 of the middle; 400 draws know a quantile to some 5 %
    expect(high / middle / 1.3).toBeGreaterThan(0.93);
    expect(high / middle / 1.3).toBeLessThan(1.07);
    expect(middle / low / 1.3).toBeGreaterThan(0.93);
    expect(middle / low / 1.3).toBeLessThan(1.07);
  });

  test('the plateau follows P ≈ K2·T²/(2·E_t): 10 % in K2 is 10 % in pressure, 10 % in E_t too', () => {
    const rise = (own: RollUncertainty): number => {
      const uncertainty = { ...none, ...own };
      const band = rollBand({ ...newsprint, laps: 400 }, { rolls: 200, uncertainty });
      return (band.pressure.high[50] as number) / (band.pressure.middle[50] as number);
    };
    // the formula is the thin-layer limit for K1 << P << E_t/K2 (roll of constant tension); here P is about 3 to 5 K1
    expect(rise({ stack: { pressure: 0, slope: 0.1 } })).toBeGreaterThan(1.05);
    expect(rise({ stack: { pressure: 0, slope: 0.1 } })).toBeLessThan(1.15);
    expect(rise({ modulus: 0.1 })).toBeGreaterThan(1.05);
    expect(rise({ modulus: 0.1 })).toBeLessThan(1.15);
  });

  test('is the same for the same seed, and another one for another seed', () => {
    const [a, b, c] = [1, 1, 2].map((seed) => rollBand(newsprint, { rolls: 20, seed }));
    expect(a).toEqual(b);
    expect(c?.pressure.middle[50]).not.toBe(a?.pressure.middle[50]);
  });

  test('says what share of the rolls slips', () => {
    const slippery = {
      ...newsprint,
      web: {
        ...newsprint.web,
        friction: 0.2 / (rollBand(newsprint, { rolls: 3, uncertainty: none }).smallestSlip?.middle as number),
      },
    };
    // friction such that the margin is 1: half of the rolls slip; 300 draws know a share to about 6 %
    expect(rollBand(slippery, { rolls: 300 }).slipShare).toBeGreaterThan(0.38);
    expect(rollBand(slippery, { rolls: 300 }).slipShare).toBeLessThan(0.62);
  });

  test('ends when it is told to, with what was wound', () => {
    const seen: number[] = [];
    const band = rollBand(newsprint, {
      rolls: 100,
      onProgress: (done) => {
        seen.push(done);
        return done < 30;
      },
    });
    expect(seen).toEqual([10, 20, 30]);
    expect(band.rolls).toBe(30);
  });

  test.each([
    { law: 'exponential', k1: 3000, k2: 30 },
    { law: 'saturating', atRest: 1e5, highest: 1e7, scale: 5e4 },
    { law: 'polynomial', coefficients: [1e5, 30, 1e-4] },
  ] as StackLaw[])('a scaled $law law is s·p·E(P/p)', (law) => {
    const [p, s] = [1.3, 0.8];
    const [before, after] = [stackModulus(law), stackModulus(scaledStack(law, p, s))];
    for (const pressure of [0, 1e3, 2e4, 1e5])
      expect(after.at(pressure) / (s * p * before.at(pressure / p))).toBeCloseTo(1, 12);
  });

  // K1 and K2 that vary against each other, as a stack test has them
  const tested = {
    law: 'exponential',
    interval95: [
      [2000, 4500],
      [24, 37.5],
    ],
    correlation: [
      [1, -0.95],
      [-0.95, 1],
    ],
  } as const;

  test('of a tested stack is narrower than one whose K1 and K2 are drawn without regard to each other', () => {
    const width = (correlation: number): number => {
      const rows = [
        [1, correlation],
        [correlation, 1],
      ];
      const stack = { ...tested, correlation: rows };
      const { low, high } = rollBand(newsprint, { rolls: 300, uncertainty: { ...none, stack } }).pressure;
      return (high[50] as number) / (low[50] as number) - 1;
    };
    expect(width(-0.95)).toBeLessThan(0.75 * width(0));
    expect(width(0.95)).toBeGreaterThan(1.1 * width(0));
  });

  test('takes what the roll states of its web, and what the caller states before that', () => {
    const stated = { ...newsprint, uncertainty: { modulus: 0, friction: 0, stack: tested } };
    const band = rollBand(stated, { rolls: 20 });
    expect(band).toEqual(rollBand(newsprint, { rolls: 20, uncertainty: stated.uncertainty }));
    expect(band.pressure.middle).not.toEqual(rollBand(newsprint, { rolls: 20 }).pressure.middle);
    expect(rollBand(stated, { rolls: 3, uncertainty: none }).pressure.high).toEqual(
      rollBand(newsprint, { rolls: 3, uncertainty: none }).pressure.low,
    );
  });

  test('draws each part the same whatever the spread of the others', () => {
    // friction alone moves margins: with a tested stack of no width its draws are those without a stack test
    const width0 = { ...tested, interval95: [[3000, 3000] as const, [30, 30] as const] };
    const [a, b] = [still, width0].map((stack) =>
      rollBand(newsprint, { rolls: 30, uncertainty: { modulus: 0, friction: 0.2, stack } }),
    );
    expect(a?.smallestSlip?.low).toBe(b?.smallestSlip?.low);
    expect(a?.smallestSlip?.high).toBe(b?.smallestSlip?.high);
  });

  test('says what was stated, what a stack test found and what is usual', () => {
    expect(spreadOf()).toEqual({
      modulus: { share: 0.1, provenance: 'usual' },
      friction: { share: 0.3, provenance: 'usual' },
      stack: {
        by: 'shares',
        pressure: { share: 0.3, provenance: 'usual' },
        slope: { share: 0.1, provenance: 'usual' },
      },
    });
    expect(spreadOf({ friction: 0.05, stack: tested })).toEqual({
      modulus: { share: 0.1, provenance: 'usual' },
      friction: { share: 0.05, provenance: 'stated' },
      stack: { by: 'stack test', test: tested },
    });
    expect(() => spreadOf({ modulus: -0.1 })).toThrow(/uncertainty of modulus/);
    expect(() => spreadOf({ friction: Number.NaN })).toThrow(/uncertainty of friction/);
  });
});
