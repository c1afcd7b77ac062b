import { describe, expect, it } from 'vitest';
import type { DriveModel } from '../../../../src/engine/program/drives/driveModel.js';
import { driveModels } from '../../../../src/engine/program/drives/driveModels.js';
import { lineDuty } from '../../../../src/engine/program/drives/lineDuty.js';
import { programmeLine } from '../../../../src/engine/program/programmeLine.js';
import type { LineDocument, SectionDocument } from '../../../../src/engine/project/line/lineDocument.js';
import { toLine } from '../../../../src/engine/project/line/toLine.js';
import type { ProductDocument } from '../../../../src/engine/project/product/productDocument.js';
import { toProduct } from '../../../../src/engine/project/product/toProduct.js';

// The roll of the worked sizing chain: 1.2 m on a 0.1 m core, 1.5 m wide, 800 kg/m³, J = 244.278464 kg·m², 600 N at 10 m/s.
const roll = { core_diameter_m: 0.1, full_diameter_m: 1.2 };
const constant = { law: 'constant' as const, start_N_per_m: 400 };
const product = (caliper: number, more: Partial<ProductDocument> = {}): ProductDocument => ({
  schema: 'tautline/product@1',
  web: { width_m: 1.5, caliper_m: caliper, density_kgm3: 800, friction: 0.3 },
  winder: { ...roll, tension: constant },
  unwind: { ...roll, tension: constant },
  ...more,
});
/** So thin that ramps and the change of radius play no part beside the run. */
const veryThin = 1e-13;
const tiny = { motor_inertia_kgm2: 1e-12, gear_inertia_kgm2: 1e-12 };
const drive = {
  ...tiny,
  rated_torque_Nm: 400,
  gear_ratio: 4,
  gear_efficiency: 0.96,
  torque_limit_percent: 150,
};
const winder: SectionDocument = {
  name: 'winder',
  kind: 'winder',
  type: 'centre',
  core_inertia_kgm2: 0,
  drag: { coulomb_Nm: 0 },
  drive,
};
const unwind: SectionDocument = {
  name: 'unwind',
  kind: 'unwind',
  core_inertia_kgm2: 0,
  drag: { coulomb_Nm: 0 },
  drive,
};
const speed = { top_m_per_s: 10, acceleration_m_per_s2: 0.5, stop_m_per_s2: 0.5, emergency_stop_s: 4 };
const lineOf = (sections: SectionDocument[], s: LineDocument['speed'] = speed) =>
  toLine({ schema: 'tautline/line@1', name: 'test line (invented)', sections, ...(s && { speed: s }) });
const run = (sections: SectionDocument[], p = product(veryThin), s = speed) =>
  programmeLine(lineOf(sections, s), toProduct(p), 5);
const refused = (...args: Parameters<typeof run>) =>
  run(...args).lineFindings.filter((f) => f.severity === 'refuse');

