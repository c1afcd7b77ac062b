import { describe, expect, test } from 'vitest';
import type { Finding } from '../../../src/engine/findings.js';
import { checkMotion, checkSpeedSign, withoutSpikes } from '../../../src/engine/identify/screen.js';
import type { DriveSignals } from '../../../src/engine/identify/signals.js';
import { createRandom } from '../../../src/engine/numerics/random.js';
import { evenTime, polyline, scalesFor, signalsOf, staircase, stretchesOf } from '../../support/profiles.js';
import { helperDrive } from '../../support/staircaseDrive.js';

const codes = (findings: readonly Finding[]): string[] => findings.map((f) => f.code);

describe('motion', () => {
  const time = evenTime(60, 0.01);
  const random = createRandom('still');
  const noise = (sd: number): Float64Array => time.map(() => sd * random.normal());
  const check = (speed: Float64Array, torqueSpan: number): string[] => {
    const findings: Finding[] = [];
    const moved = checkMotion(signalsOf({ time, speed }), helperDrive, scalesFor(1, torqueSpan), findings);
    expect(moved).toBe(findings.length === 0);
    for (const f of findings) expect(f.severity).toBe('refuse');
    return codes(findings);
  };

  test('torque that is applied to a shaft that does not turn: stalled', () => {
    expect(check(new Float64Array(time.length), 5)).toEqual(['stalled']);
    expect(check(noise(0.05), 5)).toEqual(['stalled']);
    expect(check(noise(2), 5)).toEqual(['stalled']);
  });

  test('a twist of the shaft by 0.1 % of top speed is no motion', () => {
    expect(
      check(
        time.map((t) => 0.1 * Math.sin(t)),
        5,
      ),
    ).toEqual(['stalled']);
  });

  test('nothing done at all: the shaft does not move', () => {
    expect(check(noise(0.05), 0)).toEqual(['too_short']);
    expect(check(noise(0.05), 0.3)).toEqual(['too_short']);
  });

  test('any running is motion, forward or reverse, short or long, in noise', () => {
    expect(
      check(
        time.map(() => 20),
        5,
      ),
    ).toEqual([]);
    expect(
      check(
        time.map(() => -20),
        5,
      ),
    ).toEqual([]);
    expect(
      check(
        time.map((t) => (t > 59 ? 10 : 0)),
        5,
      ),
    ).toEqual([]);
    const rough = noise(0.5);
    expect(
      check(
        time.map((t, i) => rough[i] + (t > 30 ? 3 : 0)),
        5,
      ),
    ).toEqual([]);
  });
});

describe('sign of the speed', () => {
  const levels = [10, 30, 60, 90, 60, 30, 10];
  const coulomb = 3;

  /** The staircase forward, and then the same in reverse, with Coulomb drag. */
  function bothWays(): DriveSignals & { readonly reference: Float64Array; readonly torque: Float64Array } {
    const profile = staircase([...levels, ...levels.map((w) => -w)], 3, 20, 0.02);
    const torque = profile.value.map((w, i) => 0.1 * profile.slope[i] + coulomb * Math.sign(w) + 0.02 * w);
    const { time, value: speed } = profile;
    return { ...signalsOf({ time, speed }), torque, reference: speed };
  }
  const both = bothWays();
  const profile = staircase([...levels, ...levels.map((w) => -w)], 3, 20, 0.02);
  const scales = scalesFor(90, 7);
  const magnitudeStretches = stretchesOf(profile).map((s) => ({ ...s, level: Math.abs(s.level) }));

  const check = (signals: DriveSignals, stretches = magnitudeStretches): string[] => {
    const findings: Finding[] = [];
    const trusted = checkSpeedSign(signals, stretches, scales, findings);
    expect(trusted).toBe(findings.length === 0);
    return codes(findings);
  };

  test('a magnitude against a reference that runs both ways', () => {
    expect(check({ ...both, speed: both.speed.map(Math.abs), torque: undefined })).toEqual([
      'unsigned_speed',
    ]);
  });

  test('a magnitude without a reference, by steady torque of both signs', () => {
    const magnitude = { ...both, reference: undefined, speed: both.speed.map(Math.abs) };
    expect(check(magnitude)).toEqual(['unsigned_speed']);
    expect(check({ ...magnitude, torque: both.torque.map((m) => -m) })).toEqual(['unsigned_speed']);
  });

  test('a signed speed is trusted, and so is one that runs one way only, whatever the sign of its torque', () => {
    expect(check(both, stretchesOf(profile))).toEqual([]);
    const one = staircase(levels, 3, 20, 0.02);
    const torque = one.value.map((w, i) => 0.1 * one.slope[i] + coulomb + 0.02 * w);
    const signals = signalsOf({ time: one.time, speed: one.value, torque, reference: one.value });
    expect(check(signals, stretchesOf(one))).toEqual([]);
    expect(check({ ...signals, torque: torque.map((m) => -m) }, stretchesOf(one))).toEqual([]);
  });

  test('a magnitude of speed and torque both: nothing contradicts it but a reference', () => {
    const folded = { ...both, speed: both.speed.map(Math.abs), torque: both.torque.map(Math.abs) };
    expect(check({ ...folded, reference: undefined })).toEqual([]);
    expect(check(folded)).toEqual(['unsigned_speed']);
  });
});

describe('spikes of a recording', () => {
  const profile = polyline(
    [
      [0, 10],
      [10, 10],
      [12, 80],
      [30, 80],
    ],
    0.01,
  );
  const random = createRandom('spiked');
  const clean = signalsOf({
    time: profile.time,
    speed: profile.value.map((w) => w + 0.05 * random.normal()),
    torque: profile.value.map((w, i) => 0.1 * profile.slope[i] + 2 + 0.02 * w + 0.02 * random.normal()),
  });

  test('become gaps, are counted and placed; all other samples stay as they were, and so does the input', () => {
    const speed = clean.speed.slice();
    const at = [500, 1100, 2500];
    for (const i of at) speed[i] = 300;
    const findings: Finding[] = [];
    const cleaned = withoutSpikes({ ...clean, speed }, findings);
    expect(codes(findings)).toEqual(['spikes']);
    expect(findings[0].where).toMatchObject({ channel: 'motor-speed', count: 3, first_s: profile.time[500] });
    cleaned.speed.forEach((w, i) => {
      if (at.includes(i)) expect(w).toBeNaN();
      else expect(w).toBe(clean.speed[i]);
    });
    expect(speed[500]).toBe(300);
    expect(cleaned.torque).toEqual(clean.torque);
  });

  test('cleaning twice finds nothing more', () => {
    const torque = (clean.torque as Float64Array).slice();
    torque[700] = -9;
    const once = withoutSpikes({ ...clean, torque }, []);
    const findings: Finding[] = [];
    withoutSpikes(once, findings);
    expect(findings).toEqual([]);
  });

  test('a clean recording is left alone, its ramps and steps of torque too', () => {
    const findings: Finding[] = [];
    const cleaned = withoutSpikes(clean, findings);
    expect(findings).toEqual([]);
    expect(cleaned.speed).toBe(clean.speed);
    expect(withoutSpikes({ ...clean, torque: undefined }, []).torque).toBeUndefined();
  });

  test('a column of noise alone has no spikes', () => {
    const findings: Finding[] = [];
    withoutSpikes({ ...clean, torque: clean.time.map(() => random.normal()) }, findings);
    expect(findings).toEqual([]);
  });
});
