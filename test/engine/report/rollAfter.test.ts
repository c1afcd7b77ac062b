import { describe, expect, test } from 'vitest';
import { predictRoll, type RollPrediction } from '../../../src/engine/program/roll/predictRoll.js';
import { makeFormat } from '../../../src/engine/report/format.js';
import { afterCaption, afterFigure } from '../../../src/engine/report/roll/afterFigure.js';
import { rollStates, stepWords } from '../../../src/engine/report/roll/afterWords.js';
import { airFigure } from '../../../src/engine/report/roll/airFigure.js';
import { rollFacts } from '../../../src/engine/report/roll/rollFacts.js';
import type { Figure, LineMark } from '../../../src/engine/report/svg/figure.js';
import { renderFigure } from '../../../src/engine/report/svg/render.js';
import { newsprintRoll } from '../../support/newsprintRoll.js';

const si = makeFormat('si');
const us = makeFormat('us');
const linesOf = (figure: Figure | undefined, panel: number): LineMark[] =>
  (figure?.panels[panel]?.marks ?? []).filter((m): m is LineMark => m.kind === 'line');

/** Web and core expand alike, which changes nothing; then moisture swells the web alone. */
const stepped = predictRoll({
  ...newsprintRoll(120),
  afterWinding: {
    expansion: { along: 2e-5, through: 2e-5, core: 2e-5 },
    swelling: { along: 0.01, through: 0.2, core: 0 },
    steps: [{ temperature: -10 }, { moisture: 0.004 }],
  },
});

describe('what happens after winding', () => {
  test('in words, in the units of the reader', () => {
    expect(stepWords({ temperature: -10 }, si.withUnit)).toBe('cools by 10 K');
    expect(stepWords({ temperature: 10 }, us.withUnit)).toBe('warms by 18 °F');
    expect(stepWords({ temperature: 0 }, si.withUnit)).toBe('keeps its temperature');
    expect(stepWords({ moisture: -0.003, comesToRest: true }, si.withUnit)).toBe(
      'comes to rest, loses 0.3 % of moisture',
    );
    expect(stepWords({ moisture: 0.003, time: 1800 }, si.withUnit)).toBe(
      'takes up 0.3 % of moisture, creeps for 1800 s',
    );
    expect(stepWords({ time: 36 * 3600 }, si.withUnit)).toBe('creeps for 36 h');
    expect(stepWords({ time: 7 * 86400 }, si.withUnit)).toBe('creeps for 7 days');
  });

  test('is drawn with the roll as wound dashed and the last step solid', () => {
    const figure = afterFigure('x', stepped, si);
    const pressure = linesOf(figure, 0);
    expect(pressure.map((l) => [l.label, l.meaning])).toEqual([
      ['as wound', 'reference'],
      ['1: cools by 10 K', 'second-reference'],
      ['2: takes up 0.4 % of moisture', 'model'],
    ]);
    expect(pressure[0]?.y[60]).toBeCloseTo((stepped.pressure[60] as number) / 1e3, 9);
    expect(pressure[2]?.y[60]).toBeCloseTo((stepped.after[1]?.pressure[60] as number) / 1e3, 9);
    const svg = renderFigure(figure as Figure);
    expect(svg).toContain('takes up 0.4 % of moisture');
    expect(svg).not.toMatch(/NaN|undefined|Infinity/);
  });

  test('draws what has changed: nothing where web and core expand alike, and swelling adds pressure', () => {
    const [heat, moisture] = linesOf(afterFigure('x', stepped, si), 1);
    expect(heat?.label).toBe('1: cools by 10 K');
    for (const i of [0, 60, 110]) {
      expect(Math.abs(heat?.y[i] as number)).toBeLessThan((1e-8 * (stepped.pressure[i] as number)) / 1e3);
      expect(moisture?.y[i]).toBeCloseTo(
        ((stepped.after[1]?.pressure[i] as number) - (stepped.pressure[i] as number)) / 1e3,
        9,
      );
    }
    expect(moisture?.y[60]).toBeGreaterThan(0);
  });

  test('of many steps the last three are drawn, and the caption says so', () => {
    const [first, second] = stepped.after as [
      RollPrediction['after'][number],
      RollPrediction['after'][number],
    ];
    const long = { ...stepped, after: [first, second, first, second, first] };
    const figure = afterFigure('x', long, si);
    expect(linesOf(figure, 0).map((l) => l.label?.[0])).toEqual(['a', '3', '4', '5']);
    expect(new Set(linesOf(figure, 0).map((l) => l.meaning)).size).toBe(4);
    expect(afterCaption(long)).toContain('last 3 of 5 steps');
    expect(afterCaption(stepped)).toBe('');
    expect(rollStates(long, si.withUnit)).toHaveLength(6);
  });

  test('marks where laps have come loose', () => {
    const loose = predictRoll({
      ...newsprintRoll(120),
      afterWinding: {
        expansion: { along: 2e-5, through: 2e-5, core: 0 },
        steps: [{ temperature: 400 }],
      },
    });
    const last = rollStates(loose, si.withUnit).at(-1);
    expect(last?.loosensAt).toBeCloseTo(0.05, 6);
    // a roll whose laps are loose is not judged for slip
    expect(last).not.toHaveProperty('smallestSlip');
    expect(afterFigure('x', loose, si)?.panels[0]?.marks.some((m) => m.kind === 'limit')).toBe(true);
    expect(afterFigure('x', stepped, si)?.panels[0]?.marks.some((m) => m.kind === 'limit')).toBe(false);
  });

  test('without a step there is no figure', () => {
    expect(afterFigure('x', predictRoll(newsprintRoll(40)), si)).toBeUndefined();
  });
});

