import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  checkCoefficients,
  defaultCoefficients,
  isMeasured,
  nipInducedTension,
  twoDrumBounds,
  twoDrumWoundOnTension,
  type WoundOnCoefficients,
  woundOnBounds,
  woundOnTension,
} from '../../../src/engine/roll/woundOnTension.js';

const measured = (slope: number, most: number, lambda: number): WoundOnCoefficients => ({
  nipCoefficient: { value: slope, provenance: 'measured' },
  nipTensionMax: { value: most, provenance: 'measured' },
  lambda: { value: lambda, provenance: 'measured' },
});
const force = fc.double({ min: 0, max: 2000, noNaN: true });
const share = fc.double({ min: 0, max: 1, noNaN: true });
const coefficients = fc
  .tuple(share, force, share)
  .map(([slope, most, lambda]) => measured(slope, most, lambda));
/** Share 1 by design: (T + d)/2, written out here so that these tests do not lean on the program's code. */
const share1 = (tension: number, differential: number): number => (tension + differential) / 2;

describe('winders with one nip', () => {
  test('newsprint with μ 0.19 (Good, Hartwig and Markum 1999): limits of centre and surface winding', () => {
    const c = measured(0.19, Number.POSITIVE_INFINITY, 0.5);
    // centre, idle nip of 1000 N/m at 300 N/m: T + μ·N; without nip T; surface: μ·N, whatever T
    expect(woundOnTension(c, 300, 1000)).toBeCloseTo(490, 10);
    expect(woundOnTension(c, 300, 0)).toBe(300);
    expect(woundOnTension(c, 0, 1000)).toBeCloseTo(190, 10);
  });

  test('centre-surface, 600 N/m in shares of 400 and 200: 400 + μ·N', () => {
    expect(woundOnTension(measured(0.2, 1e3, 0.5), share1(600, 200), 500)).toBeCloseTo(500, 10);
  });

  test('nip-induced tension: proportional, then level; none without contact', () => {
    const c = measured(0.2, 100, 0.5);
    expect(nipInducedTension(c, 250)).toBeCloseTo(50, 12);
    expect(nipInducedTension(c, 500)).toBeCloseTo(100, 12);
    expect(nipInducedTension(c, 5000)).toBe(100);
    expect(nipInducedTension(c, -20)).toBe(0);
    // the default has no level, and 0 nip is 0 even so
    expect(nipInducedTension(defaultCoefficients(0.3), 0)).toBe(0);
  });

  test('half of the differential arrives', () => {
    fc.assert(
      fc.property(coefficients, force, force, force, (c, tension, nip, d) => {
        const rise = woundOnTension(c, share1(tension, d), nip) - woundOnTension(c, share1(tension, 0), nip);
        expect(rise).toBeCloseTo(d / 2, 8);
      }),
    );
  });

  test('value within the bounds of statics while the slope is not above the friction', () => {
    fc.assert(
      fc.property(coefficients, force, force, share, (c, core, nip, more) => {
        const friction = c.nipCoefficient.value + more;
        const { lower, upper } = woundOnBounds(friction, core, nip);
        const value = woundOnTension(c, core, nip);
        expect(value).toBeGreaterThanOrEqual(lower);
        expect(value).toBeLessThanOrEqual(upper);
        expect(lower).toBeGreaterThanOrEqual(0);
      }),
    );
    expect(woundOnBounds(0.3, 200, 400)).toEqual({ lower: 80, upper: 320 });
  });

  test('lap balance: what the drum takes out and the roll hands back', () => {
    // Follow the lap through the nip: web tension, minus the drum's pull, plus what slips over from the roll.
    fc.assert(
      fc.property(coefficients, force, force, force, (c, tension, d, nip) => {
        const drum = (tension - d) / 2;
        expect(woundOnTension(c, share1(tension, d), nip)).toBeCloseTo(
          tension - drum + nipInducedTension(c, nip),
          8,
        );
      }),
    );
  });
});

describe('two drums', () => {
  const nips = { rear: 1200, front: 1000, rider: 800 };

  test('the two ends of λ: sliding and locked under the front nip', () => {
    const [tension, d] = [300, 100];
    const front = share1(tension, d);
    const sliding = twoDrumWoundOnTension(measured(0.2, 1e4, 0), front, nips);
    const locked = twoDrumWoundOnTension(measured(0.2, 1e4, 1), front, nips);
    // the lap between the drums: what comes in, less the rear drum's pull, plus slip at the rear nip
    const between = tension - (tension - d) / 2 + 0.2 * 1200;
    expect(locked).toBeCloseTo(between + 0.2 * 800, 10);
    expect(sliding).toBeCloseTo(between - front + 0.2 * 1000 + 0.2 * 800, 10);
    expect(sliding).toBeCloseTo(0.2 * 3000, 10);
  });

  test('more on the front drum winds tighter by λ/2, not at all when the lap slides', () => {
    fc.assert(
      fc.property(coefficients, force, force, (c, tension, d) => {
        const rise =
          twoDrumWoundOnTension(c, share1(tension, d), nips) -
          twoDrumWoundOnTension(c, share1(tension, 0), nips);
        expect(rise).toBeCloseTo((c.lambda.value * d) / 2, 8);
        expect(rise).toBeGreaterThanOrEqual(-1e-9);
      }),
    );
    expect(defaultCoefficients(0.3).lambda.value).toBeGreaterThan(0);
  });

  test('bounds are those of every λ', () => {
    fc.assert(
      fc.property(coefficients, force, share, (c, front, lambda) => {
        const { lower, upper } = twoDrumBounds(c, front, nips);
        const value = twoDrumWoundOnTension(
          { ...c, lambda: { value: lambda, provenance: 'default' } },
          front,
          nips,
        );
        expect(value).toBeGreaterThanOrEqual(lower - 1e-9);
        expect(value).toBeLessThanOrEqual(upper + 1e-9);
      }),
    );
    expect(twoDrumBounds(measured(0.2, 1e4, 0.3), 200, nips)).toEqual({ lower: 600, upper: 600 });
    expect(twoDrumBounds(measured(0.2, 1e4, 0.3), 250, nips)).toEqual({ lower: 600, upper: 650 });
  });
});

describe('coefficients', () => {
  test('defaults are friction, no level, and marked as such', () => {
    const c = defaultCoefficients(0.27);
    expect(c.nipCoefficient).toEqual({ value: 0.27, provenance: 'default' });
    expect(c.nipTensionMax).toEqual({ value: Number.POSITIVE_INFINITY, provenance: 'default' });
    expect(isMeasured(c, false)).toBe(false);
  });

  test('measured means every one that enters', () => {
    const c = measured(0.2, 300, 0.4);
    expect(isMeasured(c, true)).toBe(true);
    const guessed = { ...c, lambda: { value: 0.5, provenance: 'default' } } as const;
    expect(isMeasured(guessed, true)).toBe(false);
    expect(isMeasured(guessed, false)).toBe(true);
  });

  test.each([
    ['nipCoefficient', measured(-0.1, 1, 0.5)],
    ['nipCoefficient', measured(Number.NaN, 1, 0.5)],
    ['nipTensionMax', measured(0.1, -1, 0.5)],
    ['nipTensionMax', measured(0.1, Number.NaN, 0.5)],
    ['lambda', measured(0.1, 1, 1.1)],
    ['lambda', measured(0.1, 1, -0.1)],
  ])('refuses a wrong %s', (name, c) => {
    expect(() => checkCoefficients(c)).toThrowError(
      expect.objectContaining({ code: 'argument_invalid', message: expect.stringContaining(name) }),
    );
  });
});
