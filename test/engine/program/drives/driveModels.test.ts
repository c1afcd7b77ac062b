import { describe, expect, it } from 'vitest';
import { driveMap } from '../../../../src/engine/program/drives/driveMap.js';
import type { DriveModel } from '../../../../src/engine/program/drives/driveModel.js';
import { driveModels } from '../../../../src/engine/program/drives/driveModels.js';
import { programmeLine } from '../../../../src/engine/program/programmeLine.js';
import type { LineDocument, SectionDocument } from '../../../../src/engine/project/line/lineDocument.js';
import { toLine } from '../../../../src/engine/project/line/toLine.js';
import type { ProductDocument } from '../../../../src/engine/project/product/productDocument.js';
import { toProduct } from '../../../../src/engine/project/product/toProduct.js';

// Sizing chain worked by hand: roll of 1.2 m on a 0.1 m core, 1.5 m wide, 800 kg/m³: J = 244.278464 kg·m²; 600 N at 10 m/s is 360 N·m, with
// i = 4 and η = 0.96 93.75 N·m driving and 86.40 N·m braking at the motor; 0 to 10 m/s in 20 s takes 203.5654 N·m at the roll, 339.276 N of
// tension; emergency stop in 4 s 1017.83 N·m; 33.9276 kJ. The motor turns 636.62 rpm at the full roll and 7639.4 rpm at the core, 12 : 1.
const caliper = 1e-13; // so thin that the change of radius plays no part
const roll = { core_diameter_m: 0.1, full_diameter_m: 1.2 };
const drive = {
  rated_torque_Nm: 400,
  gear_ratio: 4,
  motor_inertia_kgm2: 1e-12,
  gear_inertia_kgm2: 1e-12,
  gear_efficiency: 0.96,
  torque_limit_percent: 150,
  max_motor_speed_rad_per_s: 900,
};
const product = (more: Partial<ProductDocument> = {}): ProductDocument => ({
  schema: 'tautline/product@1',
  web: { width_m: 1.5, caliper_m: caliper, density_kgm3: 800, friction: 0.3 },
  winder: { ...roll, tension: { law: 'constant', start_N_per_m: 400 } },
  unwind: { ...roll, tension: { law: 'constant', start_N_per_m: 400 } },
  ...more,
});
const lineOf = (sections: SectionDocument[], speed?: LineDocument['speed']) =>
  toLine({ schema: 'tautline/line@1', name: 'test line (invented)', sections, ...(speed && { speed }) });
const models = (sections: SectionDocument[], p = product()): DriveModel[] =>
  driveModels(lineOf(sections), toProduct(p));

const winder: SectionDocument = {
  name: 'winder',
  kind: 'winder',
  type: 'centre',
  core_inertia_kgm2: 0,
  drive,
};
const unwind: SectionDocument = { name: 'unwind', kind: 'unwind', core_inertia_kgm2: 0, drive };