describe('air between the laps', () => {
  const film = newsprintRoll(120);
  const aired = predictRoll({
    ...film,
    web: { ...film.web, caliper: 1e-4, roughness: 1e-6 },
    tension: { law: 'constant', start: 150 },
    speed: 5,
    air: { filmShare: 0.05 },
  });

  test('is drawn as laid and as left, which is never more, and the friction with its limit', () => {
    const figure = airFigure('x', aired, si);
    const [laid, left] = linesOf(figure, 0);
    expect([laid?.meaning, left?.meaning]).toEqual(['reference', 'model']);
    // micrometres
    expect(laid?.y[60]).toBeCloseTo(1e6 * (aired.air?.film[60] as number), 9);
    for (const i of [0, 60, 119]) expect(left?.y[i]).toBeLessThanOrEqual(laid?.y[i] as number);
    const [friction] = linesOf(figure, 1);
    expect(friction?.y[60]).toBeCloseTo(100 * (aired.air?.frictionShare?.[60] as number), 9);
    expect(figure?.panels[1]?.marks.find((m) => m.kind === 'limit')).toMatchObject({ to: 50 });
    expect(renderFigure(figure as Figure)).not.toMatch(/NaN|undefined|Infinity/);
  });

  test('without a roughness no friction is drawn, and without air nothing', () => {
    const { frictionShare: _, ...air } = aired.air as NonNullable<RollPrediction['air']>;
    expect(airFigure('x', { ...aired, air }, si)?.panels).toHaveLength(1);
    expect(airFigure('x', stepped, si)).toBeUndefined();
  });

  test('is among the facts of a roll, with its size, weight and what it can be braked with', () => {
    const facts = new Map(rollFacts(aired, si).map((f) => [f.label, f.value]));
    const last = aired.radius.at(-1) as number;
    const lap = (last - (aired.radius[0] as number)) / 119;
    const diameter = (x: number): string => si.withUnit('length', 2 * x);
    expect(facts.get('Diameter, layers compressed')).toBe(
      `${diameter(aired.compressed.outerRadius)}, against ${diameter(last + lap)} with none compressed`,
    );
    expect(facts.get('Density of the roll')).toMatch(/kg\/m³$/);
    expect(facts.get('Layers are compressed by')).toMatch(/ % at the most$/);
    expect(facts.get('Air taken along')).toMatch(/µm a lap, of which .* µm stay/);
    // layers of this small roll hold more than is ever asked
    expect(aired.largestDeceleration?.webOn).toBe(Number.POSITIVE_INFINITY);
    expect(facts.get('Braked at the core it holds up to')).toBe('any deceleration');
    const weak = { ...aired, largestDeceleration: { webOn: 1.5, webBroken: Number.NaN } };
    expect(rollFacts(weak, si)).toEqual(
      expect.arrayContaining([
        { label: 'Braked at the core it holds up to', value: '1.5 m/s²' },
        { label: 'after a web break', value: '– m/s²' },
      ]),
    );
    const dry = rollFacts(predictRoll(film), us);
    expect(dry.map((f) => f.label)).not.toContain('Air taken along');
    expect(JSON.stringify(dry)).not.toMatch(/kPa| m\b|kg|NaN/);
  });
});
