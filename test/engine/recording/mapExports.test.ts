import { describe, expect, it } from 'vitest';
import { mapChannels } from '../../../src/engine/recording/mapChannels.js';
import type { RawColumn } from '../../../src/engine/recording/recording.js';
import { column, drive, ramp, table, time } from './tables.js';

/** Columns as drives and historians export them beside what is needed, or in place of it. */
const ones = (header: string, unit: string | undefined): RawColumn =>
  column(
    header,
    unit,
    ramp(50, () => 1),
  );
const speed = ones('motor speed', 'rad/s');
const torque = ones('torque', 'Nm');
const codes = (r: { findings: readonly { code: string; severity: string }[] }): string[] =>
  r.findings.map((f) => `${f.code}:${f.severity}`);

describe('channels of several rates in one file', () => {
  const n = 120;
  const every = (k: number, at = 0): number[] => ramp(n, (i) => (i % k === at ? 1 + i : Number.NaN));

  it('rows without torque or speed are passed over, and what is left is evenly sampled', () => {
    const r = mapChannels(
      table(time(n), column('motor speed', 'rad/s', every(3)), column('torque', 'Nm', every(1))),
      drive,
    );
    expect(codes(r)).toEqual(['missing_samples:info']);
    expect(r.time).toHaveLength(40);
    expect(r.time[7]).toBeCloseTo(0.21, 12);
    expect(r.channels['motor-torque']?.values[7]).toBe(22);
    expect(r.channels['motor-speed']?.values[7]).toBe(22);
  });

  it('no row with both: refused, and nothing is filled in', () => {
    const r = mapChannels(
      table(time(n), column('motor speed', 'rad/s', every(2)), column('torque', 'Nm', every(2, 1))),
      drive,
    );
    expect(r.findings.filter((f) => f.severity === 'refuse')).toMatchObject([
      {
        code: 'missing_samples',
        where: { rows_with_both: 0 },
        next: expect.stringContaining('same instants'),
      },
    ]);
  });

  it('a longer stretch without torque, as in a coast-down, stays', () => {
    const off = ramp(n, (i) => (i > 80 ? Number.NaN : 1));
    const r = mapChannels(
      table(time(n), column('motor speed', 'rad/s', every(1)), column('torque', 'Nm', off)),
      drive,
    );
    expect(r.time).toHaveLength(n);
    expect(r.channels['motor-speed']?.values[100]).toBe(101);
  });
});

describe('a position that starts again every turn', () => {
  const degrees = (step: number): RawColumn =>
    column(
      'motor position',
      'deg',
      ramp(50, (i) => (i * step) % 360),
    );

  it('is carried on, with a remark', () => {
    const r = mapChannels(table(time(), degrees(50), torque), drive);
    expect(codes(r)).toEqual(['position_wrapped:info']);
    expect(r.channels['motor-position']?.values[40]).toBeCloseTo((2000 * Math.PI) / 180, 9);
  });

  it('is refused when its way cannot be followed', () => {
    expect(codes(mapChannels(table(time(), degrees(170), torque), drive))).toEqual([
      'position_wrapped:refuse',
    ]);
  });
});

describe('columns that could fill an open role but for their unit', () => {
  it.each([
    ['speed act', '%', '"%" is no unit of it'],
    ['speed act', 'Hz', 'pole pairs'],
  ])('%s in %s: named, with why', (header, unit, why) => {
    const r = mapChannels(table(time(), ones(header, unit), torque), drive);
    expect(r.findings).toMatchObject([
      { code: 'units_missing', severity: 'refuse', message: expect.stringContaining(why), where: { header } },
    ]);
  });

  it('a speed reference in percent is left out with a warning; the rest goes on', () => {
    const r = mapChannels(table(time(), ones('speed ref', '%'), speed, torque), drive);
    expect(codes(r)).toEqual(['units_missing:warn']);
    expect(r.channels['motor-speed']).toBeDefined();
  });

  it('a roller speed in rpm may be that of the motor: the user says which', () => {
    const r = mapChannels(table(time(), ones('roll speed act', 'rpm'), torque), drive);
    expect(r.findings).toMatchObject([
      { code: 'role_ambiguous', severity: 'refuse', next: expect.stringContaining('roller-speed=') },
    ]);
  });

  it('nothing is said when another column fills the role', () => {
    const r = mapChannels(table(time(), ones('speed act', '%'), speed, torque), drive);
    expect(codes(r)).toEqual([]);
  });
});

describe('time twice', () => {
  it('the finer one serves when many rows share a stamp of the first', () => {
    const stamps = column(
      'timestamp',
      undefined,
      ramp(50, (i) => Math.floor(i / 10)),
      { kind: 'datetime' },
    );
    const fine = column(
      'time',
      'ms',
      ramp(50, (i) => 100 * i),
    );
    const r = mapChannels(table(stamps, fine, speed, torque), drive);
    expect(r.timeSource.header).toBe('time');
    expect(r.time[3]).toBeCloseTo(0.3, 12);
    expect(codes(r)).toEqual([]);
  });

  it('not one that runs backwards, which is no time of the recording', () => {
    const stamps = column(
      'timestamp',
      undefined,
      ramp(50, (i) => Math.floor(i / 10)),
      { kind: 'datetime' },
    );
    const cycle = column(
      'cycle time',
      'ms',
      ramp(50, (i) => 4 + Math.sin(i)),
    );
    expect(mapChannels(table(stamps, cycle, speed, torque), drive).timeSource.header).toBe('timestamp');
  });
});
