import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  type DriveSides,
  driveSides,
  motorTorque,
  motorTorqueOverAccelerations,
} from '../../../src/engine/feedforward/motorTorque.js';
import {
  type Body,
  emptyTorqueParts,
  helperTorque,
  pullRollTorque,
  rotationalAcceleration,
  unwindTorque,
  winderTorque,
} from '../../../src/engine/feedforward/rollerTorque.js';
import { type DragLaw, dragTorque } from '../../../src/engine/line/drag.js';
import { type Gearbox, reversalStep } from '../../../src/engine/line/gearbox.js';
import { emptyMotorDemand, type Motor, motorDemand } from '../../../src/engine/line/motor.js';
import { radiusRate } from '../../../src/engine/roll/buildUp.js';
import { fromSI } from '../../../src/engine/units/convert.js';

const gearbox: Gearbox = { ratio: 4, efficiency: 0.96 };
const law: DragLaw = { coulomb: 0.5, viscous: 0.01, quadratic: 0, stribeck: 0, stribeckSpeed: 1 };
const sides = (box: Gearbox = gearbox, motorInertia = 0): DriveSides =>
  driveSides(box, { from: 'parts', inertiaAtRoller: 0, gearboxInertia: 0, motorInertia }, undefined);

describe('sides', () => {
  test('an inertia identified at the motor stays there and a motor inertia cannot join it', () => {
    const s = driveSides(
      gearbox,
      { from: 'identified', inertiaAtMotor: 0.3 },
      { from: 'identified', dragAtMotor: law },
    );
    expect([s.inertiaAtRoller, s.inertiaAtMotor]).toEqual([0, 0.3]);
    expect([dragTorque(s.dragAtRoller, 10), s.dragAtMotor]).toEqual([0, law]);
    // @ts-expect-error what was identified at the motor has the motor in it
    driveSides(gearbox, { from: 'identified', inertiaAtMotor: 0.3, motorInertia: 0.1 }, undefined);
  });

  test('parts go to their own side', () => {
    const s = driveSides(
      gearbox,
      { from: 'parts', inertiaAtRoller: 2, gearboxInertia: 0.25, motorInertia: 0.5 },
      { from: 'estimated', dragAtRoller: law },
    );
    expect([s.inertiaAtRoller, s.inertiaAtMotor]).toEqual([2, 0.75]);
    expect([s.dragAtRoller, dragTorque(s.dragAtMotor, 10)]).toEqual([law, 0]);
  });

  test('what is no gearbox and a negative inertia are refused', () => {
    expect(() => driveSides({ ratio: 4, efficiency: 0 }, undefined, undefined)).toThrow(/efficiency 0/);
    expect(() => driveSides(gearbox, { from: 'identified', inertiaAtMotor: -1 }, undefined)).toThrow(
      /inertiaAtMotor -1/,
    );
    const parts = { from: 'parts', inertiaAtRoller: 1, gearboxInertia: 0, motorInertia: Number.NaN } as const;
    expect(() => driveSides(gearbox, parts, undefined)).toThrow(/motorInertia NaN/);
  });
});

test('sizing chain to the end: winder and unwind at a full roll, field weakening 12:1', () => {
  // Worked by hand: 600 N · 0.6 m, i = 4, 96 %: 93.75 N·m driving, 86.40 N·m braking, 636.62 rpm full and 7639.4 rpm at 0.1 m core.
  const full: Body = { radius: 0.6, inertia: 244.278464, speed: 10, acceleration: 0, drag: 0 };
  const omega = 10 / 0.6;
  expect(motorTorque(sides(), winderTorque(600, full), omega, 0, 0, 0)).toBeCloseTo(93.75, 10);
  expect(motorTorque(sides(), unwindTorque(600, full), omega, 0, 0, 0)).toBeCloseTo(-86.4, 10);
  const motor: Motor = {
    ratedTorque: 93.75,
    torqueLimit: 1.5,
    baseSpeed: 4 * omega,
    maxSpeed: 50 * omega,
    cooling: 'forced',
    powerFlow: 'both',
  };
  const at = motorDemand(motor, 93.75, 4 * omega, emptyMotorDemand());
  expect(fromSI(at.speed, 'angularSpeed', 'rpm')).toBeCloseTo(636.62, 2);
  expect(at.currentFraction).toBeCloseTo(1, 12);
  // At the core of 0.1 m diameter a twelfth of the torque at twelve times the speed: the same power, the same current.
  const core: Body = { ...full, radius: 0.05, inertia: 0 };
  const torque = motorTorque(sides(), winderTorque(600, core), 10 / 0.05, 0, 0, 0);
  motorDemand(motor, torque, (4 * 10) / 0.05, at);
  expect(fromSI(at.speed, 'angularSpeed', 'rpm')).toBeCloseTo(7639.4, 1);
  expect(at.fraction).toBeCloseTo(1 / 12, 12);
  expect(at.currentFraction).toBeCloseTo(1, 12);
  expect(at.power).toBeCloseTo(6000 / 0.96, 8);
});