describe('cycle of the line', () => {
  it('has the RMS and the work that a helper with friction and inertia takes, worked by hand', () => {
    // R = 0.1 m, J = 2 kg·m², 3 N·m of friction, 0 to 5 m/s in 10 s: 13 N·m for 10 s, 3 for 600, −7 for 10, 3 for 60 at rest.
    // RMS √((1690 + 5400 + 490 + 540)/680) = 3.455601, self-ventilated √(8120/640) = 3.561952 N·m; work 3250 + 90000 and back 1750 J
    const helper = (cooling: 'forced' | 'self-ventilated'): SectionDocument => ({
      name: cooling,
      kind: 'driven-idler',
      diameter_m: 0.2,
      inertia_kgm2: 2,
      drag: { coulomb_Nm: 3 },
      drive: { rated_torque_Nm: 20, motor_inertia_kgm2: 1e-12, cooling },
    });
    // 3000 m of web in the roll
    const p = product((Math.PI * (0.36 - 0.0025)) / 3000);
    const s = { top_m_per_s: 5, acceleration_m_per_s2: 0.5, stop_m_per_s2: 0.5, standstill_s: 60 };
    const line = lineOf([helper('forced'), helper('self-ventilated')], s);
    const duty = lineDuty(line, toProduct(p), driveModels(line, toProduct(p)));
    expect(duty?.cycleTime).toBeCloseTo(680, 9);
    const [forced, ventilated] = duty?.drives ?? [];
    expect(forced.rms).toBeCloseTo(3.455601, 6);
    expect(ventilated.rms).toBeCloseTo(3.561952, 6);
    expect(forced.rmsFraction).toBeCloseTo(3.455601 / 20, 7);
    expect(forced.peak).toBeCloseTo(13, 9);
    expect(forced.drivingEnergy).toBeCloseTo(93250, 3);
    expect(forced.brakingEnergy).toBeCloseTo(1750, 6);
    expect([forced.drivingPower, forced.brakingPower]).toEqual([
      expect.closeTo(650, 6),
      expect.closeTo(350, 6),
    ]);
    expect(forced.speedRange).toBe(1);
  });

  it('warms a winder by the mean square of its radius: 600 N/(4·0.96)·√((0.05² + 0.6²)/2) = 66.521 N·m', () => {
    const drives = run([unwind, winder]).duty?.drives ?? [];
    const rms = (name: string) => drives.find((d) => d.name === name)?.rms;
    // The radius squared runs evenly over the length, from 0.0025 to 0.36 m²; braking: 600 N·0.96/4·√0.18125 = 61.306 N·m
    expect(rms('winder')).toBeCloseTo(66.521, 2);
    expect(rms('unwind')).toBeCloseTo(61.306, 2);
  });

  it('balances: over a cycle the motors of unwind and winder together give what friction takes', () => {
    const friction = 4;
    const direct = { rated_torque_Nm: 999, motor_inertia_kgm2: 0.3 };
    const rubbing = { drag: { coulomb_Nm: friction }, core_inertia_kgm2: 2, drive: direct };
    for (const caliper of [1e-4, 1e-3]) {
      const drives = run(
        [
          { ...unwind, ...rubbing },
          { ...winder, ...rubbing },
        ],
        product(caliper),
      ).duty?.drives;
      const work = (drives ?? []).reduce((sum, d) => sum + d.drivingEnergy - d.brakingEnergy, 0);
      // Each shaft turns as often as the roll has laps; in a ramp of 20 s at core or full roll half of v/R·20 s
      const laps = (0.6 - 0.05) / caliper;
      const ramps = 0.5 * 20 * 10 * (1 / 0.05 + 1 / 0.6);
      // The web's work cancels between the two, kinetic energy comes back.
      expect(work / (2 * friction * (2 * Math.PI * laps + ramps))).toBeCloseTo(1, 9);
    }
  });

  it('holds the tension that the setpoint asks for while speeding up, stopping and standing', () => {
    const setpoint = { stall: 0.4, full_from_m_per_s: 2, accelerating: 1.08, decelerating: 0.9 };
    const p = product(veryThin, { winder: { ...roll, tension: constant, setpoint } });
    const { winder: programmed, duty } = run([winder], { ...p, unwind: undefined });
    const [full] = programmed?.motors.at(-1) ?? [];
    // 93.75 N·m running; speeding up 1.08·93.75 + 203.5654/(4·0.96); stopping 0.9·360 − 203.5654 = 120.4346 N·m at the roll, driving
    expect(full.torque).toBeCloseTo(93.75, 4);
    expect(full.accelerating).toBeCloseTo(101.25 + 53.01182, 3);
    expect(full.decelerating).toBeCloseTo(120.4346 / 3.84, 3);
    // The run ends with the largest torque: 93.75 N·m with the full roll
    expect(duty?.drives[0].peak).toBeCloseTo(93.75, 4);
  });
});

