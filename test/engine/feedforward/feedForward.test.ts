import { describe, expect, it } from 'vitest';
import { isTautlineError } from '../../../src/engine/errors.js';
import { feedForward } from '../../../src/engine/feedforward/feedForward.js';
import { interpolationError } from '../../../src/engine/feedforward/knots.js';
import { feedForwardTorque } from '../../../src/engine/feedforward/torque.js';
import { createRandom } from '../../../src/engine/numerics/random.js';
import {
  fitPoints,
  normal95,
  roller,
  stated,
  statedDrive,
  statedEstimates,
} from '../../support/statedIdentification.js';

const drag = (w: number): number => 0.6 + 0.003 * w + 1e-5 * w * w;
const codes = (f: { readonly findings: readonly { readonly code: string }[] }): string[] =>
  f.findings.map((x) => x.code);

describe('table', () => {
  const result = feedForward(stated(roller), statedDrive);

  it('reproduces the drag law over the whole range within the stated error, and the error within the tolerance', () => {
    expect(result.verdict).toBe('identified');
    expect(result.tolerance).toBeCloseTo(0.01 * drag(150), 12);
    let worst = 0;
    for (let k = 0; k <= 1500; k++) {
      const w = k / 10;
      worst = Math.max(worst, Math.abs(feedForwardTorque(result, 0.02, w, 0) - drag(w)));
    }
    expect(worst).toBeLessThanOrEqual(result.tolerance!);
    expect(result.interpolationError! / worst).toBeCloseTo(1, 3);
  });

  it('has fewer knots and a larger error for a larger tolerance', () => {
    const fine = feedForward(stated(roller), statedDrive, { tolerance: 0.0005 });
    expect(fine.rows.length).toBeGreaterThan(result.rows.length);
    expect(fine.interpolationError!).toBeLessThan(result.interpolationError!);
    expect(
      interpolationError(
        drag,
        fine.rows.map((r) => r.speed),
      ),
    ).toBeLessThanOrEqual(0.0005 * drag(150));
  });

  it('adds inertia times acceleration of the motor, and nothing beyond the last row', () => {
    const up = feedForward(stated(roller), statedDrive, { acceleration: 2 });
    expect(up.acceleration).toEqual({ web: 2, motor: 50 });
    for (const r of up.rows) {
      expect(r.accelerating).toBeCloseTo(r.torque + 0.02 * 50, 12);
      expect(r.decelerating).toBeCloseTo(r.torque - 0.02 * 50, 12);
      expect(r.fraction).toBeCloseTo(r.torque / 10, 12);
      expect(feedForwardTorque(up, 0.02, r.speed, 50)).toBeCloseTo(r.accelerating!, 12);
    }
    expect(feedForwardTorque(up, 0.02, 150.001, 0)).toBeNaN();
    expect(feedForwardTorque(up, 0.02, Number.NaN, 0)).toBeNaN();
  });

  it('marks standstill as extrapolated and ends where the recording ended', () => {
    expect(result.rows.filter((r) => r.extrapolated).map((r) => r.speed)).toEqual([0]);
    const short = feedForward(stated(roller, { speedRange: [5, 100] }), statedDrive);
    expect(short.rows.at(-1)!.speed).toBe(100);
    expect(short.notFilled).toEqual([100, 150]);
    expect(codes(short)).toEqual(['low_speed_only']);
    expect(result.notFilled).toBeUndefined();
  });

  it('leaves out what the drive file does not state', () => {
    const bare = feedForward(stated(roller), { name: 'x', element: 'drum', gearRatio: 1 });
    for (const r of bare.rows)
      expect(Object.keys(r).sort()).toEqual(
        r.extrapolated ? ['extrapolated', 'speed', 'torque'] : ['speed', 'torque'],
      );
  });
});