const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const cases = fc
  .record({
    radius: number(0.05, 0.8),
    inertia: number(0.001, 300),
    speed: number(-15, 15),
    acceleration: number(-3, 3),
    drag: number(0, 50),
    up: number(0, 900),
    down: number(0, 900),
    ratio: number(0.5, 30),
    efficiency: number(0.5, 1),
    inertiaAtMotor: number(0, 2),
    dragAtMotor: number(0, 5),
  })
  .filter((c) => Math.abs(c.speed) > 1e-3);

describe('laws', () => {
  test('power: motor = web + kinetic energy on both sides + drag on both sides + gearbox loss, which is never negative', () => {
    fc.assert(
      fc.property(cases, ({ up, down, ratio, efficiency, inertiaAtMotor, dragAtMotor, ...body }) => {
        const box = { ratio, efficiency };
        const [omega, alpha] = [body.speed / body.radius, rotationalAcceleration(body)];
        const u = pullRollTorque(up, down, body);
        const M = motorTorque(sides(box, inertiaAtMotor), u, omega, alpha, dragAtMotor, 0);
        // Kinetic energy at t = ±dt, differentiated.
        const energy = (t: number): number =>
          0.5 * (body.inertia + inertiaAtMotor * ratio ** 2) * (omega + alpha * t) ** 2;
        const dt = 1e-2;
        const kinetic = (energy(dt) - energy(-dt)) / (2 * dt);
        const web = (up - down) * body.speed;
        const drag = body.drag * Math.abs(omega) + dragAtMotor * Math.abs(ratio * omega);
        const loss = M * ratio * omega - web - kinetic - drag;
        const scale = Math.abs(web) + energy(0) / dt + Math.abs(kinetic) + drag + Math.abs(M * ratio * omega);
        expect(loss).toBeGreaterThan(-1e-9 * scale - 1e-9);
        const through = u * omega;
        const expected = through > 0 ? through * (1 / efficiency - 1) : -through * (1 - efficiency);
        expect(Math.abs(loss - expected)).toBeLessThan(1e-9 * scale + 1e-9);
      }),
      { seed: 1 },
    );
  });

  test('mirrored direction, mirrored torque', () => {
    fc.assert(
      fc.property(cases, ({ up, down, ratio, efficiency, inertiaAtMotor, dragAtMotor, ...body }) => {
        const s = sides({ ratio, efficiency }, inertiaAtMotor);
        const at = (b: Body, T: number): number =>
          motorTorque(
            s,
            pullRollTorque(T, 0, b),
            b.speed / b.radius,
            rotationalAcceleration(b),
            dragAtMotor,
            0.3,
          );
        const back = { ...body, speed: -body.speed, acceleration: -body.acceleration };
        expect(at(back, -up)).toBe(-at(body, up));
      }),
      { seed: 2 },
    );
  });

  test('no step over tension and acceleration, through the change of power direction too', () => {
    // From braking to driving in small steps: each change is within the steepest slope.
    const s = sides(gearbox, 0.1);
    const at = (acceleration: number, T: number): number => {
      const roll: Body = { radius: 0.4, inertia: 56.552, speed: 6, acceleration, drag: 2.3 };
      return motorTorque(s, unwindTorque(T, roll), 15, acceleration / 0.4, 0.1, 0);
    };
    const n = 2000;
    let [lowest, highest] = [0, 0];
    for (let i = 0; i < n; i++) {
      const [a, T] = [-1 + (2 * i) / n, (300 * i) / n];
      const slopeA = 56.552 / 0.4 / (4 * 0.96) + (0.1 * 4) / 0.4;
      expect(Math.abs(at(a + 2 / n, 150) - at(a, 150))).toBeLessThanOrEqual((slopeA * 2) / n + 1e-9);
      expect(Math.abs(at(0.4, T + 300 / n) - at(0.4, T))).toBeLessThanOrEqual(
        ((0.4 / (4 * 0.96)) * 300) / n + 1e-9,
      );
      lowest = Math.min(lowest, at(a, 150));
      highest = Math.max(highest, at(a, 150));
    }
    expect(lowest).toBeLessThan(-5);
    expect(highest).toBeGreaterThan(5);
  });

  test('parts at the motor add up to the torque at the motor', () => {
    fc.assert(
      fc.property(cases, ({ up, ratio, efficiency, inertiaAtMotor, dragAtMotor, ...body }) => {
        const parts = emptyTorqueParts();
        const s = sides({ ratio, efficiency }, inertiaAtMotor);
        const u = winderTorque(up, body, parts);
        const [omega, alpha] = [body.speed / body.radius, rotationalAcceleration(body)];
        const M = motorTorque(s, u, omega, alpha, dragAtMotor, 0.2, parts);
        const { tension, inertia, drag, assist } = parts;
        const scale = Math.abs(tension) + Math.abs(inertia) + Math.abs(drag) + Math.abs(assist);
        expect(Math.abs(tension + inertia + drag + assist - M)).toBeLessThanOrEqual(1e-12 * scale);
        expect(motorTorque(s, u, omega, alpha, dragAtMotor, 0.2)).toBe(M);
      }),
      { seed: 3 },
    );
  });

  test('many accelerations at once: the same numbers as one by one', () => {
    const accelerations = Float64Array.of(-3, -0.7, 0, 0.2, 2.5);
    fc.assert(
      fc.property(cases, number(0, 5e-4), (c, caliper) => {
        const { up, ratio, efficiency, inertiaAtMotor, dragAtMotor, ...rest } = c;
        const s = sides({ ratio, efficiency }, inertiaAtMotor);
        const at = (acceleration: number): Body => ({
          ...rest,
          acceleration,
          radiusRate: radiusRate(caliper, rest.speed, rest.radius, -1),
        });
        const u0 = unwindTorque(up, at(0));
        const into = new Float64Array(7).fill(-1);
        const slope = unwindTorque(up, at(1)) - u0;
        motorTorqueOverAccelerations(s, u0, slope, at(99), dragAtMotor, 0.3, accelerations, into, 1);
        expect([into[0], into[6]]).toEqual([-1, -1]);
        for (const [k, a] of accelerations.entries()) {
          const body = at(a);
          const [u, omega] = [unwindTorque(up, body), body.speed / body.radius];
          const one = motorTorque(s, u, omega, rotationalAcceleration(body), dragAtMotor, 0.3);
          const size =
            (up * body.radius + body.inertia * 300 + body.drag) / ratio + inertiaAtMotor * 300 + 10;
          expect(Math.abs(into[k + 1] - one)).toBeLessThan(1e-11 * size);
        }
      }),
      { seed: 5 },
    );
  });

  test('with identified values, the error against the parts that they stand for stays within the stated bound', () => {
    fc.assert(
      fc.property(cases, ({ up, ratio, efficiency, inertiaAtMotor, dragAtMotor, ...body }) => {
        const box = { ratio, efficiency };
        const [omega, alpha] = [body.speed / body.radius, rotationalAcceleration(body)];
        const exact = motorTorque(
          sides(box, inertiaAtMotor),
          winderTorque(up, body),
          omega,
          alpha,
          dragAtMotor,
          0,
        );
        // What a test without web and without losses saw at the motor.
        const seen = sides(box, inertiaAtMotor + body.inertia / ratio ** 2);
        const u = up * body.radius;
        const identified = motorTorque(seen, u, omega, alpha, dragAtMotor + body.drag / ratio, 0);
        const Y = helperTorque(body);
        const first = (Math.abs(Y) * (1 / efficiency - 1)) / ratio;
        const opposed = Math.abs(Y) > Math.abs(u) && u * Y < 0 ? reversalStep(box, u) : 0;
        const error = Math.abs(identified - exact);
        expect(error).toBeLessThanOrEqual((first + opposed) * (1 + 1e-9) + 1e-9);
      }),
      { seed: 4, numRuns: 1000 },
    );
  });
});
