import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  acceleratingTorque,
  cylinderInertia,
  cylinderMass,
  inertiaAtMotor,
  inertiaFromFlywheelEffect,
} from '../../../src/engine/line/inertia.js';
import { fromSI, toSI } from '../../../src/engine/units/convert.js';

const relativeError = (got: number, want: number): number => Math.abs(got / want - 1);

describe('WK² of solid steel cylinders per inch of length', () => {
  const density = toSI(0.2833, 'density', 'lb_per_in3');
  const perInch = (diameter: number) =>
    cylinderInertia(density, toSI(1, 'length', 'in'), toSI(diameter, 'length', 'in') / 2);

  // WK² = (π/32)·ρ·D⁴/144 with ρ = 0.2833 lb/in³, computed independently of this code, in lb·ft² and lb·in² to the digits printed there; and
  // a public chart of a power-transmission maker in lb·in², which was rounded before conversion, so it serves from 6 in up and to
  // 0.5 % only.
  test.each([
    [1, '0.000193145', '0.02781', undefined],
    [2, '0.00309032', '0.44501', undefined],
    [3, '0.0156448', '2.25285', undefined],
    [4, '0.0494452', '7.12011', undefined],
    [6, '0.250316', '36.0455', 36.0],
    [8, '0.791123', '113.922', 113.904],
    [10, '1.93145', '278.129', 277.92],
    [12, '4.00506', '576.729', 576.0],
    [18, '20.2756', '2919.69', 2910.24],
    [24, '64.0810', '9227.66', 9195.84],
    [36, '324.410', '46715.0', 46540.8],
    [48, '1025.30', '147643', 147139.2],
    [60, '2503.16', '360455', 359238.8],
  ])('%d in', (diameter, squareFeet, squareInches, chart) => {
    const decimals = (printed: string): number => printed.split('.')[1]?.length ?? 0;
    expect(fromSI(perInch(diameter), 'inertia', 'lbft2').toFixed(decimals(squareFeet))).toBe(squareFeet);
    expect(fromSI(perInch(diameter), 'inertia', 'lbin2').toFixed(decimals(squareInches))).toBe(squareInches);
    if (chart !== undefined)
      expect(relativeError(fromSI(perInch(diameter), 'inertia', 'lbin2'), chart)).toBeLessThan(0.005);
  });
});

// Computed independently of this code, steel 7850 kg/m³, one metre long; printed to eight digits.
test.each([
  [0.1, 0.0770672],
  [0.2, 1.2330751],
  [0.3, 6.2424428],
  [0.4, 19.729202],
  [0.6, 99.879084],
  [1.0, 770.67195],
])('solid steel cylinder of %d m diameter, per metre', (diameter, want) => {
  expect(relativeError(cylinderInertia(7850, 1, diameter / 2), want)).toBeLessThan(6e-7);
});

test('sizing chain of a roll: mass, inertia and torque in both systems', () => {
  // Roll 1.2 m outside, 0.1 m core, 1.5 m wide, 800 kg/m³, from rest to 10 m/s in 20 s; computed independently of this code.
  const mass = cylinderMass(800, 1.5, 0.6, 0.05);
  const inertia = cylinderInertia(800, 1.5, 0.6, 0.05);
  expect(mass).toBeCloseTo(1347.7432, 4);
  expect(fromSI(mass, 'mass', 'lb')).toBeCloseTo(2971.265, 3);
  expect(inertia).toBeCloseTo(244.278464, 6);
  expect(fromSI(inertia, 'inertia', 'lbft2')).toBeCloseTo(5796.816, 3);
  const torque = acceleratingTorque(inertia, 10 / 0.6, 20);
  expect(torque).toBeCloseTo(203.5654, 4);
  expect(fromSI(torque, 'torque', 'lbft')).toBeCloseTo(150.1421, 4);
  expect(inertiaAtMotor(inertia, 4)).toBeCloseTo(15.2674, 4);
});

test("the handbook's accelerating torque: 307.2395 is 60·g/2π, and 308 is 0.25 % low", () => {
  const [wk2, speed, time] = [5796.816, 159.155, 20];
  const torque = fromSI(
    acceleratingTorque(toSI(wk2, 'inertia', 'lbft2'), toSI(speed, 'angularSpeed', 'rpm'), time),
    'torque',
    'lbft',
  );
  const constant = (wk2 * speed) / (torque * time);
  expect(constant).toBeCloseTo(307.2395, 4);
  expect(constant).toBeCloseTo((60 * 32.17404856) / (2 * Math.PI), 5); // standard gravity in ft/s²
  expect((wk2 * speed) / (308 * time) / torque - 1).toBeCloseTo(-0.0025, 4);
});

test('GD² of a disc is four times its inertia', () => {
  // A thin ring of 10 kg and 0.5 m diameter: D = 0.5, so GD² = 2.5 kgf·m²; J = m·R² = 10·0.25².
  expect(inertiaFromFlywheelEffect(2.5)).toBeCloseTo(10 * 0.25 ** 2, 12);
});

const radius = fc.double({ min: 1e-3, max: 2, noNaN: true });
const share = fc.double({ min: 0, max: 1, noNaN: true });

test('laws: tube + its bore filled = solid; length and density are linear; thin tube tends to m·R²', () => {
  fc.assert(
    fc.property(radius, share, (R, f) => {
      const r = f * R;
      const whole = cylinderInertia(7850, 1.2, R);
      const parts = cylinderInertia(7850, 1.2, R, r) + cylinderInertia(7850, 1.2, r);
      expect(relativeError(parts, whole)).toBeLessThan(1e-14);
      expect(relativeError(cylinderInertia(2 * 7850, 1.2, R), 2 * whole)).toBeLessThan(1e-14);
      expect(relativeError(cylinderInertia(7850, 3.6, R), 3 * whole)).toBeLessThan(1e-14);
      // radius of gyration between that of a solid cylinder and that of a ring
      const tube = cylinderInertia(7850, 1.2, R, 0.99 * R);
      const ring = cylinderMass(7850, 1.2, R, 0.99 * R) * R * R;
      expect(tube / ring).toBeGreaterThan(0.99);
      expect(tube / ring).toBeLessThan(1);
    }),
    { seed: 4 },
  );
});

test('energy is the same at motor and roller', () => {
  const [J, i, omega] = [3.2, 7.5, 11];
  expect(0.5 * inertiaAtMotor(J, i) * (i * omega) ** 2).toBeCloseTo(0.5 * J * omega ** 2, 10);
});

test('what is no cylinder, gear or time is refused, NaN included', () => {
  expect(() => cylinderInertia(7850, 1, 0.1, 0.2)).toThrow(/outer radius 0.1/);
  expect(() => cylinderInertia(-1, 1, 0.1)).toThrow(/density -1/);
  expect(() => cylinderMass(7850, Number.NaN, 0.1)).toThrow(/NaN/);
  expect(() => inertiaAtMotor(1, 0)).toThrow(/gear ratio 0/);
  expect(() => inertiaAtMotor(1, Number.NaN)).toThrow();
  expect(() => acceleratingTorque(1, 1, 0)).toThrow(/0 s/);
});
