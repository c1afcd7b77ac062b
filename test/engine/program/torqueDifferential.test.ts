import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  differentialRange,
  drumTraction,
  share1,
  share2,
} from '../../../src/engine/program/torqueDifferential.js';
import { fromSI, toSI } from '../../../src/engine/units/convert.js';

const force = (max: number) => fc.double({ min: 0, max, noNaN: true });

describe('shares', () => {
  test('600 with 200 more into the roll: 400 and 200', () => {
    expect([share1(600, 200), share2(600, 200)]).toEqual([400, 200]);
    expect([share1(600, -200), share2(600, -200)]).toEqual([200, 400]);
    expect([share1(600, 0), share2(600, 0)]).toEqual([300, 300]);
    // beyond the tension one motor holds back
    expect([share1(600, 700), share2(600, 700)]).toEqual([650, -50]);
  });

  test('US twin: 4 pli with 1 pli differential is 2.5 and 1.5 pli', () => {
    const [t, d] = [toSI(4, 'tensionPerWidth', 'pli'), toSI(1, 'tensionPerWidth', 'pli')];
    expect(fromSI(share1(t, d), 'tensionPerWidth', 'pli')).toBeCloseTo(2.5, 13);
    expect(fromSI(share2(t, d), 'tensionPerWidth', 'pli')).toBeCloseTo(1.5, 13);
  });

  test('add up to the tension to the last bit while the differential is at most three times the tension', () => {
    fc.assert(
      fc.property(force(1e5), fc.double({ min: -3, max: 3, noNaN: true }), (tension, ratio) => {
        const d = Math.abs(ratio * tension) > 3 * tension ? 3 * tension : ratio * tension;
        expect(share1(tension, d) + share2(tension, d)).toBe(tension);
      }),
      { numRuns: 5000 },
    );
  });

  test('beyond that within a unit in the last place of a share', () => {
    fc.assert(
      fc.property(force(1e3), fc.double({ min: -1e6, max: 1e6, noNaN: true }), (tension, d) => {
        const [s1, s2] = [share1(tension, d), share2(tension, d)];
        // and the smallest doubles, where halving itself rounds
        const ulp = Number.EPSILON * Math.max(Math.abs(s1), Math.abs(s2)) + Number.MIN_VALUE;
        expect(Math.abs(s1 + s2 - tension)).toBeLessThanOrEqual(ulp);
        expect(Math.abs(s1 - s2 - d)).toBeLessThanOrEqual(4 * ulp);
      }),
      { numRuns: 2000 },
    );
  });

  test('the plain formulas do not always add up: the reason for the subtraction', () => {
    const [tension, d] = [0.1, 0.3 - 0.1];
    let missed = 0;
    for (let k = 1; k <= 1000; k++)
      if ((tension * k + d) / 2 + (tension * k - d) / 2 !== tension * k) missed++;
    expect(missed).toBeGreaterThan(0);
  });

  test('share 1 rises and share 2 falls with the differential', () => {
    fc.assert(
      fc.property(force(1e3), force(1e3), force(1e3), (tension, a, b) => {
        const [low, high] = a < b ? [a - 500, b - 500] : [b - 500, a - 500];
        expect(share1(tension, high)).toBeGreaterThanOrEqual(share1(tension, low));
        expect(share2(tension, high)).toBeLessThanOrEqual(share2(tension, low));
      }),
    );
  });
});

describe('drum traction', () => {
  test('a nip alone: ±μ·N', () => {
    expect(drumTraction(0.2, 400, 300, 0)).toEqual({ lower: -80, upper: 80 });
  });

  test('a wrap alone is the capstan ratio between the tensions either side', () => {
    // exp(0.2·π) = 1.874456 and exp(0.3·π/2) = 1.601978, worked out apart from this code.
    for (const [friction, wrap, ratio] of [
      [0.2, Math.PI, 1.874456],
      [0.3, Math.PI / 2, 1.601978],
    ] as const) {
      const { lower, upper } = drumTraction(friction, 0, 300, wrap);
      // Tension after the drum is what came minus what the drum took over.
      expect(300 / (300 - upper)).toBeCloseTo(ratio, 6);
      expect((300 - lower) / 300).toBeCloseTo(ratio, 6);
    }
  });

  test('driving can never take over more than the tension through the wrap', () => {
    fc.assert(
      fc.property(force(1), force(500), force(20), (friction, tension, wrap) => {
        expect(drumTraction(friction, 0, tension, wrap).upper).toBeLessThanOrEqual(tension);
      }),
    );
  });

  test('small wraps: friction times the force of the wrap, T·β, as by a nip of that force', () => {
    const { lower, upper } = drumTraction(0.25, 0, 200, 1e-6);
    expect(upper / (0.25 * 200e-6)).toBeCloseTo(1, 6);
    expect(lower / -(0.25 * 200e-6)).toBeCloseTo(1, 6);
  });

  test('the wrap integrates as dT = −μ·T·dβ in small steps', () => {
    const [friction, wrap, steps] = [0.3, 2, 200_000];
    let tension = 300;
    for (let k = 0; k < steps; k++) tension -= (friction * tension * wrap) / steps;
    expect(drumTraction(friction, 50, 300, wrap).upper).toBeCloseTo(300 - tension + 15, 3);
  });

  test.each([
    [-0.1, 1, 1, 0],
    [0.2, Number.NaN, 1, 0],
    [0.2, 1, Number.POSITIVE_INFINITY, 0],
    [0.2, 1, 1, -1],
  ])('refuses friction %d, nip %d, tension %d, wrap %d', (friction, nip, tension, wrap) => {
    expect(() => drumTraction(friction, nip, tension, wrap)).toThrowError(
      expect.objectContaining({ code: 'argument_invalid', where: { friction, nip, tension, wrap } }),
    );
  });
});

