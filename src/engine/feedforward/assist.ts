import type { BreakawayAssist } from './types.js';

/**
 * Breakaway assist [N·m] at a speed [rad/s] and a time after the start [s]:
 *
 *   A·max(0, 1 - ω/ωf)·min(1, max(0, 2·(1 - t/tf)))
 *
 * whole at standstill for the first half of the fade time tf, gone at the fade speed ωf and at tf whichever comes first. It falls with speed
 * and with time and never jumps: a shaft that breaks loose is not pushed on, and one that stays stuck is not pushed for ever.
 * Source: derived here; the shape is ours.
 */
export function assistTorque(assist: BreakawayAssist, speed: number, time: number): number {
  const bySpeed = Math.max(0, 1 - Math.abs(speed) / assist.fadeSpeed);
  const byTime = Math.min(1, Math.max(0, 2 * (1 - time / assist.fadeTime)));
  return assist.torque * bySpeed * byTime;
}
