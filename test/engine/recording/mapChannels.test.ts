import { describe, expect, it } from 'vitest';
import { mapChannels } from '../../../src/engine/recording/mapChannels.js';
import type { RawColumn } from '../../../src/engine/recording/recording.js';
import { column, drive, ramp, table, time } from './tables.js';

const ones = (header: string, unit: string | undefined, more: Partial<RawColumn> = {}): RawColumn =>
  column(
    header,
    unit,
    ramp(50, () => 1),
    more,
  );
const speed = ones('motor speed', 'rad/s');
const torque = ones('torque', 'Nm');
const codes = (r: { findings: readonly { code: string; severity: string }[] }): string[] =>
  r.findings.map((f) => `${f.code}:${f.severity}`);

describe('units', () => {
  // Exact by definition: inch 0.0254 m, pound-force 4.4482216152605 N, 1 rpm = 2 pi / 60 rad/s.
  const lbf = 4.4482216152605;
  it.each([
    ['motor-torque', ones('torque', 'N.m'), 1],
    ['motor-torque', ones('torque', 'lb-ft'), lbf * 0.3048],
    ['motor-torque', ones('torque', 'in-lb'), lbf * 0.0254],
    ['motor-torque', ones('torque', '% of rated'), 0.15],
    ['motor-speed', ones('motor speed', 'rpm'), Math.PI / 30],
    ['motor-position', ones('motor position', 'rev'), 2 * Math.PI],
    ['motor-position', ones('motor position', '°'), Math.PI / 180],
    ['roller-speed', ones('roller speed', 'm/min'), 1 / 60],
    ['roller-speed', ones('roller speed', 'fpm'), 0.3048 / 60],
    ['line-speed', ones('line speed', 'ft/min'), 0.3048 / 60],
    ['roll-diameter', ones('roll diameter', 'mm'), 1e-3],
    ['roll-diameter', ones('roll diameter', 'in'), 0.0254],
    ['web-tension', ones('web tension', 'lbf'), lbf],
    ['web-tension', ones('web tension', 'N/m'), 1.6],
    ['web-tension', ones('web tension', 'pli'), (lbf / 0.0254) * 1.6],
    // at the motor: rpm as it is; at the surface v / r times the gear ratio
    ['speed-reference', ones('speed ref', 'rpm'), Math.PI / 30],
    ['speed-reference', ones('speed ref', 'm/min'), ((1 / 60) * 2.5) / 0.1],
  ] as const)('%s in %o', (role, col, si) => {
    const r = mapChannels(table(time(), col), drive);
    expect(r.channels[role]?.values[7]).toBeCloseTo(si, 12);
    expect(r.channels[role]?.header).toBe(col.header);
    // The unit as the file has it; a share of rated torque is always said as %, as the contract shows it.
    expect(r.channels[role]?.unit).toBe(col.unit === '% of rated' ? '%' : col.unit);
  });

  it('torque stated as a current needs the torque constant', () => {
    const amps = ones('torque current', 'A');
    expect(
      mapChannels(table(time(), amps), { ...drive, torqueConstant: 0.8 }).channels['motor-torque']?.values[3],
    ).toBe(0.8);
    const r = mapChannels(table(time(), speed, amps), drive);
    expect(r.channels['motor-torque']).toBeUndefined();
    expect(r.findings).toMatchObject([
      {
        code: 'units_missing',
        severity: 'refuse',
        next: expect.stringContaining('torque_constant_Nm_per_A'),
      },
    ]);
  });

  it('percent needs the rated torque, tension per width the web width, a surface reference the roller', () => {
    const bare = { name: 'x', element: 'winder', gearRatio: 1 } as const;
    const r = mapChannels(
      table(time(), speed, ones('torque', '%'), ones('web tension', 'N/m'), ones('speed ref', 'm/min')),
      bare,
    );
    expect(r.findings.map((f) => [f.severity, f.where.key])).toEqual(
      expect.arrayContaining([
        ['refuse', 'rated_torque_Nm'],
        ['warn', 'web.width_m'],
        ['warn', 'roller_diameter_m'],
      ]),
    );
    expect(Object.keys(r.channels)).toEqual(['motor-speed']);
  });

  it('never guesses a unit: refused where needed, left out elsewhere, taken when stated', () => {
    const nude = table(
      time(),
      ones('motor speed', undefined),
      ones('torque', undefined),
      ones('line speed', undefined),
    );
    const r = mapChannels(nude, drive);
    expect(r.channels).toEqual({});
    expect(r.findings.map((f) => [f.code, f.severity, f.where.role])).toEqual(
      expect.arrayContaining([
        ['units_missing', 'refuse', 'motor-torque'],
        ['units_missing', 'refuse', 'motor-speed'],
        ['units_missing', 'warn', 'line-speed'],
      ]),
    );
    const stated = mapChannels(nude, drive, { units: { 'motor-speed': 'rpm', 'motor-torque': '%' } });
    expect(stated.channels['motor-speed']?.values[0]).toBeCloseTo(Math.PI / 30, 12);
    expect(stated.channels['motor-torque']?.values[0]).toBeCloseTo(0.15, 12);
  });

  it('names a unit text that it does not know, and refuses one that the user typed', () => {
    const r = mapChannels(table(time(), speed, ones('torque', 'zorkmid')), drive);
    expect(r.findings).toMatchObject([
      { code: 'units_missing', severity: 'refuse', where: { unit: 'zorkmid' } },
    ]);
    expect(r.findings[0].next).toContain('N·m');
    expect(() =>
      mapChannels(table(time(), torque), drive, { units: { 'motor-torque': 'zorkmid' } }),
    ).toThrowError(expect.objectContaining({ code: 'unit_unknown' }));
  });

  it('does without a speed unit when the position tells the motion', () => {
    const r = mapChannels(
      table(time(), torque, ones('motor speed', undefined), ones('motor position', 'rad')),
      drive,
    );
    expect(codes(r)).toEqual(['units_missing:warn']);
    expect(Object.keys(r.channels).sort()).toEqual(['motor-position', 'motor-torque']);
  });

  it('a motor speed stated in surface units is the roller speed', () => {
    const r = mapChannels(table(time(), ones('v1', 'm/s')), drive, { channels: { 'motor-speed': 'v1' } });
    expect(Object.keys(r.channels)).toEqual(['roller-speed']);
  });

  it('a roller speed stated in turns is brought to the surface with the roller radius', () => {
    const r = mapChannels(table(time(), ones('n1', 'rpm')), drive, { channels: { 'roller-speed': 'n1' } });
    expect(r.channels['roller-speed']?.values[0]).toBeCloseTo((Math.PI / 30) * 0.1, 12);
  });

  it('turns the torque when told to, and only the torque', () => {
    const r = mapChannels(table(time(), speed, torque), drive, { flipTorque: true });
    expect([r.channels['motor-torque']?.values[0], r.channels['motor-speed']?.values[0]]).toEqual([-1, 1]);
  });

  it('an enable signal needs no unit; any state but 0 is on', () => {
    const on = column(
      'drive state',
      undefined,
      ramp(50, (i) => (i < 10 ? 0 : 3)),
    );
    const r = mapChannels(table(time(), on), drive, { channels: { 'drive-enabled': 'drive state' } });
    expect(Array.from(r.channels['drive-enabled']!.values.subarray(8, 12))).toEqual([0, 0, 1, 1]);
    expect(codes(r)).toEqual([]);
  });
});

