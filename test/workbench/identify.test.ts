import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import type { Finding, FindingCode } from '../../src/engine/findings.js';
import { identify } from '../../src/engine/identify/identify.js';
import type { DriveDocument } from '../../src/engine/project/drive.js';
import {
  fromIdentificationDocument,
  toIdentificationDocument,
} from '../../src/engine/project/identification.js';
import { makeFormat } from '../../src/engine/report/format.js';
import { displayUnit } from '../../src/engine/units/convert.js';
import { unitById } from '../../src/engine/units/quantity.js';
import {
  isVisit,
  readAddress,
  recordingBehind,
  recordingOf,
  recordingsFor,
  usualVisit,
} from '../../src/workbench/views/identify/address.js';
import { changeRows, compared } from '../../src/workbench/views/identify/comparison.js';
import { dragPlot, plateauPoints } from '../../src/workbench/views/identify/figures.js';
import { driveText, fieldsOf, refuseName } from '../../src/workbench/views/identify/newDrive.js';
import { remedyOf } from '../../src/workbench/views/identify/remedy.js';
import { resultRows, sourceWords, testFor, usedTime } from '../../src/workbench/views/identify/rows.js';
import { shownResult } from '../../src/workbench/views/identify/shown.js';
import {
  isTakeable,
  segmentAt,
  segmentOf,
  trendStretches,
} from '../../src/workbench/views/identify/stretches.js';
import {
  marked,
  noTakes,
  readTakes,
  type Takes,
  takesOf,
  takesText,
  toggled,
} from '../../src/workbench/views/identify/takes.js';
import { runPlant } from '../support/plantRecording.js';
import { roller, stated, statedDrive } from '../support/statedIdentification.js';

const plateau = { kind: 'plateau', from: 10, to: 14, used: true } as const;
const left = { ...plateau, used: false } as const;

describe('stretches taken out and in', () => {
  test('a click takes a used one out, and another click gives it back', () => {
    const out = toggled(noTakes, plateau);
    expect(out).toEqual({ out: [[10, 14]], in: [] });
    expect(toggled(out, left)).toEqual(noTakes);
  });

  test('a click takes in what was left out, and another click leaves it out again', () => {
    const taken = toggled(noTakes, left);
    expect(taken).toEqual({ out: [], in: [[10, 14]] });
    expect(toggled(taken, plateau)).toEqual(noTakes);
    // one that was too short to be used although it was taken in
    expect(toggled(taken, left)).toEqual(noTakes);
  });

  test('others stay as they are', () => {
    const before: Takes = { out: [[1, 2]], in: [[20, 22]] };
    expect(toggled(before, plateau)).toEqual({
      out: [
        [1, 2],
        [10, 14],
      ],
      in: [[20, 22]],
    });
    expect(marked(before, [1.5, 5], 'in')).toEqual({
      out: [],
      in: [
        [20, 22],
        [1.5, 5],
      ],
    });
    expect(marked(before, [1.5, 5], 'out').out).toEqual([
      [1, 2],
      [1.5, 5],
    ]);
  });

  test('the ends keep their samples when they are written in microseconds', () => {
    const third = toggled(noTakes, { ...plateau, from: 1 / 3, to: 2 / 3 });
    const [[from, to]] = third.out as [[number, number]];
    expect(from).toBeLessThanOrEqual(1 / 3);
    expect(to).toBeGreaterThanOrEqual(2 / 3);
    expect(to - from).toBeCloseTo(1 / 3, 5);
  });

  test('stand in the address and come back from it', () => {
    const takes: Takes = {
      out: [
        [-1.5, 2],
        [10, 14.25],
      ],
      in: [[20, 22]],
    };
    expect(readTakes(new URLSearchParams(takesText(takes)))).toEqual(takes);
    expect(takesText(noTakes)).toEqual({ out: '', in: '' });
    // what is no stretch of time is passed over
    expect(readTakes(new URLSearchParams({ out: '3~2,a~b,5,~,1~2~3,4~6', in: '~7' }))).toEqual({
      out: [[4, 6]],
      in: [],
    });
  });

  test('are told by the stretches of a result that was made with them', () => {
    const { recording, drive, identification, plant } = runPlant('staircase-up-down', 4);
    const used = identification.segments.filter((s) => s.kind === 'plateau' && s.used);
    const [first, second] = [used[1], used[2]].map((s) => toggled(noTakes, s as (typeof used)[0]).out[0]);
    const takes: Takes = { out: [first, second] as Takes['out'], in: [] };
    const again = identify(recording, drive, { exclude: takes.out });
    expect(takesOf(toIdentificationDocument(again, plant.drive as DriveDocument))).toEqual(takes);
  });
});

