import { describe, expect, test } from 'vitest';
import type { RollPrediction } from '../../../../src/engine/program/roll/predictRoll.js';
import type { RollInput } from '../../../../src/engine/program/roll/rollInput.js';
import { taperAdvice } from '../../../../src/engine/program/roll/taperAdvice.js';
import { createSchedule } from '../../../../src/engine/program/schedule/schedule.js';
import { newsprintRoll } from '../../../support/newsprintRoll.js';

/** With laps of another thickness and a taper, on a smaller core. */
const base = newsprintRoll(1000);
const newsprint: RollInput = {
  ...base,
  web: { ...base.web, caliper: 70e-6 * 8, modulus: 4e9 / 8 },
  core: { outerRadius: 0.045, stiffness: 5e9 },
  tension: { law: 'linear', start: 300, taper: 0.3 },
};

const smallest = (advice: ReturnType<typeof taperAdvice>): number[] =>
  advice.variants.map((v) => v.measures.slip?.value ?? Number.NaN);

describe('does taper help here?', () => {
  test('the three schedules begin alike; maximum taper is constant torque, tension times diameter', () => {
    const { variants } = taperAdvice(newsprint);
    expect(variants.map((v) => v.name)).toEqual(['no taper', 'present', 'maximum taper']);
    expect(variants.map((v) => v.measures.startTension)).toEqual([300, 300, 300]);
    const [none, present, most] = variants.map((v) => v.measures.endTension);
    expect([none, present]).toEqual([300, 210]);
    const full = newsprint.core.outerRadius + newsprint.laps * newsprint.web.caliper;
    expect((most as number) * full).toBeCloseTo(300 * newsprint.core.outerRadius, 9);
  });

  test('wound from the core, the layers near it hold more by what the tension at the full roll is less', () => {
    // capacity near the core hardly knows what is wound outside, and the core's torque is T·W·R: the balance of wound-roll.md
    const { variants } = taperAdvice(newsprint);
    const [none, present] = variants.map((v) => v.measures);
    expect(present?.slip?.case).toBe('winding');
    const wanted = (none?.endTension ?? 0) / (present?.endTension ?? 1);
    const found = (present?.slip?.value ?? 0) / (none?.slip?.value ?? 1);
    expect(found / wanted).toBeGreaterThan(0.95);
    expect(found / wanted).toBeLessThan(1.05);
  });

  test('taper is the lever where the web’s own torque makes the layers slip', () => {
    const slippery = { ...newsprint, web: { ...newsprint.web, friction: 0.08 } };
    const advice = taperAdvice(slippery);
    const [none, , most] = smallest(advice);
    expect(none).toBeLessThan(1);
    expect(most).toBeGreaterThan(1);
    expect(advice.verdict).toBe('right lever');
    expect(advice.words[0]).toMatch(/^Taper is the right lever/);
  });

  test('taper is not the lever in a hard stop after a web break: inertia asks, not tension', () => {
    const stopped: RollInput = { ...newsprint, speed: 20, stop: { deceleration: 6, brakedAt: 'core' } };
    const advice = taperAdvice(stopped);
    const cases = advice.variants.map(
      (v) => v.prediction.slipCases.find((c) => c.name === 'web break')?.smallest.value ?? Number.NaN,
    );
    expect(cases[0]).toBeLessThan(1);
    expect(advice.verdict).not.toBe('right lever');
    expect(['no lever', 'worse']).toContain(advice.verdict);
  });

  test('taper costs pressure near the outside', () => {
    const { variants, words } = taperAdvice(newsprint);
    const [none, , most] = variants.map((v) => v.measures.outerPressure);
    expect(most).toBeLessThan(none as number);
    expect(words.at(-1)).toMatch(/pressure near the outside falls by \d/);
  });

  test('the torque differential keeps its share of the tension', () => {
    const shared: RollInput = {
      ...newsprint,
      method: 'centre-surface',
      nip: 300,
      torqueDifferential: { law: 'constant', start: 150 },
      tension: { law: 'constant', start: 300 },
    };
    const most = taperAdvice(shared).variants[2]?.input as RollInput;
    const build = { core: 0.09, full: 2 * (0.045 + 1000 * newsprint.web.caliper) };
    const [t, d] = [
      createSchedule(most.tension, build),
      createSchedule(most.torqueDifferential as NonNullable<RollInput['torqueDifferential']>, build, {
        mayBeNegative: true,
      }),
    ];
    for (const x of [0.09, 0.3, 0.7, build.full]) expect(d.at(x) / t.at(x)).toBeCloseTo(0.5, 2);
  });

  test('says that it does not know where slip cannot be judged', () => {
    const { friction: _, ...web } = newsprint.web;
    const advice = taperAdvice({ ...newsprint, web });
    expect(advice.verdict).toBe('not judged');
    expect(advice.words[0]).toContain('not known');
  });

  // The rule itself, on margins that are given.
  test.each([
    ['not needed', [1.4, 1.6, 3]],
    ['right lever', [0.8, 1.1, 2]],
    ['right lever', [0.8, 0.9, 1.2]],
    ['not enough', [0.4, 0.5, 0.8]],
    ['no lever', [0.4, 0.41, 0.42]],
    ['worse', [0.9, 0.7, 0.4]],
    ['worse', [1.2, 1.1, 0.6]],
  ] as const)('%s: margins %j', (verdict, margins) => {
    let k = 0;
    const advice = taperAdvice(newsprint, 'si', (input) => {
      const value = margins[k++] as number;
      return {
        pressure: new Float64Array(20).fill(1e4),
        corePressure: 2e4,
        minimumHoopStress: { value: -1e3, radius: 0.1 },
        slipCases: [{ name: 'winding', smallest: { value, radius: input.core.outerRadius } }],
      } as unknown as RollPrediction;
    });
    expect(advice.verdict).toBe(verdict);
  });

  test('ends maximum taper at the lowest tension that is allowed, and says so', () => {
    const input = newsprintRoll(150);
    const lowest = { value: 200, name: 'traction of idler 2' };
    const advice = taperAdvice(input, 'si', undefined, lowest);
    const most = advice.variants.find((v) => v.name === 'maximum taper')?.measures;
    expect([most?.startTension, most?.endTension]).toEqual([300, 200]);
    expect(advice.words.join(' ')).toMatch(
      /Maximum taper ends at 200 N\/m, the lowest tension that is allowed \(traction of idler 2\)/,
    );
    // Constant torque ends at 300·0.1/0.4 = 75 N/m: a lower limit changes nothing.
    const free = taperAdvice(input, 'si', undefined, { value: 70, name: 'stated' });
    expect(free.variants.find((v) => v.name === 'maximum taper')?.measures.endTension).toBeCloseTo(75, 9);
    expect(free.words.join(' ')).not.toMatch(/lowest tension/);
    const none = taperAdvice(input, 'si', undefined, { value: 350, name: 'stated' });
    expect(none.words.join(' ')).toMatch(/No taper is left: the tension begins at 300 N\/m/);
    expect(none.variants.find((v) => v.name === 'maximum taper')?.measures.endTension).toBe(300);
  });
});
