import { describe, expect, test } from 'vitest';
import type { PlayedDocument } from '../../src/engine/project/feedforwardPlay.js';
import { shortNumber } from '../../src/engine/report/format.js';
import { displayUnit } from '../../src/engine/units/convert.js';
import type { Units } from '../../src/workbench/state/units.js';
import {
  nameOf,
  readAddress,
  stepOf,
  toleranceAt,
  toleranceSteps,
  withChanges,
} from '../../src/workbench/views/feedforward/address.js';
import { curveFigure } from '../../src/workbench/views/feedforward/curveFigure.js';
import { type Made, make } from '../../src/workbench/views/feedforward/made.js';
import { aroundStretch, playFigure, stretchAt } from '../../src/workbench/views/feedforward/playFigure.js';
import { tellTsv, toTell } from '../../src/workbench/views/feedforward/tell.js';
import { torqueUnit } from '../../src/workbench/views/feedforward/torqueUnit.js';
import { roller, stated, statedDrive, statedEstimates } from '../support/statedIdentification.js';

/** SI as the page shows it, without a page. */
const units: Units = {
  choice: { system: 'si', own: {} },
  system: 'si',
  style: { decimal: '.' },
  unit: (key) => displayUnit(key, 'si'),
  value: (key, si) => si / displayUnit(key, 'si').factor,
  number: (key, si) => shortNumber(si / displayUnit(key, 'si').factor),
  withUnit: (key, si) => `${units.number(key, si)} ${units.unit(key).label}`,
  pair: (key, si, half) => ({
    value: units.number(key, si),
    ...(half !== undefined && { halfWidth: units.number(key, half) }),
    unit: units.unit(key).label,
  }),
  setSystem: () => undefined,
  setUnit: () => undefined,
};
const madeAt = (tolerance: number, acceleration?: number, id = stated(roller)): Made => {
  const made = make(id, statedDrive, tolerance, acceleration);
  if ('problem' in made) throw new Error(made.problem.message);
  return made;
};

describe('the address', () => {
  test('holds all that was chosen; a result and a recording by their path too', () => {
    const search = new URLSearchParams(
      'drive=pull-roll&identification=identifications%2Fpull-roll.as-found.json&tolerance=0.05&acceleration=1.5&unit=percent&recording=recordings%2Fpull-roll.as-left.parquet&offset=off&torque=turned&from=3&to=4.5',
    );
    expect(readAddress(search)).toEqual({
      drive: 'pull-roll',
      identification: 'pull-roll.as-found',
      tolerance: 0.05,
      acceleration: 1.5,
      isPercent: true,
      recording: 'pull-roll.as-left',
      removeOffset: true,
      flipTorque: true,
      from: 3,
      to: 4.5,
    });
  });

  test('that is empty or makes no sense is the usual', () => {
    const usual = { tolerance: 0.01, isPercent: false, removeOffset: false, flipTorque: false };
    expect(readAddress(new URLSearchParams(''))).toEqual(usual);
    const broken = 'drive=&tolerance=x&acceleration=-1&unit=foot&from=5&to=2';
    expect(readAddress(new URLSearchParams(broken))).toEqual(usual);
    expect(readAddress(new URLSearchParams('tolerance=7')).tolerance).toBe(0.2);
    expect(readAddress(new URLSearchParams('tolerance=0')).tolerance).toBe(0.001);
  });

  test('changes keep the rest', () => {
    const before = new URLSearchParams('drive=a&from=1');
    expect(withChanges(before, { from: undefined, unit: 'percent' }).toString()).toBe('drive=a&unit=percent');
    expect(before.toString()).toBe('drive=a&from=1');
  });

  test('a name is what stands between folder and ending', () => {
    expect(nameOf('exports/dryer-can.as-found.csv')).toBe('dryer-can.as-found');
    expect(nameOf('dryer-can.2026-11-28')).toBe('dryer-can.2026-11-28');
  });

  test('the slider goes from 0.1 to 20 % in equal ratios and finds its places again', () => {
    expect([toleranceAt(0), toleranceAt(toleranceSteps)]).toEqual([0.001, 0.2]);
    for (let step = 0; step <= toleranceSteps; step++) {
      expect(stepOf(toleranceAt(step))).toBe(step);
      if (step > 0) expect(toleranceAt(step) / toleranceAt(step - 1)).toBeCloseTo(200 ** (1 / 60), 1);
    }
  });
});

describe('what is made while the slider moves', () => {
  test('fewer rows and more left to the web with a larger tolerance', () => {
    const [fine, coarse] = [madeAt(0.002), madeAt(0.1)];
    expect(coarse.feedForward.rows.length).toBeLessThan(fine.feedForward.rows.length);
    expect(coarse.worst!.force).toBeGreaterThan(fine.worst!.force);
    expect(coarse.worst!.force).toBe(
      Math.max(...coarse.directions.flatMap((d) => d.tug.map((t) => t.force!))),
    );
  });

  test('a direction each where both were recorded', () => {
    expect(madeAt(0.01).directions.map((d) => d.name)).toEqual(['']);
    const both = stated(roller, { reverse: { estimates: statedEstimates(roller) } });
    expect(madeAt(0.01, undefined, both).directions.map((d) => d.name)).toEqual(['forward', 'reverse']);
    expect(madeAt(0.01, undefined, stated(roller, { direction: -1 })).directions.map((d) => d.name)).toEqual([
      'reverse',
    ]);
  });

  test('without a roller diameter there is no force, and an acceleration says nothing', () => {
    const { rollerRadius: _, ...roll } = statedDrive;
    const made = make(stated(roller), roll, 0.01, 2);
    expect(made).not.toHaveProperty('problem');
    expect(made).not.toHaveProperty('worst');
    expect((made as Made).feedForward.acceleration).toBeUndefined();
  });

  test('what the engine refuses is a problem with its next step', () => {
    const made = make(stated(roller), statedDrive, 1e-9, undefined);
    expect(made).toMatchObject({
      problem: { code: 'argument_invalid', next: expect.stringMatching(/allow/) },
    });
  });
});