describe('torque of each drive on the line', () => {
  it('is that of the worked sizing chain at the winder and, braking, at the unwind', () => {
    const [u, w] = models([unwind, winder]);
    expect(w.torque(1.2, 10, 0)).toBeCloseTo(93.75, 6);
    expect(u.torque(1.2, 10, 0)).toBeCloseTo(-86.4, 6);
    expect(w.torque(1.2, 10, 0.5) - w.torque(1.2, 10, 0)).toBeCloseTo(203.5654 / 4 / 0.96, 3);
    // The unwind speeds up: 203.57 N·m of 360 held back, so it still brakes, with less.
    expect(u.torque(1.2, 10, 0.5)).toBeCloseTo((-(360 - 203.5654) * 0.96) / 4, 3);
    expect((w.motorSpeed(1.2, 10) * 60) / (2 * Math.PI)).toBeCloseTo(636.62, 2);
    expect((w.motorSpeed(0.1, 10) * 60) / (2 * Math.PI)).toBeCloseTo(7639.4, 1);
    expect(w.stopping(1.2).inertia).toBeCloseTo(244.278464, 5);
  });

  it('says what it leaves out', () => {
    const { web: _web, ...rest } = product();
    const [u] = models([unwind], { ...rest, web: { width_m: 1.5, caliper_m: caliper } });
    expect(u.missing).toEqual(expect.arrayContaining(['drag', 'roll inertia']));
    const [pull] = models([{ name: 'pull', kind: 'pull-roll', diameter_m: 0.2, drive }]);
    expect(pull.missing).toEqual(expect.arrayContaining(['inertia', 'drag', 'tension']));
    const [helper] = models([
      {
        name: 'helper',
        kind: 'driven-idler',
        inertia_kgm2: 1,
        drag: { coulomb_Nm: 1 },
        diameter_m: 0.2,
        drive,
      },
    ]);
    expect(helper.missing).toEqual([]);
  });

  it('gives a pull roll the difference of the tensions and a helper none', () => {
    const sections: SectionDocument[] = [
      { ...unwind, tension_N_per_m: 200 },
      {
        name: 'pull',
        kind: 'pull-roll',
        diameter_m: 0.2,
        inertia_kgm2: 2,
        drag: { coulomb_Nm: 3, viscous_Nms: 0.1 },
        tension_N_per_m: 300,
        drive: { rated_torque_Nm: 50 },
      },
      {
        name: 'helper',
        kind: 'spreader',
        diameter_m: 0.2,
        inertia_kgm2: 2,
        drag: { coulomb_Nm: 3, viscous_Nms: 0.1 },
        drive: { rated_torque_Nm: 50 },
      },
    ];
    const [, pull, helper] = models(sections);
    // ω = 5/0.1 = 50 rad/s, drag 3 + 0.1·50 = 8 N·m, inertia 2·0.5/0.1 = 10 N·m, tension (200 − 300)·1.5·0.1 = −15 N·m
    expect(pull.torque(Number.NaN, 5, 0.5)).toBeCloseTo(-15 + 10 + 8, 9);
    expect(helper.torque(Number.NaN, 5, 0.5)).toBeCloseTo(18, 9);
    expect(helper.torque(Number.NaN, 5, -0.5)).toBeCloseTo(-2, 9);
  });

  it('shares the tension between two motors that together carry it, the roll and the drum', () => {
    const drum = { diameter_m: 0.4, inertia_kgm2: 5, drag: { coulomb_Nm: 2 } };
    const withD = (d: number): ProductDocument =>
      product({
        winder: {
          ...roll,
          tension: { law: 'constant', start_N_per_m: 400 },
          torque_differential: { law: 'constant', start_N_per_m: d },
        },
      });
    const sections = (type: 'centre-surface' | 'two-drum'): SectionDocument[] => [
      type === 'two-drum'
        ? {
            name: 'w',
            kind: 'winder',
            type,
            core_inertia_kgm2: 0,
            rear_drum: { ...drum, drive: { rated_torque_Nm: 99 } },
            front_drum: { ...drum, drive: { rated_torque_Nm: 99 } },
          }
        : {
            name: 'w',
            kind: 'winder',
            type,
            core_inertia_kgm2: 0,
            drum: { ...drum, drive: { rated_torque_Nm: 99 } },
            drive: { rated_torque_Nm: 99, motor_inertia_kgm2: 0 },
          },
    ];
    for (const type of ['centre-surface', 'two-drum'] as const)
      for (const d of [-100, 0, 150]) {
        const all = models(sections(type), withD(d));
        expect(all).toHaveLength(2);
        // Force at the surface of each motor, steady: torque less drag over its radius
        const force = all.map(
          (m) => (m.torque(1, 10, 0) - (m.name === 'w' ? 0 : 2)) / (m.name === 'w' ? 0.5 : 0.2),
        );
        expect(force[0] + force[1]).toBeCloseTo(600, 6);
        const first = all.findIndex((m) => m.name === 'w' || m.name === 'w front drum');
        expect(force[first] - force[1 - first]).toBeCloseTo(1.5 * d, 6);
        // Speeding up: all that turns, at the surface: J/R² of roll and drums times a
        const more = all.map(
          (m) => (m.torque(1, 10, 0.5) - m.torque(1, 10, 0)) / (m.name === 'w' ? 0.5 : 0.2),
        );
        const rollInertia = 0.5 * Math.PI * 800 * 1.5 * (0.5 ** 4 - 0.05 ** 4);
        expect(more[0] + more[1]).toBeCloseTo(
          0.5 * (rollInertia / 0.25 + ((type === 'two-drum' ? 2 : 1) * 5) / 0.04),
          6,
        );
      }
  });

  it('is laid out as diameter, speed, acceleration in a map, one layer where no roll matters', () => {
    const [u, helper] = models([
      unwind,
      {
        name: 'helper',
        kind: 'driven-idler',
        inertia_kgm2: 1,
        drag: { coulomb_Nm: 1 },
        diameter_m: 0.2,
        drive,
      },
    ]);
    const grid = { diameters: [0.2, 0.7, 1.2], speeds: [1, 5], accelerations: [-0.3, 0, 0.4, 0.9] };
    const map = driveMap(u, grid);
    expect(map.torque).toHaveLength(24);
    for (const [d, diameter] of grid.diameters.entries())
      for (const [v, speed] of grid.speeds.entries())
        for (const [a, acceleration] of grid.accelerations.entries()) {
          const at = (d * 2 + v) * 4 + a;
          expect(map.torque[at]).toBeCloseTo(u.torque(diameter, speed, acceleration), 9);
          expect(map.margin[at]).toBeCloseTo(600 - Math.abs(map.torque[at]), 9);
        }
    expect(driveMap(helper, grid).torque).toHaveLength(8);
  });
});

