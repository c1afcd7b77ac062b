import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  type Body,
  centreSurfaceTorques,
  drumTorque,
  emptyTorqueParts,
  helperTorque,
  momentumTorque,
  pullRollTorque,
  requireBody,
  rotationalAcceleration,
  type TorqueParts,
  twoDrumTorques,
  unwindTorque,
  winderTorque,
} from '../../../src/engine/feedforward/rollerTorque.js';
import { radiusRate } from '../../../src/engine/roll/buildUp.js';
import { fromSI, toSI } from '../../../src/engine/units/convert.js';

const body = (change: Partial<Body>): Body => ({
  radius: 0.1,
  inertia: 0.02,
  speed: 5,
  acceleration: 0,
  drag: 0,
  ...change,
});
const sum = (p: TorqueParts): number => p.tension + p.inertia + p.drag + p.assist;

// Numbers below: closed forms worked independently of this code.
describe('worked numbers', () => {
  const full = body({ radius: 0.6, inertia: 244.278464, acceleration: 0.5, speed: 10 });

  test('a full roll of 244.278464 kg·m² from rest to 10 m/s in 20 s: 203.5654 N·m = 150.1421 lb·ft on top of 600 N at 0.6 m', () => {
    const parts = emptyTorqueParts();
    expect(winderTorque(600, full, parts)).toBeCloseTo(360 + 203.5654, 4);
    expect(parts.inertia).toBeCloseTo(203.5654, 4);
    expect(fromSI(parts.inertia, 'torque', 'lbft')).toBeCloseTo(150.1421, 4);
    expect(parts.inertia / full.radius).toBeCloseTo(339.276, 3);
    expect(unwindTorque(600, full)).toBeCloseTo(-360 + 203.5654, 4);
  });

  test('the same in US units: 5796.816 lb·ft², 98.4252 fpm/s, 2 × 1.9685 ft, 134.8854 lbf', () => {
    const us = body({
      radius: toSI(1.968504, 'length', 'ft'),
      inertia: toSI(5796.816, 'inertia', 'lbft2'),
      acceleration: toSI(98.4252, 'acceleration', 'fpm_per_s'),
    });
    const parts = emptyTorqueParts();
    winderTorque(toSI(134.88536, 'tension', 'lbf'), us, parts);
    expect(fromSI(parts.inertia, 'torque', 'lbft')).toBeCloseTo(150.1421, 3);
    expect(fromSI(parts.tension, 'torque', 'lbft')).toBeCloseTo(265.5224, 3);
  });

  test('an idler in a ramp, 0.02 kg·m², 50 mm, 0.5 m/s², 0.105 N·m: 4.0 + 2.1 = 6.1 N, which a helper takes over', () => {
    const idler = body({ radius: 0.05, acceleration: 0.5, drag: 0.105 });
    expect(helperTorque(idler) / idler.radius).toBeCloseTo(6.1, 10);
    expect(pullRollTorque(150, 150, idler)).toBeCloseTo(helperTorque(idler), 12);
    // Undriven, the web must rise by as much.
    expect(pullRollTorque(150, 156.1, idler)).toBeCloseTo(0, 12);
  });

  test('what an unknown inertia costs: -90.257 N at a winder, +314.107 N at an unwind', () => {
    // v = 6 m/s, a = 8/9 m/s², h = 50 µm; winder from 1.50950 kg·m² at 0.12 m, unwind from 56.552 kg·m² at 0.4 m. Web of
    // 1390 kg/m³, 1 m wide. The length run so far is not stated with the numbers; 23 m is a ramp from 2 m/s after 2.5 s, and moves them
    // by 0.03 N a metre, hence 0.002 N.
    const [v, a, h, length, quarter] = [6, 8 / 9, 50e-6, 23, 0.5 * Math.PI * 1390];
    const roll = (sense: 1 | -1, R0: number, J0: number): Body => {
      const radius = Math.sqrt(R0 ** 2 + (sense * h * length) / Math.PI);
      return {
        radius,
        radiusRate: radiusRate(h, v, radius, sense),
        inertia: J0 + quarter * (radius ** 4 - R0 ** 4),
        speed: v,
        acceleration: a,
        drag: 0,
      };
    };
    const [winder, unwind] = [roll(1, 0.12, 1.5095), roll(-1, 0.4, 56.552)];
    expect(Math.abs(-helperTorque(winder) / winder.radius + 90.257)).toBeLessThan(0.002);
    expect(Math.abs(helperTorque(unwind) / unwind.radius - 314.107)).toBeLessThan(0.002);
    // The same unwind at 150 N swings from -57.8 to +68.2 N·m as the ramp begins; its drag, not stated, hardly changes meanwhile.
    const start = body({ radius: 0.4, inertia: 56.552, acceleration: a, speed: 2 });
    const swing = unwindTorque(150, start) - unwindTorque(150, { ...start, acceleration: 0 });
    expect(Math.abs(swing - (68.2 + 57.8))).toBeLessThan(0.5);
  });

  test('torque sharing: 600 N with 400 N through the roll and 200 N through the drum', () => {
    const roll = body({ radius: 0.3, inertia: 15 });
    const drum = body({ radius: 0.2, inertia: 1 });
    const two = centreSurfaceTorques(400, 200, roll, drum, { first: 0, second: 0 });
    expect(two.first / roll.radius).toBeCloseTo(400, 10);
    expect(two.second / drum.radius).toBeCloseTo(200, 10);
  });

  test('the momentum term: 6.95 N for 50 µm film of 1390 kg/m³, 1 m wide at 10 m/s, 32 N for 80 g/m² at 20 m/s', () => {
    expect(momentumTorque(1390 * 50e-6, 1, 10, 0.4, 1) / 0.4).toBeCloseTo(6.95, 10);
    expect(momentumTorque(0.08, 1, 20, 0.4, -1) / 0.4).toBeCloseTo(-32, 10);
    const roll = body({ radius: 0.4 });
    const withTerm = (sense: 1 | -1): Body => ({
      ...roll,
      momentum: momentumTorque(0.0695, 1, 10, 0.4, sense),
    });
    // With the term both ends pull harder, as if the tension were 6.95 N more.
    expect(winderTorque(150, withTerm(1))).toBeCloseTo(winderTorque(156.95, roll), 10);
    expect(unwindTorque(150, withTerm(-1))).toBeCloseTo(unwindTorque(156.95, roll), 10);
  });
});