describe('tug that remains', () => {
  it('is the propagated uncertainty through gear and radius, by hand for uncorrelated parameters', () => {
    const f = feedForward(stated(roller), statedDrive, { acceleration: 2 });
    for (const { speed: w, tugHalfWidth, tugHalfWidthAccelerating } of f.rows) {
      const variance = 0.005 ** 2 + (w * 0.00005) ** 2 + (w * w * 2e-7) ** 2;
      const perTorque = 2.5 / 0.1;
      expect(tugHalfWidth).toBeCloseTo(normal95 * Math.sqrt(variance) * perTorque, 9);
      expect(tugHalfWidthAccelerating).toBeCloseTo(
        normal95 * Math.sqrt(variance + (50 * 0.0001) ** 2) * perTorque,
        9,
      );
    }
  });

  it('covers the tug error of 95 % of draws from correlated parameters', () => {
    const rho = -0.9;
    const f = feedForward(
      stated(roller, {}, (a, b) => ([a, b].sort().join() === 'quadratic,viscous' ? rho : 0)),
      statedDrive,
    );
    const random = createRandom('tug that remains');
    const n = 4000;
    const inside = f.rows.map(() => 0);
    for (let k = 0; k < n; k++) {
      const x = random.normal();
      const c = 0.005 * random.normal();
      const b = 0.00005 * x;
      const q = 2e-7 * (rho * x + Math.sqrt(1 - rho * rho) * random.normal());
      f.rows.forEach((r, i) => {
        const tug = (c + b * r.speed + q * r.speed ** 2) * (2.5 / 0.1);
        if (Math.abs(tug) <= r.tugHalfWidth!) inside[i]!++;
      });
    }
    // Binomial: 95 % of 4000 with three standard deviations of 0.34 %.
    for (const hits of inside) expect(Math.abs(hits / n - 0.95)).toBeLessThan(0.0104);
  });

  it('adds up what inertia and drag can do when the document holds no covariance', () => {
    const f = feedForward(
      stated(roller, { covariance: undefined, dragCurve: fitPoints(drag, 0.01) }),
      statedDrive,
      { acceleration: 2 },
    );
    for (const r of f.rows) {
      expect(r.tugHalfWidth).toBeCloseTo(0.01 * 25, 9);
      expect(r.tugHalfWidthAccelerating).toBeCloseTo((0.01 + 50 * normal95 * 0.0001) * 25, 9);
    }
  });
});

describe('assist at start', () => {
  it('brings the table at standstill to the breakaway torque, with both uncertainties', () => {
    const { assist, rows } = feedForward(stated(roller), statedDrive);
    expect(rows[0]!.torque + assist!.torque).toBeCloseTo(0.95, 12);
    expect(0.5 * (assist!.interval95[1] - assist!.interval95[0])).toBeCloseTo(
      normal95 * Math.hypot(0.02, 0.005),
      9,
    );
    expect(assist).toMatchObject({ fadeSpeed: 5, fadeTime: 1 });
  });

  it('lasts as long as the line needs to the fade speed, and fades as stated', () => {
    const slow = feedForward(stated(roller), statedDrive, { acceleration: 0.02 });
    // 0.02 m/s² of web are 0.5 rad/s² of motor: 10 s to 5 rad/s.
    expect(slow.assist!.fadeTime).toBeCloseTo(20, 9);
    const own = feedForward(stated(roller), statedDrive, { fadeSpeed: 2, fadeTime: 0.3 });
    expect(own.assist).toMatchObject({ fadeSpeed: 2, fadeTime: 0.3 });
  });

  it('is absent without a breakaway torque, and when that is below the drag at standstill', () => {
    const { breakaway: _, ...without } = roller;
    const none = feedForward(stated(without), statedDrive);
    expect(none.assist).toBeUndefined();
    expect(codes(none)).toEqual(['no_breakaway_test']);
    expect(none.verdict).toBe('identified');
    const low = feedForward(stated({ ...roller, breakaway: [0.5, 0.02] }), statedDrive);
    expect(low.assist).toBeUndefined();
    expect(codes(low)).toEqual(['model_misfit']);
  });
});

