import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { isTautlineError } from '../../../../src/engine/errors.js';
import { predictRoll } from '../../../../src/engine/program/roll/predictRoll.js';
import type { RollInput } from '../../../../src/engine/program/roll/rollInput.js';

const film: RollInput = {
  web: {
    width: 1,
    caliper: 25e-6,
    modulus: 4.5e9,
    poisson: 0.01,
    density: 1390,
    friction: 0.3,
    stack: { law: 'exponential', k1: 3000, k2: 120 },
  },
  core: { outerRadius: 0.0445, stiffness: 1e10 },
  laps: 60,
  tension: { law: 'constant', start: 125 },
  nip: 0,
  method: 'centre',
  speed: 5,
  stop: { deceleration: 2, brakedAt: 'core' },
};
const with_ = (path: string, value: number): RollInput => {
  const copy = structuredClone(film) as unknown as Record<string, Record<string, unknown>>;
  const [area, key] = path.split('.') as [string, string | undefined];
  if (key === undefined) (copy as Record<string, unknown>)[area] = value;
  else (copy[area] as Record<string, unknown>)[key] = value;
  return copy as unknown as RollInput;
};
const places = [
  'web.width',
  'web.caliper',
  'web.modulus',
  'web.poisson',
  'web.density',
  'web.friction',
  'web.strength',
  'core.outerRadius',
  'core.stiffness',
  'laps',
  'nip',
  'speed',
  'stop.deceleration',
  'tension.start',
];

describe('the prediction of a roll', () => {
  it('refuses a value that is no number wherever it stands', () => {
    for (const place of places)
      expect(() => predictRoll(with_(place, Number.NaN)), place).toThrow(
        expect.objectContaining({ code: 'argument_invalid' }),
      );
    expect(() =>
      predictRoll({
        ...film,
        tension: {
          law: 'table',
          points: [
            { diameter: 0.09, value: Number.NaN },
            { diameter: 0.1, value: 1 },
          ],
        },
      }),
    ).toThrow(expect.objectContaining({ code: 'argument_invalid' }));
  });

  it('refuses friction 0, negative values and half laps', () => {
    for (const [place, value] of [
      ['web.friction', 0],
      ['web.caliper', 0],
      ['web.modulus', -1],
      ['web.poisson', 30],
      ['core.stiffness', 0],
      ['laps', 0],
      ['laps', 2.5],
      ['nip', -1],
      ['speed', -1],
      ['stop.deceleration', 0],
    ] as const)
      expect(() => predictRoll(with_(place, value)), `${place} ${value}`).toThrow(
        expect.objectContaining({ code: 'argument_invalid' }),
      );
  });

  it('of any single value off by up to a million is a coded error, or all numbers with findings that name what is odd where a result is', () => {
    const sound = predictRoll(film).findings.map((f) => f.code);
    fc.assert(
      fc.property(
        fc.constantFrom(...places.filter((p) => p !== 'laps')),
        fc.double({ min: -6, max: 6, noNaN: true }),
        (place, power) => {
          const [area, key] = place.split('.') as [keyof RollInput, string | undefined];
          const before = (key === undefined ? film[area] : (film[area] as never)[key]) as number;
          let roll: ReturnType<typeof predictRoll>;
          try {
            roll = predictRoll(with_(place, (before || 1) * 10 ** power));
          } catch (error) {
            expect(isTautlineError(error)).toBe(true);
            return;
          }
          for (const values of [roll.radius, roll.pressure, roll.hoopStress, roll.woundOnTension])
            expect(values.every(Number.isFinite)).toBe(true);
          // Tension, modulus or caliper a thousand times too large or small never passes without a word.
          if (['tension.start', 'web.modulus', 'web.caliper'].includes(place) && Math.abs(power) >= 3.8)
            expect(
              roll.findings.some((f) => f.severity !== 'info' && !sound.includes(f.code)),
              `${place} × 10^${power}`,
            ).toBe(true);
        },
      ),
      { numRuns: 300 },
    );
  });
});