describe('faults of columns', () => {
  const nothing = (header: string, unit: string, more: Partial<RawColumn> = {}) =>
    column(
      header,
      unit,
      ramp(50, () => Number.NaN),
      more,
    );

  it('refuses an empty torque or only speed, leaves out another', () => {
    const r = mapChannels(
      table(time(), nothing('motor speed', 'rpm'), nothing('torque', 'Nm'), nothing('line speed', 'm/s')),
      drive,
    );
    expect(r.findings.map((f) => [f.code, f.severity, f.where.role])).toEqual(
      expect.arrayContaining([
        ['nan_column', 'refuse', 'motor-torque'],
        ['nan_column', 'refuse', 'motor-speed'],
        ['nan_column', 'warn', 'line-speed'],
      ]),
    );
    expect(r.findings).toHaveLength(3);
  });

  it('counts text cells with the first one, and refuses a column that is mostly text', () => {
    const some = ones('torque', 'Nm', { textCells: 3, firstText: { text: 'Bad', line: 17 } });
    expect(mapChannels(table(time(), speed, some), drive).findings).toMatchObject([
      { code: 'text_in_numeric_column', severity: 'warn', where: { cells: 3, line: 17 } },
    ]);
    const most = { ...some, textCells: 26 };
    expect(codes(mapChannels(table(time(), speed, most), drive))).toEqual(['text_in_numeric_column:refuse']);
  });

  it('counts blank cells', () => {
    const holes = column(
      'torque',
      'Nm',
      ramp(50, (i) => (i % 5 === 0 ? Number.NaN : 1)),
    );
    const r = mapChannels(table(time(), speed, holes), drive);
    expect(r.findings).toMatchObject([{ code: 'missing_samples', severity: 'warn', where: { cells: 10 } }]);
    expect(r.channels['motor-torque']?.values[5]).toBeNaN();
  });

  it('passes on what reading found, and goes no further after a refusal', () => {
    const found = { code: 'no_rows', severity: 'refuse', message: '', where: {}, next: '' } as const;
    const r = mapChannels({ ...table(time(), torque), findings: [found] }, drive);
    expect(r.findings).toEqual([found]);
  });

  it('says that a stated unit went nowhere', () => {
    const r = mapChannels(table(time(), speed, torque), drive, { units: { 'web-tension': 'N' } });
    expect(codes(r)).toEqual(['role_missing:warn']);
  });
});