describe('the figure', () => {
  const look = { units, torque: torqueUnit(units, 10, false), drive: statedDrive, isAsLeft: false };

  test('shows law, band, table and assist, and below it the tug', () => {
    const figure = curveFigure(madeAt(0.01, 2), look);
    expect(figure.panels.map((p) => p.y.label)).toEqual([
      'Torque at motor, T [N·m]',
      'Tug left on the web, ±F [N]',
    ]);
    const labels = figure.panels[0]!.marks.map((m) => m.label);
    expect(labels).toEqual([
      '95 %',
      'drag law',
      'below the measured speeds',
      expect.stringMatching(/^table, \d+ rows$/),
      'speeding up',
      'slowing down',
      'with assist at start',
    ]);
    // 150 rad/s at the motor are 150·0.1/2.5 m/s = 360 m/min at the web
    expect(figure.top!.scale * 150).toBeCloseTo(360, 9);
  });

  test('in percent is the torque over the rated one', () => {
    const percent = torqueUnit(units, 10, true);
    expect(percent.value(1.275)).toBeCloseTo(12.75, 12);
    expect(percent.withUnit(1.275)).toBe('12.75 % of rated');
    expect(percent.pair(1.2, 0.1)).toEqual({ value: '12', halfWidth: '1', unit: '% of rated' });
    expect(torqueUnit(units, undefined, true).key).toBe('torque');
    const top = curveFigure(madeAt(0.01), { ...look, torque: percent }).panels[0]!;
    const table = top.marks.find((m) => m.label?.startsWith('table'));
    expect(table?.kind === 'line' && table.y[table.y.length - 1]).toBeCloseTo(12.75, 9);
  });
});

describe('what the drive has to be told', () => {
  test('is inertia and assist with their uncertainty, and what they hold for', () => {
    const made = madeAt(0.01);
    const told = toTell(made, statedDrive, units, torqueUnit(units, 10, false));
    const byName = Object.fromEntries(told.map((t) => [t.name, t.value]));
    expect(byName).toMatchObject({
      'Inertia at the motor shaft': '0.02',
      'Assist at start': '0.35',
      'Assist gone at motor speed': '5',
      'Gear ratio, as stated': '2.5',
      'Roller diameter, as stated': '0.2',
    });
    const tsv = tellTsv('title', told, [{ caption: 'table', tsv: 'a\tb' }]);
    const lines = tsv.split('\n');
    expect(lines[1]).toBe('What\tValue\t± 95 %\tUnit');
    for (const line of lines.slice(1, 2 + told.length)) expect(line.split('\t')).toHaveLength(4);
    expect(lines.slice(-2)).toEqual(['table', 'a\tb']);
  });
});

describe('a played recording', () => {
  const amount = { peak_Nm: 1, rms_Nm: 0.5 };
  const played: PlayedDocument = {
    schema: 'tautline/feedforward-play@1',
    name: 'x',
    verdict: 'identified',
    findings: [],
    recording: { file: 'x.csv', sha256: '', rows: 4 },
    forcePerTorque_per_m: 25,
    average_s: 0.1,
    delay_s: 0,
    offsetRemoved_Nm: 0,
    noise_Nm: 0.01,
    beyondTable_s: 0,
    from_s: 0,
    to_s: 10,
    summary: [],
    stretches: [
      { kind: 'start', from_s: 0, to_s: 2, without: amount, with: amount },
      { kind: 'running', from_s: 2, to_s: 8, without: amount, with: amount },
    ],
    trace: {
      time_s: [1, 2, 3, 4],
      speed_rad_per_s: { min: [1, 1, 1, 1], max: [1, 1, 1, 1] },
      without_Nm: { min: [0, -2, null, 1], max: [0, 3, null, 1] },
      with_Nm: { min: [0, 0, 0, 0], max: [0, 0.5, 0, 0] },
    },
  };

  test('is drawn as force, with every least and greatest value, and a gap as a gap', () => {
    const figure = playFigure(played, units)!;
    const [without, left] = figure.panels[0]!.marks;
    expect(without).toMatchObject({ kind: 'line', meaning: 'reference', x: [1, 2, 2, 3, 3, 4] });
    expect(without?.kind === 'line' && [...Array.from(without.y)]).toEqual([
      0,
      -50,
      75,
      Number.NaN,
      Number.NaN,
      25,
    ]);
    expect(left).toMatchObject({ kind: 'line', meaning: 'model', signal: 'tension' });
    // stretches are cut to what is drawn
    expect(figure.spans?.map((s) => [s.from, s.to])).toEqual([
      [1, 2],
      [2, 4],
    ]);
  });

  test('is torque at the motor where there is no roller diameter', () => {
    const { forcePerTorque_per_m: _, ...bare } = played;
    const [panel] = playFigure(bare, units)!.panels;
    expect(panel!.y.label).toMatch(/Torque .* \[N·m\]/);
    const { trace: __, ...refused } = played;
    expect(playFigure(refused, units)).toBeUndefined();
  });

  test('a stretch is found by its time and shown with air around it', () => {
    expect(stretchAt(played.stretches, 5)?.kind).toBe('running');
    expect(stretchAt(played.stretches, 9)).toBeUndefined();
    expect(aroundStretch(played.stretches[1]!, played)).toEqual({ from: 0.5, to: 9.5 });
    expect(aroundStretch(played.stretches[0]!, played)).toEqual({ from: 0, to: 2.5 });
  });
});
