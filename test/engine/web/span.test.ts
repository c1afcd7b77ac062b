import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  drawTension,
  drawTensionExact,
  spanResponse,
  spanTime,
  torqueModeSwing,
  transportedTension,
} from '../../../src/engine/web/span.js';
import { axialStiffness } from '../../../src/engine/web/web.js';

// Values computed by hand or by an independent simulation from the equations of docs/models/web-span.md.
const transport = {
  stiffness: 2e5,
  before: 100,
  first: 2,
  second: 4,
  v1: 5,
  v2Before: 5,
  v2: 5.001,
  v3: 5.0025,
};

describe('a span', () => {
  it('holds the tension that a draw makes', () => {
    expect(drawTension(2e5, 150, 5, 5.005)).toBeCloseTo(349.6503, 4);
    expect(drawTensionExact(2e5, 150, 5, 5.005)).toBeCloseTo(350.15, 4);
    expect(drawTension(2e5, 150, 5, 5)).toBe(150);
  });

  it('gives the same in pounds, feet and minutes', () => {
    // EA in lbf, speeds in fpm, tensions in lbf: the relation has no units of its own
    const lbf = 4.4482216152605;
    expect(drawTension(2e5 / lbf, 150 / lbf, 5 / 0.00508, 5.005 / 0.00508) * lbf).toBeCloseTo(349.6503, 4);
    // L = 10 ft at 1000 fpm: 0.600 s
    expect(spanTime(10 * 0.3048, 1000 * 0.00508)).toBeCloseTo(0.6, 12);
  });

  it('differs from the exact mass form by about T²/EA', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 10, max: 500, noNaN: true }),
        fc.double({ min: 0, max: 1e-3, noNaN: true }),
        (t, d) => {
          const [a, b] = [drawTension(2e5, t, 5, 5 * (1 + d)), drawTensionExact(2e5, t, 5, 5 * (1 + d))];
          expect(Math.abs(a - b)).toBeLessThanOrEqual((1.01 * Math.max(a, b) ** 2) / 2e5);
        },
      ),
    );
  });

  it('follows with L/v, as an integration of its equation shows', () => {
    const settled = drawTension(2e5, 100, 5, 5.002);
    let t = 50;
    const step = 1e-4;
    // L·dT/dt = EA·(v2 − v1) + T1·v1 − T·v2 by the midpoint rule
    const rate = (x: number): number => (2e5 * 0.002 + 100 * 5 - x * 5.002) / 3;
    for (let k = 0; k < 5000; k++) t += step * rate(t + 0.5 * step * rate(t));
    expect(spanResponse(50, settled, 3, 5.002, 0.5)).toBeCloseTo(t, 5);
    expect(spanResponse(50, settled, 3, 5.002, 0)).toBe(50);
  });

  it('passes a step of draw on: the next span dips and comes back to where it was', () => {
    expect(transportedTension(transport, 0)).toBeCloseTo(199.90005, 5);
    const printed = [
      [0.1, 195.754515],
      [0.4, 190.360941],
      [0.554333, 189.908206],
      [1.6, 195.22596],
      [6.4, 199.886695],
      [60, 199.90005],
    ];
    for (const [t, value] of printed) expect(transportedTension(transport, t)).toBeCloseTo(value, 5);
    // the minimum lies there
    for (const t of [0.5543, 0.5544])
      expect(transportedTension(transport, t)).toBeGreaterThanOrEqual(189.908206 - 1e-6);
  });

  it('swings with a roll under torque control', () => {
    const winder = torqueModeSwing(2e5, 0.12, 1.5, 1.5095, 10);
    expect(winder.frequency).toBeCloseTo(35.664, 3);
    expect(winder.damping).toBeCloseTo(0.0935, 4);
    const unwind = torqueModeSwing(2e5, 0.4, 3, 56.552, 10);
    expect(unwind.frequency).toBeCloseTo(13.734, 2);
    expect(unwind.damping).toBeCloseTo(0.121, 3);
    expect(torqueModeSwing(2e5, 0.4, 3, 56.552, 0).damping).toBe(0);
  });

  it('refuses what no span can be', () => {
    expect(() => drawTension(2e5, 1, 5, 0)).toThrow(/web speed/);
    expect(() => spanTime(1, -1)).toThrow(/web speed/);
    expect(() => torqueModeSwing(2e5, 0.1, 1, 0, 1)).toThrow(/no swing/);
    expect(() => transportedTension({ ...transport, second: (2 * 5.0025) / 5.001, first: 2 }, 1)).toThrow(
      /time constant/,
    );
  });

  it('is as stiff as modulus times section', () => {
    expect(axialStiffness(4e9, 50e-6, 1)).toBe(2e5);
    // E[psi]·h[in]·W[in] = lbf
    const psi = 6894.757293168361;
    expect(axialStiffness(6e5 * psi, 0.002 * 0.0254, 60 * 0.0254) / 4.4482216152605).toBeCloseTo(72000, 6);
  });
});