describe('the address', () => {
  test('holds all that was chosen; recording and result by their path too', () => {
    const address = readAddress(
      new URLSearchParams(
        'drive=winder&recording=exports%2Fwinder.as-found.csv&identification=identifications%2Fwinder.as-found.json&out=1~2&in=3~4&delay=0.004&torque=turned&against=winder.as-left',
      ),
    );
    expect(address).toEqual({
      drive: 'winder',
      recording: 'exports/winder.as-found.csv',
      identification: 'winder.as-found',
      takes: { out: [[1, 2]], in: [[3, 4]] },
      delay: 0.004,
      flipTorque: true,
      against: 'winder.as-left',
    });
    expect(readAddress(new URLSearchParams('delay=99&drive='))).toEqual({
      takes: noTakes,
      flipTorque: false,
    });
  });

  const listed = [
    { name: 'a.as-found', file: 'recordings/a.as-found.parquet', drive: 'a', visit: 'as-found', sha256: 'x' },
    { name: 'a.as-found.csv', file: 'exports/a.as-found.csv', drive: 'a', visit: 'as-found', sha256: 'y' },
    { name: 'log', file: 'exports/log.csv' },
  ];
  test('a recording is found by path, by name, by its bytes, by the name of its file', () => {
    expect(recordingOf(listed, 'exports/a.as-found.csv')?.sha256).toBe('y');
    expect(recordingOf(listed, 'a.as-found')?.sha256).toBe('x');
    expect(recordingOf(listed, 'b')).toBeUndefined();
    expect(recordingBehind(listed, { file: 'other.csv', sha256: 'y' })?.name).toBe('a.as-found.csv');
    expect(recordingBehind(listed, { file: 'C:\\exports\\log.csv', sha256: 'z' })?.name).toBe('log');
    expect(recordingsFor(listed, 'b').map((r) => r.name)).toEqual(['log']);
  });
  test('a result is kept under the visit of its recording, else under the day', () => {
    const [own, , other] = listed as [(typeof listed)[0], (typeof listed)[0], (typeof listed)[0]];
    expect(usualVisit(own, 'a', '2026-03-01')).toBe('as-found');
    expect(usualVisit(own, 'b', '2026-03-01')).toBe('2026-03-01');
    expect(usualVisit(other, 'a', '2026-03-01')).toBe('2026-03-01');
    expect(['as-left', '2026-03-01', 'a.b', '../x', ''].map(isVisit)).toEqual([
      true,
      true,
      false,
      false,
      false,
    ]);
  });
});

const { identification: measured, drive: measuredDrive, plant } = runPlant('full-test-both-directions', 2);
const si = makeFormat('si');
const same = (text: string): string => text;

