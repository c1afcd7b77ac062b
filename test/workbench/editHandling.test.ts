import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { filmRollYaml, rollYaml } from '../../demo/line.js';
import {
  setAcceleration,
  setLimit,
  setShear,
  setStruckAt,
  setUnwindBrakedAt,
  setUnwindRamp,
  setUnwindTension,
} from '../../src/workbench/views/roll/editHandling.js';

/** The lines of a text that another does not have. */
const changed = (before: string, after: string): string[] => {
  const had = new Set(before.split('\n'));
  return after.split('\n').filter((line) => !had.has(line));
};

describe('how a roll is handled, edited by the form', () => {
  test('changes a number where it stands and in its unit, and no other line', () => {
    expect(changed(rollYaml, setAcceleration(rollYaml, 0.4))).toEqual(['acceleration_m_per_s2: 0.4']);
    expect(changed(rollYaml, setUnwindTension(rollYaml, 250))[0]).toContain('tension_N_per_m: 250,');
    expect(changed(rollYaml, setUnwindRamp(rollYaml, 'deceleration', 2))[0]).toContain(
      'deceleration_m_per_s2: 2,',
    );
    expect(changed(rollYaml, setUnwindBrakedAt(rollYaml, 'surface'))[0]).toContain('braked_at: surface');
    // stated in kPa
    expect(changed(rollYaml, setLimit(rollYaml, 'lowest_outer_pressure', 31_500))).toEqual([
      '  lowest_outer_pressure_kPa: 31.5',
    ]);
    expect(changed(rollYaml, setStruckAt(rollYaml, [0.3, 0.5, 0.8]))).toEqual([
      'j_line: { struck_at_diameters_m: [ 0.3, 0.5, 0.8 ], shear_share: 0.1 }',
    ]);
    expect(changed(rollYaml, setShear(rollYaml, { share: 0.2 }))).toEqual([
      'j_line: { struck_at_diameters_m: [0.4, 0.7], shear_share: 0.2 }',
    ]);
  });

  test('keeps the unit in which lines were struck', () => {
    const stated = 'j_line: { struck_at_diameters_in: [20], shear_modulus_psi: 100 }\n';
    expect(parse(setStruckAt(stated, [0.508, 0.762]))).toEqual({
      j_line: { struck_at_diameters_in: [20, 30], shear_modulus_psi: 100 },
    });
    // 1 psi = 6894.757 Pa
    expect(parse(setShear(stated, { modulus: 1_378_951.4 })).j_line.shear_modulus_psi).toBeCloseTo(200, 3);
  });

  test('adds what was not there, and leaves the rest to the byte', () => {
    for (const [after, adds] of [
      [setAcceleration(filmRollYaml, 0.2), { acceleration_m_per_s2: 0.2 }],
      [setUnwindTension(filmRollYaml, 90), { unwind: { tension_N_per_m: 90, braked_at: 'core' } }],
      [setLimit(filmRollYaml, 'highest_pressure', 5e5), { limits: { highest_pressure_kPa: 500 } }],
      [setStruckAt(filmRollYaml, [0.2]), { j_line: { struck_at_diameters_m: [0.2], shear_share: 0.1 } }],
    ] as const) {
      expect(after.startsWith(filmRollYaml.trimEnd())).toBe(true);
      expect(parse(after)).toMatchObject(adds);
    }
    const unwound = setUnwindTension(filmRollYaml, 90);
    expect(parse(setUnwindRamp(unwound, 'acceleration', 0.25)).unwind).toEqual({
      tension_N_per_m: 90,
      braked_at: 'core',
      acceleration_m_per_s2: 0.25,
    });
  });

  test('0 takes out what no longer is, and nothing else', () => {
    expect(parse(setAcceleration(rollYaml, 0))).not.toHaveProperty('acceleration_m_per_s2');
    expect(parse(setUnwindTension(rollYaml, 0))).not.toHaveProperty('unwind');
    expect(Object.keys(parse(setUnwindRamp(rollYaml, 'acceleration', 0)).unwind)).toEqual([
      'tension_N_per_m',
      'deceleration_m_per_s2',
      'braked_at',
    ]);
    const { limits } = parse(setLimit(rollYaml, 'highest_core_pressure', 0));
    expect(limits).not.toHaveProperty('highest_core_pressure_kPa');
    expect(limits).toHaveProperty('lowest_outer_pressure_kPa');
    // the last limit takes the map with it
    const one = setLimit(filmRollYaml, 'highest_pressure', 5e5);
    expect(parse(setLimit(one, 'highest_pressure', 0))).not.toHaveProperty('limits');
    expect(parse(setStruckAt(rollYaml, []))).not.toHaveProperty('j_line');
    for (const nothing of [
      setAcceleration(filmRollYaml, 0),
      setUnwindTension(filmRollYaml, 0),
      setLimit(filmRollYaml, 'highest_pressure', 0),
      setStruckAt(filmRollYaml, []),
    ])
      expect(nothing).toBe(filmRollYaml);
  });

  test('the shear modulus is stated in one way only', () => {
    expect(parse(setShear(rollYaml, { modulus: 2e5 })).j_line).toEqual({
      struck_at_diameters_m: [0.4, 0.7],
      shear_modulus_MPa: 0.2,
    });
    const step =
      'j_line: { struck_at_diameters_m: [0.4], torque_step: { torque_change_Nm: 9, outer_diameter_m: 1, at_diameter_m: 0.2, shift_m: 0.001 } }\n';
    expect(parse(setShear(step, { share: 0.3 })).j_line).toEqual({
      struck_at_diameters_m: [0.4],
      shear_share: 0.3,
    });
  });
});