describe('range of the differential', () => {
  const wide = { lower: -1e4, upper: 1e4 };

  test('each limit binds in its turn', () => {
    const t = 300;
    expect(differentialRange(t, { motor1: { lower: -50, upper: 400 }, motor2: wide })).toEqual({
      lower: -400,
      upper: 500,
      lowerBy: 'motor1',
      upperBy: 'motor1',
    });
    expect(differentialRange(t, { motor1: wide, motor2: { lower: -50, upper: 400 } })).toEqual({
      lower: -500,
      upper: 400,
      lowerBy: 'motor2',
      upperBy: 'motor2',
    });
    expect(
      differentialRange(t, { motor1: wide, motor2: wide, traction2: drumTraction(0.2, 400, t, 0) }),
    ).toEqual({ lower: 140, upper: 460, lowerBy: 'traction2', upperBy: 'traction2' });
    expect(
      differentialRange(t, {
        motor1: { lower: 0, upper: 200 },
        motor2: wide,
        traction1: drumTraction(0.2, 300, t, 0),
        traction2: drumTraction(0.2, 2000, t, 0),
      }),
    ).toMatchObject({ upper: -180, upperBy: 'traction1', lower: -300, lowerBy: 'motor1' });
  });

  const range = fc
    .tuple(fc.double({ min: -800, max: 800, noNaN: true }), force(900))
    .map(([lower, width]) => ({ lower, upper: lower + width }));

  test('within it every share is inside its limits, just outside one is not: the one named', () => {
    fc.assert(
      fc.property(force(600), range, range, range, range, (t, motor1, motor2, traction1, traction2) => {
        const limits = { motor1, motor2, traction1, traction2 };
        const { lower, upper, lowerBy, upperBy } = differentialRange(t, limits);
        const inside = (d: number, name: keyof typeof limits): boolean => {
          const s = name.endsWith('1') ? (t + d) / 2 : (t - d) / 2;
          return s >= limits[name].lower - 1e-9 && s <= limits[name].upper + 1e-9;
        };
        expect(inside(lower - 1e-3, lowerBy)).toBe(false);
        expect(inside(upper + 1e-3, upperBy)).toBe(false);
        if (lower > upper) return;
        for (const d of [lower, (lower + upper) / 2, upper])
          for (const name of ['motor1', 'motor2', 'traction1', 'traction2'] as const)
            expect(inside(d, name)).toBe(true);
      }),
    );
  });

  test('none is left when the tension exceeds what both motors make together', () => {
    const limits = { motor1: { lower: 0, upper: 120 }, motor2: { lower: 0, upper: 180 } };
    expect(differentialRange(300, limits)).toMatchObject({ lower: -60, upper: -60 });
    const { lower, upper, lowerBy, upperBy } = differentialRange(301, limits);
    expect(lower).toBeGreaterThan(upper);
    expect([lowerBy, upperBy]).toEqual(['motor2', 'motor1']);
  });

  test('limits the wrong way round are refused by name', () => {
    expect(() => differentialRange(300, { motor1: wide, motor2: { lower: 5, upper: -5 } })).toThrowError(
      expect.objectContaining({ where: { limit: 'motor2', lower: 5, upper: -5 } }),
    );
    expect(() =>
      differentialRange(300, { motor1: { lower: Number.NaN, upper: 1 }, motor2: wide }),
    ).toThrowError(/motor1/);
  });
});