describe('two directions', () => {
  const reverseValues = { coulomb: [0.9, 0.01], viscous: [0.004, 0.0001], breakaway: [1.2, 0.03] } as const;
  const reverseDrag = (w: number): number => 0.9 + 0.004 * w;

  it('makes a table for the other direction from its own law and band', () => {
    const f = feedForward(
      stated(roller, {
        reverse: { estimates: statedEstimates(reverseValues) },
        dragCurveReverse: fitPoints(reverseDrag, 0.03, [5, 120]),
      }),
      statedDrive,
      { acceleration: 1 },
    );
    // A straight law needs its two ends only.
    expect(f.reverse!.rows.map((r) => r.speed)).toEqual([0, 120]);
    for (const r of f.reverse!.rows) {
      expect(r.torque).toBeCloseTo(reverseDrag(r.speed), 12);
      expect(r.accelerating).toBeCloseTo(reverseDrag(r.speed) + 25 * 0.02, 12);
      expect(r.tugHalfWidth).toBeCloseTo(0.03 * 25, 9);
    }
    expect(f.reverse!.assist!.torque).toBeCloseTo(0.3, 12);
    expect(f.reverse!.notFilled).toEqual([120, 150]);
    expect(f.rows).toEqual(feedForward(stated(roller), statedDrive, { acceleration: 1 }).rows);
  });

  it('is the same table when both directions share their drag', () => {
    const f = feedForward(stated(roller, { reverse: { estimates: statedEstimates(roller) } }), statedDrive);
    expect(f.reverse!.rows).toEqual(f.rows);
  });
});

describe('findings', () => {
  it('warns from the torque limit on, for speeding up, slowing down and the start', () => {
    // At 150 rad/s the drag is 1.275 N·m; the limit is 15 N·m; so inertia may ask for 13.725 N·m while speeding up.
    const alpha = 13.725 / 0.02;
    const below = feedForward(stated(roller), statedDrive, { acceleration: (0.999 * alpha) / 25 });
    expect(codes(below)).toEqual([]);
    const above = feedForward(stated(roller), statedDrive, { acceleration: (1.001 * alpha) / 25 });
    expect(codes(above)).toEqual(['torque_limit']);
    expect(above.findings[0]).toMatchObject({ severity: 'warn', where: { speed_rad_per_s: 150 } });
    expect(above.verdict).toBe('warned');
    // Slowing down asks for most at standstill: J·α less the Coulomb drag.
    const light = feedForward(stated({ ...roller, coulomb: [-2, 0.01] }), statedDrive, {
      acceleration: 13.1 / 0.02 / 25,
    });
    expect(light.findings[0]).toMatchObject({ code: 'torque_limit', where: { speed_rad_per_s: 0 } });
    const start = feedForward(stated({ ...roller, breakaway: [16, 0.1] }), statedDrive);
    expect(start.findings[0]!.message).toMatch(/^at the start/);
  });

  it('refuses without inertia, but states the drag that is known', () => {
    const { inertia: _, ...without } = roller;
    const f = feedForward(
      stated(without, {
        notEstimated: [{ name: 'inertia', why: 'the ramps are too slow', next: 'record faster ramps' }],
      }),
      statedDrive,
      { acceleration: 1 },
    );
    expect(f.verdict).toBe('refused');
    expect(codes(f)).toEqual(['inertia_not_identifiable']);
    expect(f.findings[0]!.message).toContain('the ramps are too slow');
    expect(f.inertia).toBeUndefined();
    expect(f.rows.length).toBeGreaterThan(1);
    for (const r of f.rows) {
      expect(r.accelerating).toBeUndefined();
      expect(r.tugHalfWidthAccelerating).toBeUndefined();
      expect(r.tugHalfWidth).toBeGreaterThan(0);
    }
  });

  it('refuses without a drag law and never fills one in', () => {
    const only = stated({ inertia: roller.inertia });
    const cases = [
      [only, 'no_designed_test'],
      [{ ...only, apparentDragCurve: fitPoints(drag, 0.01) }, 'web_on'],
      [
        { ...only, dragCurve: [{ speed: 40, torque: 0.7, halfWidth95: 0.01, from: 'plateau' as const }] },
        'one_speed_only',
      ],
    ] as const;
    for (const [id, code] of cases) {
      const f = feedForward(id, statedDrive);
      expect(codes(f)).toEqual([code]);
      expect(f.verdict).toBe('refused');
      expect(f.rows).toEqual([]);
    }
  });

  it('throws on options that mean nothing', () => {
    const invalid = expect.toSatisfy((e) => isTautlineError(e) && e.code === 'argument_invalid');
    for (const options of [
      { tolerance: 0 },
      { acceleration: -1 },
      { fadeTime: Number.NaN },
      { tolerance: 1e-13 },
    ])
      expect(() => feedForward(stated(roller), statedDrive, options)).toThrowError(invalid);
    const { rollerRadius: _, ...winder } = statedDrive;
    expect(() => feedForward(stated(roller), winder, { acceleration: 1 })).toThrowError(invalid);
  });
});
