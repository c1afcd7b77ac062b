import { describe, expect, test } from 'vitest';
import type { Finding } from '../../../src/engine/findings.js';
import type { DriveSignals } from '../../../src/engine/identify/signals.js';
import { identifyWebOn } from '../../../src/engine/identify/webOn.js';
import { isWebOn, rollRadius, tensionTorque } from '../../../src/engine/identify/webSignals.js';
import type { Drive } from '../../../src/engine/line/drive.js';
import { createRandom } from '../../../src/engine/numerics/random.js';
import { evenTime, scalesFor, signalsOf } from '../../support/profiles.js';

/**
 * A roll whose diameter is laid down, with the torque that the equation of motion asks for at the motor:
 *   winder  M = (J0 + ρ·g)·α + drag + T·R/i      unwind  M = (J0 + ρ·g)·α + drag - T·R/i
 * g = (π/2)·w·(R⁴ - Rc⁴)/i², a hollow cylinder of density 1 seen from the motor.
 */
const truth = { fixed: 0.2, density: 900, coulomb: 3, viscous: 0.03 };
const gearRatio = 4;
const width = 1.2;
const coreRadius = 0.08;
const drive = (element: 'winder' | 'unwind'): Drive => ({
  name: 'roll',
  element,
  gearRatio,
  coreRadius,
  web: { width },
  ratedTorque: 100,
});

const perDensity = (radius: number): number =>
  (0.5 * Math.PI * width * (radius ** 4 - coreRadius ** 4)) / gearRatio ** 2;

interface Options {
  readonly sign?: 1 | -1;
  readonly noise?: number;
  readonly varies?: boolean;
}

function roll(
  element: 'winder' | 'unwind',
  { sign = 1, noise = 0.05, varies = true }: Options = {},
): DriveSignals {
  const duration = 600;
  const random = createRandom(`${element} ${noise}`);
  const time = evenTime(duration, 0.05);
  const radiusAt = (t: number): number => {
    const share = element === 'winder' ? t / duration : 1 - t / duration;
    return varies ? 0.1 + 0.3 * share : 0.25;
  };
  // Line speed up and down around 4 m/s within a minute.
  const lineAt = (t: number): number => 4 + 1.5 * Math.sin((2 * Math.PI * t) / 60);
  const omegaAt = (t: number): number => (lineAt(t) * gearRatio) / radiusAt(t);
  const tension = time.map((t) => 300 + 60 * Math.sin((2 * Math.PI * t) / 137));
  const pull = element === 'winder' ? 1 : -1;
  const torque = time.map((t, i) => {
    const h = 1e-3;
    const acceleration = (omegaAt(t + h) - omegaAt(t - h)) / (2 * h);
    const inertia = truth.fixed + truth.density * perDensity(radiusAt(t));
    const drag = truth.coulomb + truth.viscous * omegaAt(t);
    return (
      sign * (inertia * acceleration + drag + (pull * tension[i] * radiusAt(t)) / gearRatio) +
      noise * random.normal()
    );
  });
  return signalsOf({
    time,
    speed: time.map((t) => sign * omegaAt(t)),
    torque,
    tension,
    diameter: time.map((t) => 2 * radiusAt(t)),
    lineSpeed: time.map(lineAt),
  });
}

const scalesOfRoll = scalesFor(240, 60);

describe.each(['winder', 'unwind'] as const)('%s', (element) => {
  test.each([1, -1] as const)('density, and inertia over diameter; rotation %i', (sign) => {
    const findings: Finding[] = [];
    const result = identifyWebOn(roll(element, { sign }), drive(element), scalesOfRoll, findings);
    expect(Math.abs((result.rollDensity?.value ?? 0) / truth.density - 1)).toBeLessThan(0.02);
    expect(result.inertiaOverDiameter?.length).toBeGreaterThan(5);
    for (const { diameter, inertia } of result.inertiaOverDiameter ?? []) {
      const expected = truth.fixed + truth.density * perDensity(diameter / 2);
      expect(Math.abs(inertia / expected - 1)).toBeLessThan(0.03);
    }
    for (const { speed, torque } of result.apparentDragCurve ?? [])
      expect(Math.abs(torque / (truth.coulomb + truth.viscous * speed) - 1)).toBeLessThan(0.03);
    expect(findings.map((f) => f.code)).toEqual(
      expect.arrayContaining(['web_on', 'no_designed_test', 'inertia_varies']),
    );
    expect(result.estimates.inertia).toBeUndefined();
  });

  test('taken for the other one, its drag is off by twice the tension torque', () => {
    const signals = roll(element);
    const other = element === 'winder' ? 'unwind' : 'winder';
    const radius = rollRadius(signals, drive(element));
    const right = tensionTorque(signals, drive(element), radius) as Float64Array;
    const wrong = tensionTorque(signals, drive(other), radius) as Float64Array;
    const sign = element === 'winder' ? 1 : -1;
    for (let i = 0; i < right.length; i += 997) {
      const pull = ((signals.tension?.[i] ?? 0) * (radius?.[i] ?? 0)) / gearRatio;
      expect(wrong[i] - right[i]).toBeCloseTo(sign * 2 * pull, 9);
    }
  });

  test('with a constant diameter the inertia is one number', () => {
    const result = identifyWebOn(roll(element, { varies: false }), drive(element), scalesOfRoll, []);
    const expected = truth.fixed + truth.density * perDensity(0.25);
    expect(Math.abs((result.estimates.inertia?.value ?? 0) / expected - 1)).toBeLessThan(0.02);
    expect(result.inertiaOverDiameter).toBeUndefined();
  });
});

test('a steady pull: a winder drives the web with T·R/i, an unwind holds it back by as much', () => {
  const time = evenTime(1, 0.1);
  const signals = signalsOf({
    time,
    speed: time.map(() => 10),
    torque: time.map(() => 0),
    tension: time.map(() => 200),
    diameter: time.map(() => 0.6),
  });
  const left = (element: 'winder' | 'unwind'): number =>
    tensionTorque(signals, drive(element), rollRadius(signals, drive(element)))?.[3] ?? Number.NaN;
  // 200 N at 0.3 m through a ratio of 4 is 15 N·m at the motor.
  expect(left('winder')).toBeCloseTo(-15, 12);
  expect(left('unwind')).toBeCloseTo(15, 12);
});

test('radius from line speed over roll speed where there is no diameter column: v·i/ω, a gap while the line stands', () => {
  const time = evenTime(10, 0.1);
  const lineSpeed = time.map((t) => (t < 5 ? 3 : 0));
  const signals = signalsOf({ time, speed: time.map((t) => (t < 5 ? -40 : 0)), lineSpeed });
  const radius = rollRadius(signals, drive('winder'));
  expect(radius?.[10]).toBeCloseTo((3 * gearRatio) / 40, 12);
  expect(radius?.[80]).toBeNaN();
  expect(rollRadius({ ...signals, lineSpeed: undefined }, drive('winder'))).toBeUndefined();
});

test('web on when the tension torque is a fair part of the torque, off when the load cell reads next to nothing', () => {
  const signals = roll('winder');
  expect(isWebOn(signals, drive('winder'), scalesOfRoll)).toBe(true);
  const slack = signals.tension?.map(() => 2);
  expect(isWebOn({ ...signals, tension: slack }, drive('winder'), scalesOfRoll)).toBe(false);
});
