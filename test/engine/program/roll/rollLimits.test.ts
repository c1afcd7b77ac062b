import { describe, expect, it } from 'vitest';
import { predictRoll } from '../../../../src/engine/program/roll/predictRoll.js';
import type { RollInput } from '../../../../src/engine/program/roll/rollInput.js';
import { limitFindings, pressureDip, rollLimits } from '../../../../src/engine/program/roll/rollLimits.js';
import { newsprintRoll } from '../../../support/newsprintRoll.js';

const radius = Float64Array.from([1, 2, 3, 4, 5]);
const dip = (...pressure: number[]) => pressureDip({ radius, pressure: Float64Array.from(pressure) });

describe('a dip of the pressure', () => {
  it('is the place that lies deepest below what is further out, by hand', () => {
    expect(dip(9, 4, 8, 6, 1)).toEqual({
      radius: 2,
      pressure: 4,
      outside: { radius: 3, pressure: 8 },
      depth: 0.5,
    });
    expect(dip(3, 9, 8, 6, 1)?.depth).toBeCloseTo(2 / 3, 12);
  });

  it('is none where the pressure falls outwards or stays', () => {
    expect(dip(9, 8, 8, 6, 1)).toBeUndefined();
  });
});

describe('limits of a roll', () => {
  const newsprint = newsprintRoll(200);
  const limitsOf = (more: Partial<RollInput>) => predictRoll({ ...newsprint, ...more }).limits;
  const kept = (more: Partial<RollInput>) =>
    Object.fromEntries(limitsOf(more).map((l) => [l.name, l.isKept]));
  const codes = (more: Partial<RollInput>) =>
    predictRoll({ ...newsprint, ...more }).findings.map((f) => f.code);

  it('are judged where they are stated, on the right side', () => {
    const values = Object.fromEntries(limitsOf({}).map((l) => [l.name, l.value]));
    expect(kept({})).toEqual({
      'hoop stress': values['hoop stress'] >= 0,
      pressure: undefined,
      'core pressure': undefined,
      'outer pressure': undefined,
    });
    for (const [key, name, code] of [
      ['highestPressure', 'pressure', 'pressure_too_high'],
      ['highestCorePressure', 'core pressure', 'core_pressure_too_high'],
      ['lowestOuterPressure', 'outer pressure', 'outer_pressure_low'],
    ] as const) {
      const side = key === 'lowestOuterPressure' ? -1 : 1;
      const tight = { [key]: values[name] * (1 - 0.01 * side) };
      const wide = { [key]: values[name] * (1 + 0.01 * side) };
      expect(kept(tight)[name]).toBe(false);
      expect(codes(tight)).toContain(code);
      expect(kept(wide)[name]).toBe(true);
      expect(codes(wide)).not.toContain(code);
    }
  });

  it('take the outer pressure at 95 % of the build and the core pressure at the core', () => {
    const pressure = Float64Array.from({ length: 101 }, (_, i) => 1000 - 5 * i);
    const found = rollLimits(newsprint, {
      radius: Float64Array.from(pressure, (_, i) => 1 + i),
      pressure,
      hoopStress: new Float64Array(101),
    });
    expect(found.find((l) => l.name === 'outer pressure')).toMatchObject({ value: 525, radius: 96 });
    expect(found.find((l) => l.name === 'core pressure')).toMatchObject({ value: 1000, radius: 1 });
    expect(found.find((l) => l.name === 'pressure')).toMatchObject({ value: 1000, radius: 1 });
  });

  it('mention a dip from 5 % on and warn from 20 % on: a roll wound loose and then tight', () => {
    const step = (end: number): Partial<RollInput> => ({
      tension: {
        law: 'table',
        points: [
          { diameter: 0.1, value: 200 },
          { diameter: 0.28, value: 200 },
          { diameter: 0.32, value: end },
          { diameter: 0.5, value: end },
        ],
      },
    });
    const severity = (end: number) =>
      predictRoll({ ...newsprint, ...step(end) }).findings.find((f) => f.code === 'pressure_dip')?.severity;
    expect(severity(200)).toBeUndefined();
    expect(severity(600)).toBe('warn');
    const shallow = [210, 220, 230, 240, 260].map(severity);
    expect(shallow).toContain('info');
  });

  it('say nothing where all is kept', () => {
    expect(
      limitFindings([{ name: 'pressure', value: 1, radius: 1, limit: 2, isKept: true }], undefined, 'si'),
    ).toEqual([]);
  });
});
