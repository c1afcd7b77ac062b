import { describe, expect, it } from 'vitest';
import { emptyTorqueParts } from '../../../../src/engine/feedforward/rollerTorque.js';
import { driveMap } from '../../../../src/engine/program/drives/driveMap.js';
import type { DriveModel } from '../../../../src/engine/program/drives/driveModel.js';
import { driveModels } from '../../../../src/engine/program/drives/driveModels.js';
import {
  type LineDocument,
  lineSchema,
  type SectionDocument,
} from '../../../../src/engine/project/line/lineDocument.js';
import { toLine } from '../../../../src/engine/project/line/toLine.js';
import {
  type ProductDocument,
  productSchema,
} from '../../../../src/engine/project/product/productDocument.js';
import { toProduct } from '../../../../src/engine/project/product/toProduct.js';
import { restateUnits } from '../../../../src/engine/project/unitKeys.js';

const drive = {
  rated_torque_Nm: 80,
  gear_ratio: 3,
  gear_efficiency: 0.9,
  base_speed_rad_per_s: 60,
  motor_inertia_kgm2: 0.2,
  gear_inertia_kgm2: 0.05,
  torque_limit_percent: 150,
};
const rubbing = { drag: { coulomb_Nm: 2, viscous_Nms: 0.05, quadratic_Nms2: 0.001 } };
const drum = { diameter_m: 0.4, inertia_kgm2: 3, ...rubbing, drive };
const roll = { core_diameter_m: 0.1, full_diameter_m: 1.2 };
const winders: Record<string, SectionDocument> = {
  centre: { name: 'w', kind: 'winder', type: 'centre', core_inertia_kgm2: 1, ...rubbing, drive },
  surface: { name: 'w', kind: 'winder', type: 'surface', core_inertia_kgm2: 1, ...rubbing, drum },
  'centre-surface': {
    name: 'w',
    kind: 'winder',
    type: 'centre-surface',
    core_inertia_kgm2: 1,
    ...rubbing,
    drive,
    drum,
  },
  'two-drum': {
    name: 'w',
    kind: 'winder',
    type: 'two-drum',
    core_inertia_kgm2: 1,
    ...rubbing,
    rear_drum: drum,
    front_drum: drum,
  },
};
const product = toProduct({
  schema: 'tautline/product@1',
  web: { width_m: 1.5, caliper_m: 1e-4, density_kgm3: 800, friction: 0.3 },
  winder: {
    ...roll,
    tension: { law: 'hyperbolic', start_N_per_m: 300, taper: 0.5 },
    torque_differential: { law: 'linear', start_N_per_m: 60, end_N_per_m: -40 },
  },
  unwind: { ...roll, tension: { law: 'constant', start_N_per_m: 250 } },
});
const lineOf = (sections: SectionDocument[]): ReturnType<typeof toLine> =>
  toLine({ schema: 'tautline/line@1', name: 'test line (invented)', sections });
const models = (...sections: SectionDocument[]): DriveModel[] => driveModels(lineOf(sections), product);
const unwind: SectionDocument = { name: 'u', kind: 'unwind', core_inertia_kgm2: 1, ...rubbing, drive };
const helper: SectionDocument = {
  name: 'h',
  kind: 'driven-idler',
  diameter_m: 0.2,
  inertia_kgm2: 1,
  ...rubbing,
  drive,
};

