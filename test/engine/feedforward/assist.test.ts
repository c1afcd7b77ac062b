import { describe, expect, it } from 'vitest';
import { assistTorque } from '../../../src/engine/feedforward/assist.js';
import type { BreakawayAssist } from '../../../src/engine/feedforward/types.js';

const assist: BreakawayAssist = { torque: 0.4, interval95: [0.3, 0.5], fadeSpeed: 5, fadeTime: 1 };

describe('breakaway assist', () => {
  it('is whole at standstill until half the fade time', () => {
    for (const t of [0, 0.2, 0.5]) expect(assistTorque(assist, 0, t)).toBe(0.4);
  });

  it('is gone at the fade speed and at the fade time, whichever comes first', () => {
    for (const [speed, time] of [
      [5, 0],
      [7, 0.1],
      [0, 1],
      [0, 30],
      [2, 1.5],
    ] as const)
      expect(assistTorque(assist, speed, time)).toBe(0);
  });

  it('falls with speed and with time and makes no step', () => {
    const n = 500;
    for (let i = 0; i < n; i++)
      for (let j = 0; j < 40; j++) {
        const [w, t] = [(i / n) * 6, (j / 40) * 1.2];
        const here = assistTorque(assist, w, t);
        const faster = assistTorque(assist, w + 6 / n, t);
        const later = assistTorque(assist, w, t + 1 / n);
        expect(faster).toBeLessThanOrEqual(here);
        expect(later).toBeLessThanOrEqual(here);
        // Steepest slopes: A/ωf over speed, 2·A/tf over time.
        expect(here - faster).toBeLessThanOrEqual(((0.4 / 5) * 6) / n + 1e-12);
        expect(here - later).toBeLessThanOrEqual((2 * 0.4) / n + 1e-12);
      }
  });

  it('does not ask which way the shaft turns', () => {
    expect(assistTorque(assist, -2, 0.1)).toBe(assistTorque(assist, 2, 0.1));
  });
});
