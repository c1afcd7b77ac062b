import { describe, expect, test } from 'vitest';
import { unwrapAngle } from '../../../src/engine/recording/unwrapAngle.js';

const turn = 2 * Math.PI;
/** Invented motion: up to speed, back through standstill, some turns the other way. */
const motion = Float64Array.from({ length: 2000 }, (_, i) => 40 * Math.sin(i / 200) + 2 * Math.sin(i / 11));
const wrapAt = (low: number) => motion.map((a) => a - turn * Math.floor((a - low) / turn));

describe('a position that starts again every turn', () => {
  test.each([
    ['0 to 1 turn', 0],
    ['-1/2 to 1/2 turn', -turn / 2],
  ])('%s: carried on, it is the motion again, whole turns left aside', (_, low) => {
    const unwrapped = unwrapAngle(wrapAt(low));
    if (unwrapped === undefined || unwrapped === 'unclear') throw new Error('not carried on');
    const shift = unwrapped.angle[0] - motion[0];
    expect(Math.abs(shift / turn - Math.round(shift / turn))).toBeLessThan(1e-12);
    expect(Math.max(...unwrapped.angle.map((a, i) => Math.abs(a - motion[i] - shift)))).toBeLessThan(1e-10);
  });

  test('a missing sample stays missing and the way goes on behind it', () => {
    const gaps = wrapAt(0);
    for (let i = 100; i < gaps.length; i += 97) gaps[i] = Number.NaN;
    const unwrapped = unwrapAngle(gaps);
    if (unwrapped === undefined || unwrapped === 'unclear') throw new Error('not carried on');
    const shift = unwrapped.angle[0] - motion[0];
    unwrapped.angle.forEach((a, i) => {
      if (Number.isNaN(gaps[i])) expect(a).toBeNaN();
      else expect(a - motion[i] - shift).toBeCloseTo(0, 9);
    });
  });

  test('half a turn and more between samples: the way is unclear', () => {
    for (const step of [0.45 * turn, 0.5 * turn, 0.55 * turn])
      expect(unwrapAngle(Float64Array.from({ length: 500 }, (_, i) => (i * step) % turn)), `${step}`).toBe(
        'unclear',
      );
  });

  test('a position over many turns, one within a turn, and a spike in either are left as they are', () => {
    expect(unwrapAngle(motion)).toBeUndefined();
    expect(unwrapAngle(motion.map((a) => a / 20))).toBeUndefined();
    expect(unwrapAngle(motion.map((a, i) => (i === 500 ? a + 900 : a)))).toBeUndefined();
    expect(unwrapAngle(new Float64Array())).toBeUndefined();
  });
});