describe('torque map of a drive', () => {
  it('is the torque of every point taken alone, at any kind of winder, at the unwind and at a helper', () => {
    const grid = {
      diameters: [0.1, 0.4, 1.2],
      speeds: [-2, 0, 3, 10],
      accelerations: [-5, -0.5, 0, 0.5, 5],
    };
    for (const type of Object.keys(winders))
      for (const model of models(unwind, helper, winders[type])) {
        const { torque } = driveMap(model, grid);
        let at = 0;
        for (const diameter of model.roll === undefined ? [Number.NaN] : grid.diameters)
          for (const v of grid.speeds)
            for (const a of grid.accelerations) {
              const parts = emptyTorqueParts();
              const alone = model.torque(diameter, v, a, parts);
              expect(torque[at] / alone).toBeCloseTo(1, 9);
              const sum = parts.tension + parts.inertia + parts.drag + parts.assist;
              expect(sum / alone).toBeCloseTo(1, 9);
              at++;
            }
        expect(torque).toHaveLength(at);
      }
  });

  it('has torque current and margin of a weakened field, worked by hand', () => {
    const [model] = models(helper);
    // 0.1 m at 4 m/s: 40 rad/s, motor 120, twice base speed. Drag 2 + 2 + 1.6 = 5.6 N·m at the roller, 5.6/(3·0.9) = 2.074074 at the
    // motor, 2.592593 % of rated and 5.185185 % of its current; 80·1.5/2 = 60 N·m are there.
    const map = driveMap(model, { diameters: [], speeds: [4], accelerations: [0, -5] });
    expect(map.torque[0]).toBeCloseTo(2.074074, 6);
    expect(map.currentFraction[0]).toBeCloseTo(0.05185185, 8);
    expect(map.margin[0]).toBeCloseTo(57.925926, 6);
    // Stopping with 5 m/s², −50 rad/s²: 5.6 − 50 = −44.4 at the roller, −44.4·0.9/3 = −13.32; rotor and gearbox −0.25·3·50 = −37.5
    expect(map.torque[1]).toBeCloseTo(-50.82, 9);
    expect(map.margin[1]).toBeCloseTo(9.18, 9);
  });

  it('leaves nothing to a drive that cannot take power back, and knows no margin without a motor', () => {
    const at = { diameters: [], speeds: [4], accelerations: [-5] };
    const [oneWay] = models({ ...helper, drive: { ...drive, power_flow: 'driving' } });
    expect(driveMap(oneWay, at).margin[0]).toBeCloseTo(-50.82, 9);
    const [unrated] = models({ ...helper, drive: { ...drive, rated_torque_Nm: undefined } });
    const map = driveMap(unrated, at);
    expect(map.torque[0]).toBeCloseTo(-50.82, 9);
    expect([map.margin[0], map.currentFraction[0]]).toEqual([Number.NaN, Number.NaN]);
  });

  it('turns its sign with the direction: a helper that runs backwards takes the same torque backwards', () => {
    const [model] = models(helper);
    for (const [v, a] of [
      [3, 0.5],
      [3, -2],
      [7, 0],
    ])
      expect(model.torque(Number.NaN, -v, -a)).toBeCloseTo(-model.torque(Number.NaN, v, a), 9);
  });

  it('mirrors unwind and winder: a roll that is wound off is one that is wound on, seen backwards in time', () => {
    // v and a turned round, tension the same: every part of the torque changes its sign
    const flat = toProduct({
      schema: 'tautline/product@1',
      web: { width_m: 1.5, caliper_m: 1e-4, density_kgm3: 800, friction: 0.3 },
      winder: { ...roll, tension: { law: 'constant', start_N_per_m: 250 } },
      unwind: { ...roll, tension: { law: 'constant', start_N_per_m: 250 } },
    });
    const lossless = { ...drive, gear_efficiency: 1 };
    const [u, w] = driveModels(
      lineOf([
        { ...unwind, drive: lossless },
        { ...winders.centre, drive: lossless },
      ]),
      flat,
    );
    for (const [v, a] of [
      [8, 0.5],
      [2, -1],
    ])
      expect(u.torque(0.7, v, a)).toBeCloseTo(-w.torque(0.7, -v, -a), 9);
  });
});

describe('the same line in US units', () => {
  it('gives the torque that pounds and feet give by themselves', () => {
    // 4 pli on 60 in = 240 lbf at a radius of 2 ft: 480 lb·ft, with i = 4 and 96 % 125 lb·ft at the motor. WK² = ½·π·50·5·(2⁴ − 0.25⁴)
    // = 6281.65 lb·ft²; 0 to 2000 fpm in 20 s: 0.833333 rad/s², over g = 32.17405 ft/s² 162.699 lb·ft at the roll, 42.3696 at the motor.
    // The trade's WK²·ΔN/(308·t) gives 162.3 lb·ft; its 308 stands for 60·g/2π = 307.24.
    const restate = (data: object, schema: typeof lineSchema): unknown => restateUnits(data, schema).data;
    const line = restate(
      {
        schema: 'tautline/line@1',
        name: 'test line (invented)',
        speed: { top_fpm: 2000, acceleration_fpm_per_s: 100 },
        sections: [
          {
            name: 'w',
            kind: 'winder',
            type: 'centre',
            drive: { rated_torque_lbft: 200, gear_ratio: 4, gear_efficiency: 0.96 },
          },
        ],
      },
      lineSchema,
    ) as LineDocument;
    const p = restate(
      {
        schema: 'tautline/product@1',
        web: { width_in: 60, caliper_mil: 1e-9, density_lb_per_ft3: 50, friction: 0.3 },
        winder: {
          core_diameter_in: 6,
          full_diameter_in: 48,
          tension: { law: 'constant', start_pli: 4 },
        },
      },
      productSchema,
    ) as ProductDocument;
    const read = toLine(line);
    const [w] = driveModels(read, toProduct(p));
    const poundFoot = 0.3048 * 4.4482216152605;
    const top = read.speed?.top as number;
    const running = w.torque(48 * 0.0254, top, 0);
    expect(running / poundFoot).toBeCloseTo(125, 6);
    const speedingUp = w.torque(48 * 0.0254, top, read.speed?.acceleration as number) - running;
    expect(speedingUp / poundFoot).toBeCloseTo(42.3696, 3);
    expect(w.drive.motor?.ratedTorque).toBeCloseTo(200 * poundFoot, 9);
    // 2000 fpm on 4 ft of diameter: 159.155 rpm, four times that at the motor
    expect((w.motorSpeed(48 * 0.0254, top) * 30) / Math.PI).toBeCloseTo(636.62, 2);
  });
});
