import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Drive } from '../../src/engine/line/drive.js';
import { type MapOptions, mapChannels } from '../../src/engine/recording/mapChannels.js';
import { readTextTable } from '../../src/node/text/readTextTable.js';

// From the text that a device exports to the channels that are computed with; all exports invented but the last.
const drive: Drive = {
  name: 'helper 3',
  element: 'driven-idler',
  ratedTorque: 15,
  gearRatio: 2.5,
  rollerRadius: 0.1,
};

let base: string;
beforeAll(() => {
  base = mkdtempSync(join(tmpdir(), 'tautline-exports-'));
});
afterAll(() => rmSync(base, { recursive: true, force: true }));

async function mapped(text: string, options: MapOptions = {}) {
  const path = join(base, 'export.csv');
  writeFileSync(path, text);
  const r = mapChannels(await readTextTable(path), drive, options);
  return { ...r, codes: r.findings.map((f) => `${f.code}:${f.severity}`) };
}

const rows = (n: number, f: (i: number) => string): string =>
  Array.from({ length: n }, (_, i) => f(i)).join('\n');
const comma = (x: number, digits = 3): string => x.toFixed(digits).replace('.', ',');

describe('exports', () => {
  it('a drive, German: semicolons, decimal comma, units in a row of their own', async () => {
    const r = await mapped(
      `Aufzeichnung 4;;;\nZeit;Drehzahlsollwert;Drehzahlistwert;Drehmoment Istwert\nms;1/min;1/min;%\n${rows(100, (i) => `${comma(i * 4)};${comma(600)};${comma(600 + i)};${comma(20)}`)}\n`,
    );
    expect(r.codes).toEqual([]);
    expect(r.time[99]).toBeCloseTo(0.396, 9);
    expect(r.channels['motor-speed']?.values[30]).toBeCloseTo((630 * Math.PI) / 30, 9);
    expect(r.channels['speed-reference']?.values[30]).toBeCloseTo((600 * Math.PI) / 30, 9);
    expect(r.channels['motor-torque']?.values[0]).toBeCloseTo(3, 9);
  });

  it('a historian: local date-times to the second with 4 rows each, quality words, blanks, several drives', async () => {
    const stamp = (i: number): string => `2026-03-01 10:00:${String(Math.floor(i / 4)).padStart(2, '0')}`;
    const r = await mapped(
      `Timestamp,Helper 2 Speed [m/min],Helper 3 Speed [m/min],Helper 2 Torque [%],Helper 3 Torque [%]\n${rows(
        200,
        (i) => `${stamp(i)},1,${i},1,${i === 9 ? 'Bad' : i === 10 ? '' : '30'}`,
      )}\n`,
    );
    expect(r.codes.sort()).toEqual(
      ['duplicate_timestamps:warn', 'missing_samples:info', 'text_in_numeric_column:warn'].sort(),
    );
    expect(r.channels['roller-speed']?.header).toContain('Helper 3');
    expect(r.channels['roller-speed']?.values[60]).toBeCloseTo(1, 12);
    expect(r.time[41] - r.time[40]).toBeCloseTo(0.25, 9);
    expect(Array.from(r.channels['motor-torque']!.values.subarray(8, 12))).toEqual([
      expect.closeTo(4.5, 9),
      Number.NaN,
      Number.NaN,
      expect.closeTo(4.5, 9),
    ]);
  });

  it('a controller without time: position in turns, torque in lb-ft, an enable bit', async () => {
    const text = `Motor position (rev)\tMotor torque (lb-ft)\tDrive enabled\n${rows(50, (i) => `${i}\t2.0\t${i > 5 ? 1 : 0}`)}\n`;
    expect((await mapped(text)).codes).toEqual(['role_missing:refuse']);
    const r = await mapped(text, { sampleInterval: 0.01 });
    expect(r.codes).toEqual([]);
    expect(r.channels['motor-position']?.values[3]).toBeCloseTo(6 * Math.PI, 9);
    // 1 lbf·ft = 0.3048 m x 4.4482216152605 N = 1.355817948331... N·m, by the definitions of foot and pound-force
    expect(r.channels['motor-torque']?.values[3]).toBeCloseTo(2 * 1.355817948331, 11);
    expect(r.channels['drive-enabled']?.values.indexOf(1)).toBe(6);
  });

  it('clock times past midnight go on rising', async () => {
    const clock = (s: number): string =>
      [Math.floor(s / 3600) % 24, Math.floor(s / 60) % 60, s % 60]
        .map((x) => String(x).padStart(2, '0'))
        .join(':');
    const r = await mapped(
      `Time,Speed act [rpm],Torque act [Nm]\n${rows(60, (i) => `${clock(86370 + i)},${i},1`)}\n`,
    );
    expect(r.codes).toEqual([]);
    expect(r.time[59] - r.time[0]).toBe(59);
  });

  it('time that runs backwards is refused with the row', async () => {
    const r = await mapped(
      `t [s],n act [rpm],M act [Nm]\n${rows(60, (i) => `${i === 40 ? 3 : i},${i},1`)}\n`,
    );
    expect(r.findings).toMatchObject([
      { code: 'time_backwards', where: { row: 41, previous_s: 39, current_s: 3 } },
    ]);
  });

  const axis = '../shared/data/emps/emps_axis.csv';
  it('the measured axis maps without help', async ({ skip }) => {
    skip(!existsSync(axis), 'skipped: recording not present');
    const r = mapChannels(await readTextTable(axis), drive);
    expect(r.findings.filter((f) => f.severity === 'refuse')).toEqual([]);
    expect(Object.values(r.channels).map((c) => [c.role, c.header, c.unit])).toEqual(
      expect.arrayContaining([
        ['motor-torque', 'motor torque [N.m]', 'N.m'],
        ['motor-position', 'motor position [rad]', 'rad'],
      ]),
    );
    // first rows as printed in the file
    expect(r.channels['motor-torque']?.values[0]).toBe(89.23443225);
    expect(r.channels['motor-position']?.values[1]).toBe(1.43e-5);
    expect(r.time[1] - r.time[0]).toBeCloseTo(0.001, 12);
  });
});
