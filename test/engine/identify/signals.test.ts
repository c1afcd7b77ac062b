import { describe, expect, test } from 'vitest';
import type { Finding } from '../../../src/engine/findings.js';
import { driveSignals } from '../../../src/engine/identify/signals.js';
import type { Drive } from '../../../src/engine/line/drive.js';
import type { Channel, Recording, Role } from '../../../src/engine/recording/recording.js';

const drive: Drive = { name: 'helper', element: 'driven-idler', gearRatio: 2, rollerRadius: 0.1 };
const time = Float64Array.from({ length: 50 }, (_, i) => 0.01 * i);

function recording(channels: Partial<Record<Exclude<Role, 'time'>, Float64Array>>): Recording {
  return {
    time,
    channels: Object.fromEntries(
      Object.entries(channels).map(([role, values]) => [
        role,
        { role: role as Role, header: role, unit: '', values: values as Float64Array } satisfies Channel,
      ]),
    ),
    timeSource: { header: 't', unit: 's' },
    findings: [],
    source: { file: 'x', sha256: '', rows: time.length },
  };
}

describe('speed of the motor', () => {
  test('from the surface: v·i/R', () => {
    const signals = driveSignals(recording({ 'roller-speed': time.map(() => 3) }), drive, []);
    expect(signals?.speed[7]).toBeCloseTo(60, 12);
  });

  test('from a position that grows as t²: exactly 2t inside, a gap at both ends', () => {
    const signals = driveSignals(recording({ 'motor-position': time.map((t) => t * t) }), drive, []);
    expect(signals?.speed[0]).toBeNaN();
    expect(signals?.speed[20]).toBeCloseTo(2 * time[20], 12);
  });

  test('with a position the torque goes through the same kernel: a straight line stays, a spike is spread 1/4 1/2 1/4', () => {
    const spike = time.map((_, i) => (i === 20 ? 1 : 0));
    const signals = driveSignals(recording({ 'motor-position': time, 'motor-torque': spike }), drive, []);
    expect([...(signals?.torque?.subarray(18, 23) ?? [])].map((x) => Number(x.toFixed(12)))).toEqual([
      0, 0.25, 0.5, 0.25, 0,
    ]);
  });

  test('no motion at all is refused', () => {
    const findings: Finding[] = [];
    expect(driveSignals(recording({ 'motor-torque': time }), drive, findings)).toBeUndefined();
    expect(findings[0]).toMatchObject({ code: 'role_missing', severity: 'refuse' });
  });

  test('a surface speed that does not fit gear and roller is flagged, one that does is not', () => {
    const motor = time.map(() => 60);
    const flagged: Finding[] = [];
    driveSignals(recording({ 'motor-speed': motor, 'roller-speed': time.map(() => 3.2) }), drive, flagged);
    expect(flagged.map((f) => f.code)).toEqual(['speeds_disagree']);
    const quiet: Finding[] = [];
    driveSignals(recording({ 'motor-speed': motor, 'roller-speed': time.map(() => 3.02) }), drive, quiet);
    expect(quiet).toEqual([]);
  });
});