describe('stops of the line', () => {
  const weak = { ...winder, drive: { ...drive, rated_torque_Nm: 130 } };

  it('are as short as the weakest section allows, with the web intact and broken', () => {
    // Winder: 130·1.5·4/0.96 = 812.5 N·m hold back; J·v/R = 4071.308 N·m·s: intact 4071.308/(812.5 + 360), broken 4071.308/812.5.
    // Unwind: 2500 N·m less the 360 that its web pulls: 1.902 s
    const duty = run([unwind, weak]).duty;
    expect(duty?.shortestStop).toEqual({ time: expect.closeTo(3.47233, 4), setBy: 'winder' });
    expect(duty?.shortestBrokenStop).toEqual({ time: expect.closeTo(5.01084, 4), setBy: 'winder' });
  });

  it('are refused to a winder that could stop in time only as long as the web holds it', () => {
    const found = refused([unwind, weak]);
    expect(found.map((f) => f.code)).toEqual(['stop_too_short']);
    expect(found[0].where).toEqual({ pointer: 'sections.1', section: 'winder' });
    expect(found[0].message).toMatch(/emergency stop.*web broken.*1018 N·m.*813 N·m.*at least 5\.01 s/);
    expect(refused([unwind, weak], undefined, { ...speed, emergency_stop_s: 5.1 })).toEqual([]);
  });

  it('warn where less than a tenth is left', () => {
    const s = { ...speed, emergency_stop_s: 5.1 };
    const warned = run([unwind, weak], undefined, s).lineFindings.filter((f) => f.code === 'stop_too_short');
    expect(warned.map((f) => f.severity)).toEqual(['warn']);
    expect(
      run([unwind, weak], undefined, { ...speed, emergency_stop_s: 6 }).lineFindings.map((f) => f.code),
    ).not.toContain('stop_too_short');
  });

  it('may not be slow for a winder that can only brake: its roll has to pull the web', () => {
    // Normal stop in 20 s: 203.565 − 360 = −156.4 N·m; it keeps its tension for 4071.308/360 = 11.31 s at most
    const brake = { ...winder, drive: { ...drive, power_flow: 'braking' as const } };
    const found = refused([brake]).filter((f) => f.code.startsWith('stop'));
    expect(found.map((f) => f.code)).toEqual(['stop_too_long']);
    expect(found[0].message).toMatch(/normal stop.*156 N·m.*at most 11\.3 s/);
  });

  it('count the smallest drag: a helper whose drive cannot take power back may stop by friction alone', () => {
    const helper = (coulomb: number): SectionDocument => ({
      name: 'helper',
      kind: 'driven-idler',
      diameter_m: 0.2,
      inertia_kgm2: 1,
      drag: { coulomb_Nm: coulomb, viscous_Nms: 0.01 },
      drive: { ...tiny, rated_torque_Nm: 20, power_flow: 'driving' as const },
    });
    // 10 m/s in 20 s: 1·0.5/0.1 = 5 N·m
    const s = { top_m_per_s: 10, acceleration_m_per_s2: 0.5, stop_m_per_s2: 0.5 } as typeof speed;
    expect(refused([helper(5.2)], undefined, s)).toEqual([]);
    expect(refused([helper(4)], undefined, s).map((f) => f.code)).toContain('stop_too_short');
  });
});

describe('a brake at the unwind', () => {
  const brake = { ...unwind, drive: { ...drive, power_flow: 'braking' as const } };

  it('cannot start a full roll when the stall tension is too low to pull it up to speed', () => {
    // 360 N·m of tension torque start 203.6; 0.51·360 = 183.6 at 2 % of top speed do not
    const setpoint = { stall: 0.5, full_from_m_per_s: 10 };
    const p = product(veryThin, { unwind: { ...roll, tension: constant, setpoint } });
    expect(refused([brake, winder], p).map((f) => f.code)).toEqual(['power_flow_refused']);
    expect(refused([brake, winder])).toEqual([]);
  });
});

