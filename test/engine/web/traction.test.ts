import { describe, expect, it } from 'vitest';
import { dragRise, inertiaRise, webLoad } from '../../../src/engine/line/idler.js';
import {
  airFilm,
  combinedRoughness,
  foilBearingConstant,
  frictionWithAir,
  speedForFilm,
} from '../../../src/engine/web/airFilm.js';
import {
  accelerationBeforeSlip,
  capstanRatio,
  frictionNeeded,
  pressingTension,
} from '../../../src/engine/web/traction.js';

const degrees = (x: number): number => (x * Math.PI) / 180;

describe('traction of a roller', () => {
  it('is Euler-Eytelwein’s', () => {
    // Computed by hand: exp(μβ)
    expect(capstanRatio(0.2, degrees(180))).toBeCloseTo(1.874456, 6);
    expect(capstanRatio(0.3, degrees(90))).toBeCloseTo(1.601978, 6);
    expect(capstanRatio(0.15, degrees(30))).toBeCloseTo(1.081706, 6);
    expect(capstanRatio(0.3, 0)).toBe(1);
    // 150 N and 6.1 N over 90 degrees
    expect(frictionNeeded(150, 156.1, degrees(90))).toBeCloseTo(0.02538, 5);
    expect(frictionNeeded(156.1, 150, degrees(90))).toBeCloseTo(0.02538, 5);
    expect(frictionNeeded(150, 150, 0)).toBe(0);
    expect(() => capstanRatio(-0.1, 1)).toThrow(/traction/);
  });

  it('is lost by acceleration where the needed tension rise reaches the grip', () => {
    const a = accelerationBeforeSlip(0.2, 1, 150, 0.1, 0.05, 0.02);
    const rise = dragRise(0.1, 0.05) + inertiaRise(0.02, a, 0.05);
    expect((150 + rise) / 150).toBeCloseTo(capstanRatio(0.2, 1), 12);
  });

  it('loses what the web’s own momentum takes', () => {
    // 80 g/m² × 1 m at 20 m/s: 32 N
    expect(pressingTension(150, 0.08, 20)).toBeCloseTo(118, 12);
    expect(pressingTension(10, 0.08, 20)).toBe(0);
  });
});

describe('an idler', () => {
  it('costs the web its drag and its inertia', () => {
    // J = 0.02, R = 0.05, a = 0.5, M = 0.105: 4.0 + 2.1 = 6.1 N; an independent simulation of a ramp saw 10.3103 N for another set
    expect(inertiaRise(0.02, 0.5, 0.05)).toBeCloseTo(4, 12);
    expect(dragRise(0.105, 0.05)).toBeCloseTo(2.1, 12);
    expect(inertiaRise(0.02, -0.5, 0.05)).toBeCloseTo(-4, 12);
    // US twin: WK² [lb·ft²], R [ft], a [ft/s²], drag [lb·ft] → lbf, with g = 32.174049 ft/s²
    const kgm2 = 0.45359237 * 0.3048 ** 2;
    const lbf = ((0.02 / kgm2) * (0.5 / 0.3048)) / 32.17404855643044 / (0.05 / 0.3048) ** 2;
    expect(lbf * 4.4482216152605).toBeCloseTo(4, 9);
  });

  it('loads its bearings with the vector sum of both sides', () => {
    expect(webLoad(150, 150, degrees(90))).toBeCloseTo(212.132, 3);
    expect(webLoad(150, 150, degrees(180))).toBeCloseTo(300, 9);
    expect(webLoad(150, 150, 0)).toBe(0);
    expect(webLoad(100, 160, degrees(180))).toBeCloseTo(260, 9);
    expect(webLoad(100, 160, 0)).toBeCloseTo(60, 9);
    const [x, y] = [100 + 160 * Math.cos(degrees(180 - 70)), 160 * Math.sin(degrees(110))];
    expect(webLoad(100, 160, degrees(70))).toBeCloseTo(Math.hypot(x, y), 9);
  });
});

describe('the air film under a web', () => {
  it('has the constant of the foil bearing, integrated from its equation', () => {
    // H‴ = (H − 1)/H³; upstream the flat film H = 1 + ε·exp(x), whose growing solutions of the linear equation h‴ = h are e^x (the others decay).
    const h = 1e-3;
    let y = [1 + 1e-6, 1e-6, 1e-6];
    const f = ([a, b, c]: number[]): number[] => [b, c, (a - 1) / a ** 3];
    const add = (p: number[], q: number[], s: number): number[] => p.map((v, i) => v + s * q[i]);
    let x = 0;
    while (y[0] < 1e9) {
      const step = x > 25 ? 10 * h * (1 + (x - 25)) : h;
      const k1 = f(y);
      const k2 = f(add(y, k1, step / 2));
      const k3 = f(add(y, k2, step / 2));
      const k4 = f(add(y, k3, step));
      y = y.map((v, i) => v + (step / 6) * (k1[i] + 2 * k2[i] + 2 * k3[i] + k4[i]));
      x += step;
    }
    expect(y[2]).toBeCloseTo(0.64304, 4);
    expect(foilBearingConstant).toBeCloseTo(y[2], 3);
  });

  it('has the worked thicknesses', () => {
    const um = 1e6;
    expect(airFilm(0.05, 5, 5, 150) * um).toBeCloseTo(12.0321, 3);
    expect(airFilm(0.05, 10, 10, 150) * um).toBeCloseTo(19.0997, 3);
    expect(airFilm(0.1, 10, 10, 150) * um).toBeCloseTo(38.1994, 3);
    expect(airFilm(0.1, 20, 20, 300) * um).toBeCloseTo(38.1994, 3);
    // US twin: 2 in radius, 1000 fpm, 1 pli, in mil
    const pli = 4.4482216152605 / 0.0254;
    const mil = airFilm(2 * 0.0254, 1000 * 0.00508, 1000 * 0.00508, pli) / 25.4e-6;
    expect(mil).toBeCloseTo((0.643 * 50.8e-3 * ((12 * 1.81e-5 * 5.08) / 175.126835) ** (2 / 3)) / 25.4e-6, 6);
    expect(airFilm(0.1, 0, 0, 100)).toBe(0);
    expect(() => airFilm(0.1, 1, 1, 0)).toThrow(/no air film/);
  });

  it('takes traction between one and three roughnesses', () => {
    const rq = combinedRoughness(1e-6, 2e-6);
    expect(rq).toBeCloseTo(2.236068e-6, 12);
    // R = 0.05, 150 N/m: full below 0.40058 m/s, none above 2.08147 m/s
    expect(speedForFilm(1, rq, 0.05, 150)).toBeCloseTo(0.40058, 4);
    expect(speedForFilm(3, rq, 0.05, 150)).toBeCloseTo(2.08147, 4);
    for (const [v, share] of [
      [0.3, 1],
      [0.40058, 1],
      [2.08147, 0],
      [5, 0],
    ])
      expect(frictionWithAir(0.3, airFilm(0.05, v, v, 150), rq)).toBeCloseTo(0.3 * share, 3);
    expect(frictionWithAir(0.3, 2 * rq, rq)).toBeCloseTo(0.15, 12);
  });
});