describe('the term J̇·ω of a roll', () => {
  it('is left out, and when asked for adds basis weight times width times v² as a tension, forward at a winder, back at an unwind', () => {
    // 80 g/m² (100 µm of 800 kg/m³), 1.5 m, 20 m/s: 0.08·1.5·400 = 48 N
    const p = product({ web: { width_m: 1.5, caliper_m: 1e-4, density_kgm3: 800, friction: 0.3 } });
    const plain = { ...drive, gear_efficiency: 1 };
    const line = lineOf([
      { ...unwind, drive: plain },
      { ...winder, drive: plain },
    ]);
    const [u, w] = driveModels(line, toProduct(p));
    const [withU, withW] = driveModels(line, toProduct(p), { momentumTerm: true });
    const tension = (a: DriveModel, b: DriveModel): number =>
      ((b.torque(1, 20, 0) - a.torque(1, 20, 0)) * 4) / 0.5;
    expect(tension(w, withW)).toBeCloseTo(48, 6);
    expect(tension(u, withU)).toBeCloseTo(-48, 6);
  });
});

describe('motors of the line', () => {
  const speed = { top_m_per_s: 10, acceleration_m_per_s2: 0.5, stop_m_per_s2: 0.5, emergency_stop_s: 4 };
  const run = (sections: SectionDocument[], p = product()) =>
    programmeLine(lineOf(sections, speed), toProduct(p), 5);
  const codes = (sections: SectionDocument[], p = product()): string[] =>
    run(sections, p)
      .lineFindings.filter((f) => f.severity === 'refuse')
      .map((f) => f.code);

  it('are found fault with where they cannot, at their section', () => {
    const small = { ...winder, drive: { ...drive, rated_torque_Nm: 60, torque_limit_percent: 100 } };
    expect(codes([unwind, small])).toEqual(
      expect.arrayContaining(['motor_torque_exceeded', 'motor_overloaded', 'motor_overheated']),
    );
    const found = run([unwind, small]).lineFindings.find((f) => f.code === 'motor_torque_exceeded');
    expect(found?.where).toMatchObject({ pointer: 'sections.1', section: 'winder' });
    expect(codes([unwind, { ...winder, drive: { ...drive, max_motor_speed_rad_per_s: 700 } }])).toEqual([
      'motor_too_slow',
    ]);
    expect(codes([unwind, winder])).toEqual([]);
  });

  it('let a brake hold an unwind back but not drive it', () => {
    const brake = { ...unwind, drive: { ...drive, power_flow: 'braking' as const } };
    expect(codes([brake, winder])).toEqual([]);
    const light = product({ unwind: { ...roll, tension: { law: 'constant', start_N_per_m: 100 } } });
    expect(codes([brake, winder], light)).toEqual(['power_flow_refused']);
  });

  it('weaken the field: the torque limit falls above base speed, at the core', () => {
    const weak = { ...winder, drive: { ...drive, rated_torque_Nm: 120, base_speed_rad_per_s: 66.7 } };
    const limit = run([unwind, weak]).winder?.limits.find((l) => l.name === 'lasting torque of winder');
    // Constant tension: torque grows with D, available torque with D as well (constant power), so the margin is the same everywhere.
    expect(limit?.margin).toBeCloseTo(1 - 93.75 / 120, 2);
  });

  it('have the duty of the worked chain: range 12 : 1, energy and torque of the emergency stop', () => {
    const duty = run([unwind, winder]).duty;
    const w = duty?.drives.find((d) => d.name === 'winder');
    expect(w?.speedRange).toBeCloseTo(12, 9);
    expect(w?.drivingPower).toBeGreaterThan(6000 / 0.96);
    const stop = duty?.stops.find((s) => s.kind === 'emergency');
    const at = (name: string) => stop?.intact.sections.find((s) => s.name === name)?.torque;
    // Retarding torque: unwind J·a/R + T·R, winder J·a/R − T·R
    expect(at('unwind')).toBeCloseTo(1017.83 + 360, 1);
    expect(at('winder')).toBeCloseTo(1017.83 - 360, 1);
    expect(stop?.broken.sections.find((s) => s.name === 'winder')?.torque).toBeCloseTo(1017.83, 1);
    expect(stop?.energy[0].stop.kinetic).toBeCloseTo(33927.6, 0);
    // Running alone: 6 kW of web power through 96 %
    const steady = w?.rms as number;
    expect(steady).toBeLessThan(93.75);
    expect(steady).toBeGreaterThan(93.75 / 2);
  });

  it('balance: what the unwind takes back less what the winder gives is friction, gears and kinetic energy', () => {
    const [u, w] = run([unwind, winder]).models;
    for (const [v, a] of [
      [10, 0],
      [4, 0.5],
      [7, -0.4],
    ]) {
      const power = (m: DriveModel): number => m.torque(0.8, v, a) * m.motorSpeed(0.8, v);
      const lossless = (m: DriveModel): number => power(m) * (power(m) > 0 ? 0.96 : 1 / 0.96);
      const kinetic = 2 * (u.stopping(0.8).inertia / 0.16) * v * a;
      expect(lossless(u) + lossless(w)).toBeCloseTo(kinetic, 4);
    }
  });

  it('are not judged while the line states no speed, and that is said', () => {
    const { lineFindings, duty } = programmeLine(lineOf([unwind, winder]), toProduct(product()), 5);
    expect(duty).toBeUndefined();
    expect(lineFindings.map((f) => f.code)).toContain('line_speed_missing');
    const without = programmeLine(lineOf([unwind, winder], { top_m_per_s: 10 }), toProduct(product()), 5);
    expect(without.duty).toBeUndefined();
    expect(without.lineFindings.find((f) => f.code === 'line_speed_missing')?.message).toMatch(
      /no acceleration/,
    );
  });
});