describe('time', () => {
  it('needs a column or an interval', () => {
    expect(codes(mapChannels(table(speed, torque), drive))).toEqual(['role_missing:refuse']);
    const made = mapChannels(table(speed, torque), drive, { sampleInterval: 0.004 });
    expect(made.time[49]).toBeCloseTo(49 * 0.004, 12);
    expect(made.timeSource).toEqual({ header: 'sample index', unit: '0.004 s' });
  });

  it('counts with a sample number when one is named beside the interval, so that lost samples show', () => {
    const index = column(
      'sample',
      undefined,
      ramp(50, (i) => (i < 30 ? i : i + 5)),
    );
    const r = mapChannels(table(index, speed, torque), drive, {
      channels: { time: 'sample' },
      sampleInterval: 0.01,
    });
    expect(codes(r)).toEqual(['missing_samples:warn']);
    expect(r.time.at(-1)).toBeCloseTo(0.54, 12);
  });

  it('does not guess the unit of numbers, and converts what is stated', () => {
    const t = column('time', undefined, ramp(50));
    expect(codes(mapChannels(table(t, speed, torque), drive))).toEqual(['units_missing:refuse']);
    const r = mapChannels(table(t, speed, torque), drive, { units: { time: 'ms' } });
    expect(r.time[10]).toBeCloseTo(0.01, 15);
    expect(r.timeSource).toEqual({ header: 'time', unit: 'ms' });
  });

  it('takes date-times without a unit', () => {
    const t = column(
      'stamp',
      undefined,
      ramp(50, (i) => i * 0.5),
      { kind: 'datetime', epoch_s: 1.7e9 },
    );
    const r = mapChannels(table(t, speed, torque), drive);
    expect(codes(r)).toEqual([]);
    expect(r.time[3]).toBe(1.5);
  });

  it('refuses an empty time column and fewer than 20 rows', () => {
    const none = column(
      'time',
      's',
      ramp(50, () => Number.NaN),
    );
    expect(codes(mapChannels(table(none, speed, torque), drive))).toEqual(['nan_column:refuse']);
    for (const n of [1, 19]) {
      const short = table(time(n), column('motor speed', 'rpm', ramp(n)), column('torque', 'Nm', ramp(n)));
      expect(codes(mapChannels(short, drive))).toEqual(['too_short:refuse']);
    }
    const enough = table(time(20), column('motor speed', 'rpm', ramp(20)), column('torque', 'Nm', ramp(20)));
    expect(codes(mapChannels(enough, drive))).toEqual([]);
  });

  it('keeps rows and channels together over dropped rows and marked gaps', () => {
    const t = ramp(60, (i) => (i === 7 ? Number.NaN : i < 40 ? i * 0.01 : i * 0.01 + 1));
    const r = mapChannels(
      table(column('time', 's', t), column('motor speed', 'rad/s', ramp(60)), ones('torque', 'Nm')),
      drive,
    );
    const w = r.channels['motor-speed']!.values;
    // away from the gap the invented speed is 100 t, after it 100 (t - 1)
    for (let k = 0; k < w.length; k++) {
      if (Number.isNaN(w[k])) continue;
      expect(w[k]).toBeCloseTo(100 * (r.time[k] > 0.7 ? r.time[k] - 1 : r.time[k]), 9);
    }
    expect(w.filter(Number.isNaN)).toHaveLength(2);
    expect(r.channels['motor-torque']!.values).toHaveLength(r.time.length);
  });
});
