import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { filmRollYaml, rollYaml } from '../../demo/line.js';
import {
  addStep,
  removeStep,
  setAir,
  setBrakedAt,
  setCoefficients,
  setComesToRest,
  setFilmShare,
  setNip,
  setSpeed,
  setStepValue,
  setStop,
} from '../../src/workbench/views/roll/editRoll.js';

/** The lines of a text that another does not have. */
const changed = (before: string, after: string): string[] => {
  const had = new Set(before.split('\n'));
  return after.split('\n').filter((line) => !had.has(line));
};
const bare = `# kept
web: { width_m: 1 }
wind: { tension: { law: constant, start_N_per_m: 100 }, method: centre } # kept too
`;

describe('a roll document edited by the form', () => {
  test('changes a number where it stands and in its unit, and no other line', () => {
    expect(changed(rollYaml, setSpeed(rollYaml, 4))).toEqual(['speed_m_per_min: 240']);
    expect(changed(rollYaml, setNip(rollYaml, 300))).toEqual(['  nip_N_per_m: 300']);
    expect(changed(rollYaml, setStop(rollYaml, 0.5))).toEqual([
      'stop: { deceleration_m_per_s2: 0.5, braked_at: core }',
    ]);
    expect(changed(rollYaml, setBrakedAt(rollYaml, 'surface'))).toEqual([
      'stop: { deceleration_m_per_s2: 0.625, braked_at: surface }',
    ]);
    expect(changed(rollYaml, setStepValue(rollYaml, 1, 'temperature', -20))).toEqual([
      '  steps: [{ comes_to_rest: true }, { temperature_change_K: -20 }, { moisture_change: 0.003 }]',
    ]);
    expect(changed(filmRollYaml, setStepValue(filmRollYaml, 2, 'time', 36 * 3600))).toEqual([
      '  steps: [{ comes_to_rest: true }, { temperature_change_K: -5 }, { time_h: 36 }]',
    ]);
    expect(changed(filmRollYaml, setFilmShare(filmRollYaml, 0.1))).toEqual(['  air: { film_share: 0.1 }']);
  });

  test('keeps the unit in which a step is stated', () => {
    const stated = `${bare}after_winding: { steps: [{ temperature_change_degF_difference: 9 }] }\n`;
    expect(changed(stated, setStepValue(stated, 0, 'temperature', 10))).toEqual([
      'after_winding: { steps: [{ temperature_change_degF_difference: 18 }] }',
    ]);
  });

  test('adds what was not there, and leaves the rest to the byte', () => {
    const air = setAir(bare, true);
    expect(air).toContain('method: centre, air: {} } # kept too');
    const stop = setStop(bare, 0.4);
    expect(stop.startsWith(bare.trimEnd())).toBe(true);
    expect(parse(stop)).toMatchObject({ stop: { deceleration_m_per_s2: 0.4, braked_at: 'core' } });
    expect(parse(setSpeed(bare, 5))).toMatchObject({ speed_m_per_min: 300 });
    const stepped = addStep(bare, { comes_to_rest: true });
    expect(stepped.startsWith(bare.trimEnd())).toBe(true);
    expect(parse(stepped)).toMatchObject({ after_winding: { steps: [{ comes_to_rest: true }] } });
    expect(parse(addStep(stepped, { moisture_change: 0 }))).toMatchObject({
      after_winding: { steps: [{ comes_to_rest: true }, { moisture_change: 0 }] },
    });
  });

  test('takes out what no longer is', () => {
    expect(parse(setAir(filmRollYaml, false)).wind).not.toHaveProperty('air');
    expect(setAir(rollYaml, false)).toBe(rollYaml);
    expect(parse(setStop(rollYaml, 0))).not.toHaveProperty('stop');
    expect(parse(removeStep(rollYaml, 1)).after_winding.steps).toEqual([
      { comes_to_rest: true },
      { moisture_change: 0.003 },
    ]);
    // a list of steps cannot be empty: with the last step goes the whole
    expect(parse(removeStep(addStep(bare, { comes_to_rest: true }), 0))).not.toHaveProperty('after_winding');
  });

  test('a step in which nothing happens is never written', () => {
    const two = setStepValue(setStepValue(rollYaml, 1, 'moisture', 0.002), 1, 'temperature', 0);
    expect(parse(two).after_winding.steps[1]).toEqual({ moisture_change: 0.002 });
    // what is alone in its step stays, as a change of 0
    expect(parse(setStepValue(two, 1, 'moisture', 0)).after_winding.steps[1]).toEqual({ moisture_change: 0 });
    expect(setComesToRest(rollYaml, 0, false)).toBe(rollYaml);
    const both = setComesToRest(rollYaml, 1, true);
    expect(parse(both).after_winding.steps[1]).toEqual({ temperature_change_K: -10, comes_to_rest: true });
    expect(parse(setComesToRest(both, 1, false)).after_winding.steps[1]).toEqual({
      temperature_change_K: -10,
    });
  });

  test('states coefficients all three at once', () => {
    const some = { along: 1e-5, through: 6e-5, core: 1.2e-5 };
    expect(parse(setCoefficients(bare, 'expansion', some)).after_winding).toEqual({
      expansion: { along_per_K: 1e-5, through_per_K: 6e-5, core_per_K: 1.2e-5 },
      steps: [{ temperature_change_K: 0 }],
    });
    expect(parse(setCoefficients(filmRollYaml, 'swelling', some)).after_winding.swelling).toEqual(some);
    expect(
      changed(rollYaml, setCoefficients(rollYaml, 'swelling', { along: 0.05, through: 0.7, core: 0 })),
    ).toEqual(['  swelling: { along: 0.05, through: 0.7, core: 0 }']);
  });
});
