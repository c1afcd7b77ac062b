import { expect, test } from 'vitest';
import { rollerSpeed, shaftPower, webPower } from '../../../src/engine/line/power.js';
import { fromSI, toSI } from '../../../src/engine/units/convert.js';

test('600 N at 10 m/s is 6.000 kW or 8.04613 hp', () => {
  const power = webPower(600, 10);
  expect(power).toBe(6000);
  expect(fromSI(power, 'power', 'hp')).toBeCloseTo(8.04613, 5); // computed independently of this code
});

test('handbook: web hp = lbf·fpm/33000, exact since 1 hp is 550 ft·lbf/s', () => {
  const power = webPower(toSI(134.9, 'tension', 'lbf'), toSI(1968.5, 'speed', 'fpm'));
  expect((134.9 * 1968.5) / fromSI(power, 'power', 'hp')).toBeCloseTo(33000, 8);
});

test('handbook: shaft hp = lb·ft·rpm/5252.113, which is 33000/2π', () => {
  const power = shaftPower(toSI(12.5, 'torque', 'lbft'), toSI(1750, 'angularSpeed', 'rpm'));
  const constant = (12.5 * 1750) / fromSI(power, 'power', 'hp');
  expect(constant).toBeCloseTo(5252.113, 3);
  expect(constant).toBeCloseTo(33000 / (2 * Math.PI), 8);
});

test('handbook: rpm = fpm/(π·D[ft])', () => {
  const omega = rollerSpeed(toSI(1000, 'speed', 'fpm'), toSI(2, 'length', 'ft') / 2);
  expect(fromSI(omega, 'angularSpeed', 'rpm')).toBeCloseTo(1000 / (Math.PI * 2), 9);
});

test('10 m/s on a radius of 0.6 m and a ratio of 4 is 636.62 rpm at the motor, 7639.4 rpm on a 0.1 m core', () => {
  expect(fromSI(4 * rollerSpeed(10, 0.6), 'angularSpeed', 'rpm')).toBeCloseTo(636.62, 2);
  expect(fromSI(4 * rollerSpeed(10, 0.05), 'angularSpeed', 'rpm')).toBeCloseTo(7639.4, 1);
});

test('web power enters the roller as shaft power, and a brake takes it out', () => {
  const [tension, speed, radius] = [450, 6, 0.2];
  expect(shaftPower(tension * radius, rollerSpeed(speed, radius))).toBeCloseTo(webPower(tension, speed), 9);
  expect(shaftPower(-10, 5)).toBe(-50);
});

test('a radius of 0 is refused', () => {
  expect(() => rollerSpeed(1, 0)).toThrow(/radius 0/);
  expect(() => rollerSpeed(1, Number.NaN)).toThrow();
});