const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const moving = fc
  .record({
    radius: number(0.05, 0.8),
    inertia: number(0.001, 300),
    speed: number(-15, 15),
    acceleration: number(-3, 3),
    drag: number(0, 50),
    assist: number(0, 20),
    caliper: number(0, 1e-3),
  })
  .filter((b) => Math.abs(b.speed) > 1e-3)
  .map(({ caliper, ...b }) => ({ ...b, caliper, radiusRate: 0 }));
const close = (got: number, want: number, scale: number): void =>
  expect(Math.abs(got - want)).toBeLessThanOrEqual(1e-9 * scale + 1e-12);

describe('laws', () => {
  test('power balance of a roll over its true trajectory: shaft − drag = web + change of kinetic energy − energy that the web brings', () => {
    // Kinetic energy along R(t), J(t), ω(t), differentiated by differences: knows nothing of α, Ṙ or the momentum term.
    fc.assert(
      fc.property(
        fc.constantFrom(1 as const, -1 as const),
        number(0.15, 0.6),
        number(1, 12),
        number(-2, 2),
        number(20e-6, 5e-4),
        number(0, 800),
        (sense, R0, v0, a, h, T) => {
          const [rho, width, rc, drag] = [900, 1.3, 0.05, 3];
          const at = (t: number) => {
            const R = Math.sqrt(R0 ** 2 + (sense * h * (v0 * t + 0.5 * a * t * t)) / Math.PI);
            const J = 0.4 + 0.5 * Math.PI * rho * width * (R ** 4 - rc ** 4);
            return { R, J, energy: 0.5 * J * ((v0 + a * t) / R) ** 2 };
          };
          const dt = 1e-3;
          const energyRate = (at(dt).energy - at(-dt).energy) / (2 * dt);
          const { R, J } = at(0);
          const roll: Body = {
            radius: R,
            radiusRate: radiusRate(h, v0, R, sense),
            inertia: J,
            speed: v0,
            acceleration: a,
            drag,
          };
          const omega = v0 / R;
          const massRate = sense * rho * h * width * v0;
          const torque = sense === 1 ? winderTorque(T, roll) : unwindTorque(T, roll);
          const left = torque * omega - drag * omega;
          const right = sense * T * v0 + energyRate - 0.5 * massRate * v0 ** 2;
          // Differences over ±1 ms leave about 1e-6 of the energy rate.
          expect(Math.abs(left - right)).toBeLessThan(
            1e-5 * (Math.abs(energyRate) + T * v0 + Math.abs(massRate) * v0 ** 2 + 1),
          );
          // With the term the balance is off by the power of 6.95 N and its like.
          const with_ = { ...roll, momentum: momentumTorque(rho * h, width, v0, R, sense) };
          const off =
            (sense === 1 ? winderTorque(T, with_) : unwindTorque(T, with_)) * omega - torque * omega;
          close(off, massRate * v0 ** 2, Math.abs(off));
        },
      ),
      { seed: 1, numRuns: 300 },
    );
  });

  test('run backwards, an unwind is a winder', () => {
    fc.assert(
      fc.property(moving, number(0, 900), (b, T) => {
        const back = { ...b, speed: -b.speed, acceleration: -b.acceleration };
        const grows = { ...back, radiusRate: radiusRate(b.caliper, back.speed, b.radius, 1) };
        const shrinks = { ...b, radiusRate: radiusRate(b.caliper, b.speed, b.radius, -1) };
        expect(unwindTorque(T, shrinks)).toBe(-winderTorque(T, grows));
        expect(helperTorque(back)).toBe(-helperTorque(b));
        expect(pullRollTorque(T, 10, b)).toBe(-pullRollTorque(10, T, back));
      }),
      { seed: 2 },
    );
  });

  test('parts add up to the torque, each with its own sign', () => {
    fc.assert(
      fc.property(moving, moving, number(-900, 900), number(0, 1), (b, other, T, share) => {
        const roll = { ...other, speed: b.speed };
        const relations: readonly ((parts?: TorqueParts) => number)[] = [
          (parts) => unwindTorque(T, b, parts),
          (parts) => winderTorque(T, b, parts),
          (parts) => pullRollTorque(T, 7, b, parts),
          (parts) => helperTorque(b, parts),
          (parts) => drumTorque(T, b, roll, share, parts),
        ];
        for (const relation of relations) {
          const parts = emptyTorqueParts();
          const torque = relation(parts);
          expect(relation()).toBe(torque);
          const { tension, inertia, drag, assist } = parts;
          close(sum(parts), torque, Math.hypot(tension, inertia, drag, assist));
          for (const opposing of [drag, assist]) expect(opposing * b.speed).toBeGreaterThanOrEqual(0);
        }
        const parts = emptyTorqueParts();
        winderTorque(T, b, parts);
        expect(Math.abs(parts.drag)).toBe(b.drag);
        expect(Math.abs(parts.assist)).toBe(b.assist);
        expect(parts.inertia * b.acceleration).toBeGreaterThanOrEqual(0);
      }),
      { seed: 3 },
    );
  });

  test('two motors: however the roll is shared, their powers add up to web, losses and kinetic energy', () => {
    fc.assert(
      fc.property(
        moving,
        moving,
        moving,
        number(-500, 500),
        number(-500, 500),
        number(0, 1),
        (roll, other, third, f1, f2, share) => {
          const { speed: v, acceleration } = roll;
          const [one, two] = [other, third].map((b) => ({ ...b, speed: v, acceleration }));
          const own = (b: Body): number =>
            ((b.inertia * acceleration) / b.radius + Math.sign(v) * (b.drag + (b.assist ?? 0))) / b.radius;
          const terms = [(f1 + f2) * v, own(roll) * v, own(one) * v, own(two) * v];
          const scale = 1e3 * terms.reduce((s, x) => s + Math.abs(x), 0) + Math.abs(f1 * v);
          const power = (t: { first: number; second: number }, first: Body, second: Body): number =>
            (t.first / first.radius + t.second / second.radius) * v;
          const drums = twoDrumTorques(f1, f2, roll, one, two, { first: 0, second: 0 }, share);
          close(power(drums, one, two), terms[0] + terms[1] + terms[2] + terms[3], scale);
          const centre = centreSurfaceTorques(f1, f2, roll, one, { first: 0, second: 0 }, share);
          close(power(centre, roll, one), terms[0] + terms[1] + terms[2], scale);
        },
      ),
      { seed: 4 },
    );
  });

  test('defaults: the roll by its own motor at a centre-surface winder, by halves at two drums', () => {
    const roll = body({ radius: 0.5, inertia: 100, acceleration: 1, drag: 4 });
    const drum = body({ radius: 0.25, inertia: 2, acceleration: 1, drag: 1 });
    const rollLoad = 100 / 0.5 + 4;
    const drumLoad = 2 / 0.25 + 1;
    const parts = { firstParts: emptyTorqueParts(), secondParts: emptyTorqueParts() };
    const centre = centreSurfaceTorques(300, 200, roll, drum, { first: 0, second: 0, ...parts });
    expect(centre.first).toBeCloseTo(300 * 0.5 + rollLoad, 10);
    expect(centre.second).toBeCloseTo(200 * 0.25 + drumLoad, 10);
    expect(sum(parts.firstParts)).toBeCloseTo(centre.first, 10);
    const drums = twoDrumTorques(300, 200, roll, drum, drum, { first: 0, second: 0, ...parts });
    expect(drums.first).toBeCloseTo(300 * 0.25 + drumLoad + 0.25 * rollLoad, 10);
    expect(drums.first - drums.second).toBeCloseTo(100 * 0.25, 10);
    expect(parts.secondParts).toEqual({ tension: 50, inertia: 8 + 50, drag: 1 + 1, assist: 0 });
    // A surface winder: all through the drum, J_roll·(a/R)/R as a force at the surface.
    expect(drumTorque(500, drum, roll, 1)).toBeCloseTo(
      0.25 * (500 + 100 / 0.5 / 0.5 + 4 / 0.5) + drumLoad,
      10,
    );
  });

  test('smooth in speed on either side of standstill, and at standstill as forward', () => {
    fc.assert(
      fc.property(moving, number(0, 900), (b, T) => {
        const rest = winderTorque(T, { ...b, speed: 0 });
        expect(winderTorque(T, { ...b, speed: 1e-9 })).toBeCloseTo(rest, 6);
        // Backwards only drag and assist turn over.
        expect(rest - winderTorque(T, { ...b, speed: -1e-9 })).toBeCloseTo(2 * (b.drag + b.assist), 6);
      }),
      { seed: 5 },
    );
  });

  test('acceleration at constant web speed: a winder slows down, an unwind speeds up, by the differences of v/R', () => {
    for (const sense of [1, -1] as const) {
      const [v, h, R0, dt] = [8, 2e-4, 0.2, 1e-3];
      const omega = (t: number): number => v / Math.sqrt(R0 ** 2 + (sense * h * v * t) / Math.PI);
      const roll = body({ radius: R0, speed: v, radiusRate: radiusRate(h, v, R0, sense) });
      expect(rotationalAcceleration(roll)).toBeCloseTo((omega(dt) - omega(-dt)) / (2 * dt), 8);
      expect(Math.sign(rotationalAcceleration(roll))).toBe(-sense);
    }
  });
});

test.each([-0.1, 1.1, Number.NaN])('a share of %d of the roll is refused', (share) => {
  const [b, into] = [body({}), { first: 0, second: 0 }];
  expect(() => drumTorque(1, b, b, share)).toThrow(/share of/);
  expect(() => centreSurfaceTorques(1, 1, b, b, into, share)).toThrow(/share of/);
  expect(() => twoDrumTorques(1, 1, b, b, b, into, share)).toThrow(/share of/);
});

test.each([
  [{ radius: 0 }, /radius 0 m/],
  [{ inertia: -1 }, /inertia -1/],
  [{ drag: -0.1 }, /drag -0.1/],
  [{ assist: -1 }, /assist -1/],
  [{ speed: Number.NaN }, /NaN m\/s/],
  [{ acceleration: Number.POSITIVE_INFINITY }, /Infinity m\/s²/],
])('a roller with %j is refused', (change, message) => {
  expect(() => requireBody(body(change))).toThrow(message);
  expect(() => requireBody(body({ assist: 0.1, radiusRate: -1e-6 }))).not.toThrow();
});