describe('what is shown of a result', () => {
  test('a number in its unit, with as many digits as its interval allows, and what it rests on', () => {
    const id = stated(roller);
    const [inertia, coulomb] = resultRows(id.estimates, id, 0, si, same);
    // 1.95996 standard errors of 0.0001 are 0.000196: two digits, since it begins with 1
    expect(inertia).toMatchObject({
      words: 'Inertia',
      value: '0.02000',
      halfWidth: '0.00020',
      interval: '0.01980 to 0.02020',
      unit: 'kg·m²',
    });
    expect(coulomb).toMatchObject({ value: '0.600', halfWidth: '0.010', unit: 'N·m' });
    const inches = makeFormat('us', (key) =>
      key === 'torque' ? (unitById('torque', 'lbin') ?? displayUnit('torque', 'us')) : displayUnit(key, 'us'),
    );
    // 0.6 N·m over 0.45359237 · 9.80665 · 0.0254 N·m
    const converted = resultRows(id.estimates, id, 0, inches, same)[1];
    expect(converted?.unit).toBe('lb·in');
    expect(Number(converted?.value)).toBeCloseTo(0.6 / (0.45359237 * 9.80665 * 0.0254), 2);
  });

  test('sources count the used stretches and the starts of the direction', () => {
    const used = (kind: string): number => measured.segments.filter((s) => s.used && s.kind === kind).length;
    expect(sourceWords('coulomb', measured, 1)).toContain(
      `${used('plateau')} plateaus, ${used('ramp')} ramps`,
    );
    const forward = measured.breakawayEvents.filter((e) => e.direction === 1).length;
    expect(forward).toBeGreaterThan(0);
    expect(forward).toBeLessThan(measured.breakawayEvents.length);
    expect(sourceWords('breakaway', measured, 1)).toBe(
      `${forward} start${forward === 1 ? '' : 's'} of motion`,
    );
    const time = usedTime(measured);
    expect(time.used).toBeGreaterThan(0);
    expect(time.used).toBeLessThan(time.all);
    expect(testFor.breakaway).toBe('breakaway');
  });

  test('the stretches with their reasons; what holds nothing cannot be taken', () => {
    const stretches = trendStretches(measured.segments);
    expect(stretches.map((s) => s.isHatched)).toEqual(measured.segments.map((s) => !s.used));
    const k = measured.segments.findIndex((s) => s.kind === 'plateau' && s.used);
    const segment = segmentOf(measured.segments, stretches[k]?.id ?? '');
    expect(segment).toBe(measured.segments[k]);
    expect(stretches[k]?.title).toContain(segment?.why);
    expect(segmentAt(measured.segments, 0.5 * ((segment?.from ?? 0) + (segment?.to ?? 0)))).toBe(k);
    expect(measured.segments.filter(isTakeable).some((s) => s.kind === 'rest')).toBe(false);
  });

  test('comes back from the document that the server sends, samples and all', () => {
    const document = toIdentificationDocument(measured, plant.drive as DriveDocument);
    const { trace } = measured;
    if (trace === undefined) throw new Error('a designed test has a trace');
    const out = (values: Float64Array): (number | null)[] =>
      Array.from(values, (v) => (Number.isFinite(v) ? v : null));
    const shown = shownResult({
      document,
      trace: {
        time_s: out(trace.time),
        speed_rad_per_s: out(trace.speed),
        torque_Nm: out(trace.torque),
        torqueFitted_Nm: out(trace.torqueFitted),
      },
    });
    expect(shown.trace).toEqual(trace);
    expect(shown.rampPairs?.length).toBe(measured.rampPairs?.length);
    expect(shown.dragCurve?.map((p) => p.segment)).toEqual(measured.dragCurve?.map((p) => p.segment));
  });
});

describe('the drag plot', () => {
  test('a plateau point stands where its mark stands, in the panel of its direction', () => {
    const figure = dragPlot(measuredDrive, { identification: measured, words: 'now' }, undefined, si);
    if (figure === undefined) throw new Error('a designed test has a drag curve');
    const points = plateauPoints(measured, figure, si);
    expect(new Set(points.map((p) => p.panel))).toEqual(new Set([0, 1]));
    for (const p of points) {
      const marks = figure.panels[p.panel]?.marks.filter((m) => m.kind === 'points' && m.label === 'plateau');
      const at = marks?.flatMap((m) => (m.kind === 'points' ? Array.from(m.x, (x, i) => [x, m.y[i]]) : []));
      expect(at).toContainEqual([p.x, p.y]);
    }
  });

  test('of two results: the earlier hollow and dashed, the later filled and full, each with its name', () => {
    const earlier = { identification: measured, words: 'as-found' };
    const figure = dragPlot(measuredDrive, { ...earlier, words: 'as-left' }, earlier, si);
    const marks = figure?.panels[0]?.marks ?? [];
    const points = marks.filter((m) => m.kind === 'points');
    expect(points.filter((m) => m.label?.endsWith('as-found')).map((m) => m.fill)).toContain('hollow');
    expect(points.filter((m) => m.label?.endsWith('as-left')).every((m) => m.fill === 'filled')).toBe(true);
    const lines = marks.filter((m) => m.kind === 'line' && m.label?.startsWith('fit'));
    expect(lines.map((m) => m.kind === 'line' && m.meaning)).toEqual(['reference', 'model']);
  });
});

