import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { solveOde } from '../../../src/engine/numerics/ode.js';
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

  it('differs from it by (T₂² − T₁²)/EA to first order in the draw, which falls by four as the strains halve', () => {
    const excess = (scale: number): number => {
      const [t1, v2] = [150 * scale, 5 * (1 + 1e-3 * scale)];
      const [t, exact] = [drawTension(2e5, t1, 5, v2), drawTensionExact(2e5, t1, 5, v2)];
      expect(Math.abs(((exact - t) * 2e5) / (t ** 2 - t1 ** 2) - 1)).toBeLessThan(2e-3 * scale);
      return exact - t;
    };
    expect(excess(1) / excess(0.5)).toBeCloseTo(4, 2);
  });

  it('settles where the conservation of mass, integrated as it stands, says', () => {
    // d/dt[L/(1 + ε₂)] = v₁/(1 + ε₁) − v₂/(1 + ε₂), state m = L/(1 + ε₂); nothing in it is neglected
    const [EA, t1, v1, v2, L] = [2e5, 150, 5, 5.005, 2];
    const { states } = solveOde(
      (_, m, out) => {
        out[0] = v1 / (1 + t1 / EA) - (v2 * m[0]) / L;
      },
      0,
      20,
      [L / (1 + t1 / EA)],
      { relative: 1e-12, absolute: 1e-13 },
    );
    const settled = EA * (L / (states[states.length - 1][0] as number) - 1);
    expect(settled).toBeCloseTo(drawTensionExact(EA, t1, v1, v2), 4);
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

  it('passes it on as an integration of both spans shows, also with equal and nearly equal time constants', () => {
    const { stiffness: EA, before: t1, first, v1, v2Before, v2, v3 } = transport;
    for (const second of [4, 1.2, (first * v3) / v2, (first * v3 * (1 + 1e-9)) / v2]) {
      const start = [
        t1 * (v1 / v2Before) + (EA * (v2Before - v1)) / v2Before,
        (EA * (v3 - v1) + t1 * v1) / v3,
      ];
      const { states } = solveOde(
        (_, t, out) => {
          out[0] = (EA * (v2 - v1) + t1 * v1 - t[0] * v2) / first;
          out[1] = (EA * (v3 - v2) + t[0] * v2 - t[1] * v3) / second;
        },
        0,
        2,
        start,
        { relative: 1e-11, absolute: 1e-9, at: [0.1, 0.5, 2] },
      );
      [0.1, 0.5, 2].forEach((time, k) => {
        expect(transportedTension({ ...transport, second }, time)).toBeCloseTo(states[k][1], 6);
      });
    }
    // spans so unequal that one decay is over at once
    const long = transportedTension({ ...transport, first: 1e-4, second: 1e4 }, 1e3);
    expect(Number.isFinite(long)).toBe(true);
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

  it('swings as an integration of span and winder shows', () => {
    // Bilinear span, v₁ held, winder in torque mode at T = 150 N, small kick of its speed; two extremes of T give period and decrement.
    const [EA, R, L, J, v1, T] = [2e5, 0.12, 1.5, 1.5095, 5, 150];
    const { frequency, damping } = torqueModeSwing(EA, R, L, J, v1);
    const damped = frequency * Math.sqrt(1 - damping ** 2);
    const at = Float64Array.from({ length: 4001 }, (_, k) => (k * 0.5) / 4000);
    const { states } = solveOde(
      (_, y, out) => {
        const v2 = R * y[1];
        out[0] = (EA * (v2 - v1) + T * v1 - y[0] * v2) / L;
        out[1] = (R * (T - y[0])) / J;
      },
      0,
      0.5,
      [T, (v1 * (1 + 1e-5)) / R],
      { relative: 1e-10, absolute: 1e-10, at },
    );
    const dT = states.map((y) => y[0] - T);
    const peaks = dT.flatMap((y, k) => (k > 0 && k < 4000 && y > dT[k - 1] && y >= dT[k + 1] ? [k] : []));
    const [a, b] = peaks;
    // the formula leaves out T against EA (share 7.5e-4 of ω²); peaks are read on a grid of 0.125 ms
    expect((2 * Math.PI) / (at[b] - at[a]) / damped).toBeCloseTo(1, 2);
    expect(Math.log(dT[a] / dT[b])).toBeCloseTo((2 * Math.PI * damping) / Math.sqrt(1 - damping ** 2), 2);
  });

  it('refuses what no span can be', () => {
    expect(() => drawTension(2e5, 1, 5, 0)).toThrow(/web speed/);
    expect(() => spanTime(1, -1)).toThrow(/web speed/);
    expect(() => torqueModeSwing(2e5, 0.1, 1, 0, 1)).toThrow(/no swing/);
    expect(() => drawTension(0, 1, 5, 5)).toThrow(/0 N per unit strain/);
    expect(() => drawTensionExact(Number.NaN, 1, 5, 5)).toThrow(/NaN N per unit strain/);
    expect(() => spanTime(0, 1)).toThrow(/0 m long/);
    expect(() => transportedTension(transport, -1)).toThrow(/-1 s/);
  });

  it('is as stiff as modulus times section', () => {
    expect(axialStiffness(4e9, 50e-6, 1)).toBe(2e5);
    // E[psi]·h[in]·W[in] = lbf
    const psi = 6894.757293168361;
    expect(axialStiffness(6e5 * psi, 0.002 * 0.0254, 60 * 0.0254) / 4.4482216152605).toBeCloseTo(72000, 6);
  });
});