describe('what is not known of a drive', () => {
  const find = (sections: SectionDocument[], p = product(veryThin)) => run(sections, p);
  const missing = (models: readonly DriveModel[], name: string) =>
    models.find((m) => m.name === name)?.missing;

  it('is the tension of a roll that the product has no program for, and it is not judged then', () => {
    const { models, duty } = find([unwind, winder], { ...product(veryThin), unwind: undefined });
    expect(missing(models, 'unwind')).toEqual(expect.arrayContaining(['tension', 'roll inertia']));
    expect(duty?.drives.map((d) => d.name)).toEqual(['winder']);
  });

  it('is how two motors of one S-wrap share its step of tension', () => {
    const roller = { diameter_m: 0.2, inertia_kgm2: 1, drag: { coulomb_Nm: 1 }, drive };
    const { models, duty } = find([
      { ...unwind, tension_N_per_m: 400 },
      { name: 's', kind: 'pull-roll', tension_N_per_m: 300, ...roller, rollers: [roller] },
    ]);
    for (const name of ['s 1', 's 2'])
      expect(missing(models, name)).toEqual(['share of the tension', 'tension']);
    expect(duty?.drives.map((d) => d.name)).toEqual(['unwind']);
  });

  it('is the second motor of a winder that has one only', () => {
    const p = product(veryThin, {
      winder: { ...roll, tension: constant, torque_differential: { law: 'constant', start_N_per_m: 50 } },
    });
    const one: SectionDocument = {
      ...winder,
      type: 'centre-surface',
      drum: { diameter_m: 0.4, inertia_kgm2: 5 },
    };
    expect(missing(find([one], p).models, 'winder')).toEqual(['second motor', 'tension']);
  });

  it('is core and bearings of a roll that a drum turns, and the rotor', () => {
    const drum = {
      diameter_m: 0.4,
      inertia_kgm2: 5,
      drag: { coulomb_Nm: 2 },
      drive: { rated_torque_Nm: 99 },
    };
    const surface = (more: Partial<SectionDocument>): SectionDocument => ({
      name: 'winder',
      kind: 'winder',
      type: 'surface',
      drum,
      ...more,
    });
    expect(missing(find([surface({})]).models, 'winder drum')).toEqual(
      expect.arrayContaining(['motor inertia', 'core inertia', 'roll drag']),
    );
    const [known] = find([surface({ core_inertia_kgm2: 1, drag: { coulomb_Nm: 5 } })]).models;
    expect(known.missing).toEqual(['motor inertia']);
    // 600 N·0.2 m, 2 N·m of the drum and 5 N·m of the roll's bearings over 0.2/0.5
    expect(known.torque(1, 10, 0)).toBeCloseTo(120 + 2 + 2, 6);
    // J of drum, and of the roll at 1 m with its core, 117.798 kg·m² (½·π·800·1.5·(0.5⁴ − 0.05⁴) = 117.7979) + 1, at the surface
    expect(known.torque(1, 10, 0.5) - known.torque(1, 10, 0)).toBeCloseTo(
      (5 * 0.5) / 0.2 + (118.7979 * 0.5 * 0.2) / 0.25,
      3,
    );
  });

  it('is a warning, and a remark where only the inertia of a gearbox is missing', () => {
    const found = (d: object) =>
      run([{ ...winder, drive: { ...drive, ...d } }]).lineFindings.filter(
        (f) => f.code === 'drive_data_missing',
      );
    expect(found({ gear_inertia_kgm2: undefined })).toMatchObject([
      { severity: 'info', where: { pointer: 'sections.0', section: 'winder' } },
    ]);
    expect(found({ motor_inertia_kgm2: undefined })).toMatchObject([{ severity: 'warn' }]);
    expect(found({})).toEqual([]);
  });
});