describe('a second result', () => {
  const doubled = stated({ ...roller, coulomb: [1.2, 0.005] });
  const kept = {
    name: 'r.as-found',
    visit: 'as-found',
    words: 'as-found',
    drive: statedDrive,
    identification: stated(roller),
  };

  test('the order is that of the visits', () => {
    expect(compared(kept, doubled, 'as-left', statedDrive).isKeptEarlier).toBe(true);
    const turned = compared({ ...kept, visit: 'as-left' }, doubled, 'as-found', statedDrive);
    expect(turned.isKeptEarlier).toBe(false);
    expect(turned.earlier).toBe(doubled);
  });

  test('what doubled has the ratio 2, and is said to have changed', () => {
    const { comparison } = compared(kept, doubled, 'as-left', statedDrive);
    const row = changeRows(comparison, si, same).find((r) => r.words.startsWith('Coulomb'));
    expect(row?.ratio).toMatch(/^2\.0/);
    expect(row).toMatchObject({ earlier: '0.600 ± 0.010', verdict: 'changed' });
    const unchanged = changeRows(comparison, si, same).find((r) => r.words.startsWith('Inertia'));
    expect(unchanged?.ratio).toMatch(/^1\.0/);
    expect(unchanged?.verdict).not.toBe('changed');
  });
});

describe('what can be done about a finding', () => {
  const finding = (code: FindingCode, where: Record<string, number> = {}): Finding => ({
    code,
    severity: 'warn',
    message: '',
    where,
    next: '',
  });
  test('what this view can state is stated here; what has a time is shown there', () => {
    expect(remedyOf(finding('sign_convention'), false)).toEqual({ kind: 'turn-torque' });
    // turned already: then it is no remedy
    expect(remedyOf(finding('sign_convention'), true)).toBeUndefined();
    expect(remedyOf(finding('channel_delay', { delay_s: 0.02 }), false)).toEqual({ kind: 'state-delay' });
    expect(remedyOf(finding('spikes', { first_s: 12.5, count: 3 }), false)).toEqual({
      kind: 'look',
      window: { from: 10.5, to: 14.5 },
    });
    expect(remedyOf(finding('no_designed_test'), false)).toBeUndefined();
  });
});

describe('a new drive', () => {
  test('its file says what was stated and nothing else', () => {
    const text = driveText({
      file: 'axis',
      name: 'axis: "left" # 2',
      element: 'winder',
      nameplate: { rated_torque_Nm: 80, gear_ratio: 4, core_diameter_m: 0.1, roller_diameter_m: 0.3 },
    });
    // a winder has a core, and no roller
    expect(parse(text)).toEqual({
      schema: 'tautline/drive@1',
      name: 'axis: "left" # 2',
      element: 'winder',
      rated_torque_Nm: 80,
      gear_ratio: 4,
      core_diameter_m: 0.1,
    });
    expect(fieldsOf('pull-roll').map((f) => f.key)).not.toContain('core_diameter_m');
  });
  test('its name is that of a file, and new', () => {
    expect(refuseName('axis-2', ['axis'])).toBeUndefined();
    expect(refuseName('Axis', ['axis'])).toMatch(/already/);
    for (const name of ['', '../x', 'a b', '.a', 'a.b']) expect(refuseName(name, [])).toBeDefined();
  });
});

test('a document that knows nothing of pairs and places still reads', () => {
  const document = toIdentificationDocument(stated(roller), {
    schema: 'tautline/drive@1',
    name: 'x',
    element: 'drum',
  });
  expect('rampPairs' in (JSON.parse(JSON.stringify(document)) as object)).toBe(false);
  expect(fromIdentificationDocument(document).rampPairs).toBeUndefined();
});
