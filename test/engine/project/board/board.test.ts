import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { drivenRollers } from '../../../../src/engine/line/line.js';
import { board } from '../../../../src/engine/project/board/board.js';
import {
  type BoardFact,
  type BoardRow,
  boardFacts,
  nextWeights,
} from '../../../../src/engine/project/board/boardDocument.js';
import type { BoardInput } from '../../../../src/engine/project/board/boardInput.js';
import { drivenRows } from '../../../../src/engine/project/board/drivenRows.js';
import type { LineDocument } from '../../../../src/engine/project/line/lineDocument.js';
import { toLine } from '../../../../src/engine/project/line/toLine.js';
import {
  broken,
  complete,
  drives,
  file,
  line,
  product,
  recording,
  result,
  rowOf,
  sha,
  without,
} from '../../../support/boardFixture.js';
import { estimate, roller } from '../../../support/statedIdentification.js';

const states = (row: BoardRow): Record<BoardFact, string> =>
  Object.fromEntries(boardFacts.map((f) => [f, row.cells[f].state])) as Record<BoardFact, string>;
const stale = (row: BoardRow): BoardFact[] => boardFacts.filter((f) => row.cells[f].state === 'stale');
const resting: BoardFact[] = ['inertia', 'breakaway', 'drag', 'feedforward', 'limits'];

describe('rows', () => {
  test('one a drive in web order, idlers none, drives without a place behind', () => {
    const input = complete();
    const { rows } = board({
      ...input,
      drives: [file('drives/a-new-one.yaml', drives.dryer), ...input.drives],
    });
    expect(rows.map((r) => [r.name, r.section, r.drive, r.element])).toEqual([
      ['helper', 'helper', 'spreader', 'spreader'],
      ['puller', 'puller', 'puller', 'pull-roll'],
      ['dryer', 'dryer', 'dryer', 'dryer'],
      ['a-new-one', undefined, 'a-new-one', 'dryer'],
    ]);
    const loose = rows[3].cells;
    expect(loose.recorded).toMatchObject({ state: 'missing', action: { kind: 'record-test' } });
    expect(loose.limits).toMatchObject({ state: 'missing', action: { kind: 'place-drive' } });
  });

  test('are called as the engine calls the driven rollers, S-wraps and drums too', () => {
    const nameplate = { rated_torque_Nm: 5 };
    const many: LineDocument = {
      schema: 'tautline/line@1',
      name: 'INVENTED',
      sections: [
        { name: 's', kind: 'pull-roll', drive: nameplate, rollers: [{ drive: nameplate }, {}] },
        {
          name: 'w',
          kind: 'winder',
          type: 'two-drum',
          rear_drum: { drive: nameplate },
          front_drum: { drive: nameplate },
        },
      ],
    };
    expect(drivenRows(many, []).map((r) => r.name)).toEqual(
      [...drivenRollers(toLine(many))].map(({ roller: r }) => r.name),
    );
  });

  test('a line that cannot be read leaves rows by drive file, and says where it is broken', () => {
    const document = board({ ...complete(), line: broken('line.yaml', 7) });
    expect(document.line).toBeUndefined();
    expect(document.rows.map((r) => r.name)).toEqual(['dryer', 'puller', 'spreader']);
    expect(document.rows[0].cells.inertia.state).toBe('value');
    expect(document.next[0]).toMatchObject({
      weight: 'unreadable',
      action: { kind: 'correct-document', view: 'line', parameters: { file: 'line.yaml', line: 7 } },
    });
  });
});

describe('values', () => {
  test('carry uncertainty, place on the axis and where they came from', () => {
    const { cells } = rowOf(board(complete()), 'helper');
    expect(cells.inertia).toMatchObject({
      state: 'value',
      value: 0.02,
      quantity: 'inertia',
      interval95: estimate(0.02, 0.0001).interval95.map((x) => Number(x.toPrecision(10))),
      from: {
        recording: 'exports/spreader.as-found.csv',
        identification: 'identifications/spreader.as-found.json',
        visit: 'as-found',
      },
    });
    expect(cells.breakaway).toMatchObject({ state: 'value', value: 0.95, quantity: 'torque' });
    if (cells.drag.state !== 'value') throw new Error('no drag');
    // 0.6 + 0.003·150 + 1e-5·150² N·m, by hand
    expect(cells.drag.value).toBeCloseTo(0.6 + 0.45 + 0.225, 9);
    expect(cells.drag.at).toEqual({ value: 150, quantity: 'angularSpeed' });
    // independent errors of the fixture: 1.95996·√(0.005² + (0.00005·150)² + (2e-7·150²)²), by hand
    const half = 1.95996 * Math.hypot(0.005, 0.0075, 0.0045);
    expect(cells.drag.interval95?.[1]).toBeCloseTo(1.275 + half, 6);
    if (cells.feedforward.state !== 'value') throw new Error('no feed-forward');
    expect(cells.feedforward.value).toBeGreaterThan(half);
    expect(cells.feedforward.value).toBeLessThan(half + 0.01 * 1.275 + 1e-9);
    expect(cells.recorded).toMatchObject({ state: 'value', words: 'as-found' });
  });

  test('take their day from a visit that is one', () => {
    const input = without(complete(), 'dryer');
    const { cells } = rowOf(
      board({
        ...input,
        identifications: [file('identifications/dryer.2026-03-04.json', result('dryer', '2026-03-04'))],
        recordings: [
          recording('recordings/dryer.2026-03-04.parquet'),
          recording('exports/dryer.2026-03-04.csv'),
        ],
      }),
      'dryer',
    );
    expect(cells.inertia).toMatchObject({
      state: 'value',
      from: { visit: '2026-03-04', date: '2026-03-04' },
    });
    expect(cells.recorded).toMatchObject({
      from: { recording: 'recordings/dryer.2026-03-04.parquet', date: '2026-03-04' },
    });
  });

  test('the latest visit holds, as left before as found', () => {
    const input = complete();
    const document = board({
      ...input,
      identifications: [
        file(
          'identifications/dryer.as-left.json',
          result('dryer', 'as-left', {}, { ...roller, inertia: [0.03, 1e-4] }),
        ),
        ...input.identifications,
      ],
      recordings: [...input.recordings, recording('exports/dryer.as-left.csv')],
    });
    expect(rowOf(document, 'dryer').cells.inertia).toMatchObject({ value: 0.03, from: { visit: 'as-left' } });
    expect(rowOf(document, 'dryer').cells.recorded).toMatchObject({ words: 'as-left' });
  });

  test('a result that the line names counts before the latest', () => {
    const input = complete();
    const sections = line.sections.map((s) =>
      s.name === 'dryer' ? { ...s, identification: 'identifications/dryer.as-found.json' } : s,
    );
    const document = board({
      ...input,
      line: file('line.yaml', { ...line, sections }),
      identifications: [
        ...input.identifications,
        file(
          'identifications/dryer.as-left.json',
          result('dryer', 'as-left', {}, { ...roller, inertia: [0.03, 1e-4] }),
        ),
      ],
    });
    expect(rowOf(document, 'dryer').cells.inertia).toMatchObject({ value: 0.02 });
  });
});

describe('missing', () => {
  test('nothing recorded: every measured cell says so and all share one entry', () => {
    const document = board(without(complete(), 'puller'));
    const { cells } = rowOf(document, 'puller');
    for (const fact of [
      'recorded',
      'inertia',
      'breakaway',
      'drag',
      'feedforward',
      'limits',
      'proven',
    ] as const)
      expect(cells[fact]).toMatchObject({
        state: 'missing',
        action: {
          kind: 'record-test',
          view: 'test-sheet',
          parameters: { drive: 'puller', test: 'designed' },
        },
      });
    const entries = document.next.filter((n) => n.row === 'puller');
    expect(entries).toHaveLength(1);
    expect(entries[0]).toMatchObject({ weight: 'not-recorded', facts: ['recorded', ...resting, 'proven'] });
  });

  test('recorded and not identified: one click identifies it', () => {
    const input = without(complete(), 'puller');
    const document = board({ ...input, recordings: [recording('recordings/puller.as-found.parquet')] });
    const { cells } = rowOf(document, 'puller');
    expect(cells.recorded.state).toBe('value');
    expect(cells.inertia).toMatchObject({
      state: 'missing',
      action: {
        kind: 'identify',
        view: 'identify',
        parameters: { recording: 'recordings/puller.as-found.parquet' },
      },
    });
  });

  const refusal = (code: 'units_missing' | 'stalled') => ({
    verdict: 'refused' as const,
    findings: [
      { code, severity: 'refuse' as const, message: `refused: ${code}`, where: {}, next: 'do this' },
    ],
  });

  test.each([
    ['units_missing', 'answer-recording', 'recordings'],
    ['stalled', 'record-test', 'test-sheet'],
  ] as const)('refused for %s: %s', (code, kind, view) => {
    const input = without(complete(), 'puller');
    const document = board({
      ...input,
      recordings: [...input.recordings, recording('exports/puller.as-found.csv')],
      identifications: [
        ...input.identifications,
        file('identifications/puller.as-found.json', result('puller', 'as-found', refusal(code), {})),
      ],
    });
    const { cells } = rowOf(document, 'puller');
    expect(cells.recorded).toMatchObject({ state: 'missing', action: { kind, view, words: 'do this' } });
    expect(cells.inertia).toMatchObject({ state: 'missing', action: { kind } });
    expect(document.next[0]).toMatchObject({ weight: 'refused', row: 'puller', code });
  });

  test('a refused later visit leaves the earlier values and is in the list', () => {
    const input = complete();
    const document = board({
      ...input,
      recordings: [...input.recordings, recording('exports/puller.as-left.csv')],
      identifications: [
        ...input.identifications,
        file('identifications/puller.as-left.json', result('puller', 'as-left', refusal('stalled'), {})),
      ],
    });
    const { cells } = rowOf(document, 'puller');
    expect(cells.inertia).toMatchObject({ state: 'value', from: { visit: 'as-found' } });
    expect(cells.recorded).toMatchObject({ state: 'value', findings: [{ code: 'stalled' }] });
    expect(document.next[0]).toMatchObject({ weight: 'refused', row: 'puller', facts: ['recorded'] });
  });

  test('no breakaway test: the test that gives it', () => {
    const input = without(complete(), 'dryer');
    const { breakaway: _, ...rest } = roller;
    const why = { name: 'breakaway' as const, why: 'no torque ramp', next: 'raise the torque slowly' };
    const document = board({
      ...input,
      recordings: [...input.recordings, recording('exports/dryer.as-found.csv')],
      identifications: [
        ...input.identifications,
        file(
          'identifications/dryer.as-found.json',
          result('dryer', 'as-found', { notEstimated: [why] }, rest),
        ),
      ],
    });
    expect(rowOf(document, 'dryer').cells.breakaway).toEqual({
      state: 'missing',
      reason: 'no torque ramp',
      action: {
        kind: 'record-test',
        words: 'raise the torque slowly',
        view: 'test-sheet',
        parameters: { drive: 'dryer', test: 'breakaway' },
      },
    });
    expect(document.next[0]).toMatchObject({ weight: 'test-missing', row: 'dryer', facts: ['breakaway'] });
  });

  test('a nameplate in place has a row and asks for a drive file', () => {
    const sections = [{ name: 'lone', kind: 'pull-roll' as const, drive: { rated_torque_Nm: 5 } }];
    const document = board({ ...complete(), drives: [], line: file('line.yaml', { ...line, sections }) });
    expect(document.rows).toHaveLength(1);
    expect(document.rows[0].cells.recorded).toMatchObject({ action: { kind: 'state-drive', view: 'line' } });
  });

  test('a recording that belongs to no drive is in the list', () => {
    const input = complete();
    const { next } = board({ ...input, recordings: [...input.recordings, recording('exports/unknown.csv')] });
    expect(next).toContainEqual(
      expect.objectContaining({
        weight: 'data-missing',
        action: expect.objectContaining({ parameters: { recording: 'exports/unknown.csv' } }),
      }),
    );
  });
});

describe('stale', () => {
  const changed = (change: (input: BoardInput) => BoardInput): readonly BoardRow[] =>
    board(change(complete())).rows;
  const onlyDryer = (rows: readonly BoardRow[]): BoardRow => {
    const [helper, puller, dryer] = rows;
    expect([helper, puller].map(stale)).toEqual([[], []]);
    expect(stale(dryer)).toEqual(resting);
    return dryer;
  };

  test('nothing is, when nothing changed', () => {
    for (const row of board(complete()).rows)
      expect(states(row)).toMatchObject({
        recorded: 'value',
        ...Object.fromEntries(resting.map((f) => [f, 'value'])),
      });
  });

  test('other bytes of the recording: all that rests on it, with the old value', () => {
    const dryer = onlyDryer(
      changed((input) => ({
        ...input,
        recordings: input.recordings.map((r) =>
          r.file.includes('dryer') ? { ...r, sha256: sha('other bytes') } : r,
        ),
      })),
    );
    expect(dryer.cells.inertia).toMatchObject({
      value: 0.02,
      because: [{ input: 'recording', file: 'exports/dryer.as-found.csv' }],
      action: {
        kind: 'identify',
        parameters: {
          drive: 'dryer',
          recording: 'exports/dryer.as-found.csv',
          identification: 'identifications/dryer.as-found.json',
        },
      },
    });
    expect(dryer.cells.recorded.state).toBe('value');
  });

  test('the same bytes under another name are the same recording', () => {
    const rows = changed((input) => ({
      ...input,
      recordings: input.recordings.map((r) => ({ ...r, file: r.file.replace('exports/', 'recordings/') })),
    }));
    expect(rows.flatMap(stale)).toEqual([]);
  });

  test('a recording that is gone', () => {
    const dryer = onlyDryer(
      changed((input) => ({
        ...input,
        recordings: input.recordings.filter((r) => !r.file.includes('dryer')),
      })),
    );
    expect(dryer.cells.drag).toMatchObject({
      because: [{ input: 'recording-gone' }],
      action: { kind: 'answer-recording' },
    });
    expect(dryer.cells.recorded.state).toBe('missing');
  });

  test.each([
    ['chosen anew', sha('then'), sha('now'), true],
    ['gone', sha('then'), undefined, true],
    ['the same', sha('then'), sha('then'), false],
    ['not stated by an older result', undefined, sha('now'), false],
  ])('choices beside the recording: %s', (_, then, now, expected) => {
    const rows = changed((input) => ({
      ...input,
      recordings: input.recordings.map((r) =>
        r.file.includes('dryer') && now !== undefined ? { ...r, choices_sha256: now } : r,
      ),
      identifications: input.identifications.map((f) =>
        'document' in f && f.file.includes('dryer')
          ? {
              ...f,
              document: {
                ...f.document,
                inputs: { ...f.document.inputs, ...(then !== undefined && { choices_sha256: then }) },
              },
            }
          : f,
      ),
    }));
    if (!expected) expect(rows.flatMap(stale)).toEqual([]);
    else expect(onlyDryer(rows).cells.inertia).toMatchObject({ because: [{ input: 'channels' }] });
  });

  const withDryer = (more: object) => (input: BoardInput) => ({
    ...input,
    drives: input.drives.map((d) =>
      d.file.includes('dryer') ? file(d.file, { ...drives.dryer, ...more }) : d,
    ),
  });

  test.each([
    [{ name: 'other' }, 'name'],
    [{ element: 'spreader' }, 'element'],
    [{ rated_torque_Nm: 21 }, 'rated_torque_Nm'],
    [{ torque_constant_Nm_per_A: 1 }, 'torque_constant_Nm_per_A'],
    [{ gear_ratio: 2.6 }, 'gear_ratio'],
    [{ roller_diameter_m: 0.21 }, 'roller_diameter_m'],
    [{ core_diameter_m: 0.1 }, 'core_diameter_m'],
    [{ roller_width_m: 1.9 }, 'roller_width_m'],
    [{ max_motor_speed_rad_per_s: 151 }, 'max_motor_speed_rad_per_s'],
    [{ torque_limit_percent: 160 }, 'torque_limit_percent'],
    [{ web: { width_m: 1.5 } }, 'web'],
  ])('the drive file: %j', (more, key) => {
    const dryer = onlyDryer(changed(withDryer(more)));
    expect(dryer.cells.inertia).toMatchObject({
      because: [{ input: 'drive', file: 'drives/dryer.yaml', keys: [key] }],
    });
  });

  test.each([
    [{ notes: 'greased' }],
    [{ motor_inertia_kgm2: 0.006 }],
    [{ gear_inertia_kgm2: 0.0002 }],
    [{ gear_efficiency: 0.9 }],
    [{ cooling: 'self-ventilated' }],
    [{ power_flow: 'both' }],
    [{ base_speed_rad_per_s: 140 }],
  ])('not for what only torques and limits ask for: %j', (more) => {
    expect(changed(withDryer(more)).flatMap(stale)).toEqual([]);
  });

  test('a drive file that cannot be read any more leaves the old values and comes first', () => {
    const input = complete();
    const document = board({
      ...input,
      drives: input.drives.map((d) => (d.file.includes('dryer') ? broken(d.file, 4) : d)),
    });
    const { cells } = rowOf(document, 'dryer');
    expect(cells.inertia).toMatchObject({ state: 'stale', value: 0.02, because: [{ input: 'drive' }] });
    // torques of a line that lacks a drive would be wrong: none are stated
    for (const row of document.rows) expect(row.cells.limits.state).toBe('missing');
    expect(rowOf(document, 'helper').cells.inertia.state).toBe('value');
    expect(document.next[0]).toMatchObject({
      weight: 'unreadable',
      action: { kind: 'correct-document', parameters: { file: 'drives/dryer.yaml', line: 4 } },
    });
  });

  test('changed back: the result that belongs to it holds again, whichever was made last', () => {
    const input = complete();
    const other = {
      ...result('dryer', 'as-found', {}, { ...roller, inertia: [0.05, 1e-4] }),
      drive: { ...drives.dryer, gear_ratio: 3 },
    };
    const both = {
      ...input,
      identifications: [...input.identifications, file('identifications/dryer.as-found-2.json', other)],
    };
    expect(rowOf(board(both), 'dryer').cells.inertia).toMatchObject({ state: 'value', value: 0.02 });
    expect(rowOf(board(withDryer({ gear_ratio: 3 })(both)), 'dryer').cells.inertia).toMatchObject({
      state: 'value',
      value: 0.05,
    });
    expect(rowOf(board(withDryer({ gear_ratio: 4 })(both)), 'dryer').cells.inertia).toMatchObject({
      state: 'stale',
      value: 0.05,
    });
  });
});

describe('limits', () => {
  test('what is left of the tightest limit, by hand for a helper', () => {
    const { cells } = rowOf(board(complete()), 'helper');
    if (cells.limits.state !== 'value') throw new Error('no limits');
    // the motor turns at 5 m/s · 2.5 / 0.1 m = 125 rad/s of 150 allowed: 1/6 is left, less than of any torque
    expect(cells.limits.value).toBeCloseTo(1 / 6, 9);
    expect(cells.limits.words).toContain('speed');
    expect(cells.limits.from.product).toBe('products/invented.yaml');
  });

  test('a broken limit is a value with its refusal, and an entry', () => {
    const fast = { ...line, speed: { ...line.speed, top_m_per_s: 7 } };
    const document = board({ ...complete(), line: file('line.yaml', fast) });
    // 175 rad/s of 150
    expect(rowOf(document, 'helper').cells.limits).toMatchObject({
      state: 'value',
      value: expect.closeTo(-1 / 6, 9),
    });
    expect(document.next[0]).toMatchObject({
      weight: 'limit-broken',
      row: 'helper',
      code: 'motor_too_slow',
      action: { kind: 'mend-limit', view: 'programs', parameters: { product: 'products/invented.yaml' } },
    });
  });

  test.each<[string, Partial<BoardInput>, string]>([
    ['no product', { products: [] }, 'write-program'],
    ['a product that cannot be read', { products: [broken('products/invented.yaml')] }, 'write-program'],
    ['no speed', { line: file('line.yaml', { ...line, speed: undefined }) }, 'state-drive'],
    [
      'a reference to nothing',
      {
        line: file('line.yaml', {
          ...line,
          sections: [...line.sections, { name: 'x', kind: 'idler', like: 'y' }],
        }),
      },
      'correct-document',
    ],
  ])('%s: one entry for the line, none a row', (_, more, kind) => {
    const document = board({ ...complete(), ...more });
    for (const row of document.rows)
      expect(row.cells.limits).toMatchObject({ state: 'missing', action: { kind } });
    const entries = document.next.filter((n) => n.facts.includes('limits'));
    expect(entries).toHaveLength(1);
    expect(entries[0].row).toBeUndefined();
    expect(entries[0].facts).toEqual(['limits']);
  });

  test.each([
    ['a', 'b'],
    ['b', 'a'],
  ])('of two products the one that leaves less counts (%s winds lightly, %s tightly)', (light, tight) => {
    const sections = [
      ...line.sections.filter((s) => s.name !== 'dryer'),
      {
        name: 'winder',
        kind: 'winder' as const,
        type: 'centre' as const,
        core_diameter_m: 0.3,
        full_diameter_m: 0.8,
        core_inertia_kgm2: 0.1,
        drive: 'drives/dryer.yaml',
      },
    ];
    const wound = (tension: number) => ({
      ...product,
      winder: {
        core_diameter_m: 0.3,
        full_diameter_m: 0.8,
        tension: { law: 'constant' as const, start_N_per_m: tension },
      },
    });
    const document = board({
      ...complete(),
      line: file('line.yaml', { ...line, sections }),
      products: [file(`products/${light}.yaml`, wound(50)), file(`products/${tight}.yaml`, wound(400))],
    });
    // 400 N/m over 1.6 m at a radius of 0.4 m through the gear of 2.5 takes more than the 30 N·m that the motor has
    expect(rowOf(document, 'winder').cells.limits).toMatchObject({
      state: 'value',
      from: { product: `products/${tight}.yaml` },
    });
    expect((rowOf(document, 'winder').cells.limits as { value: number }).value).toBeLessThan(0);
  });
});

describe('proven on the web', () => {
  const webOn = {
    code: 'web_on' as const,
    severity: 'warn' as const,
    message: 'web on',
    where: {},
    next: '',
  };
  const production = (drive: 'spreader' | 'puller', torque: number, inertia = 0.0201) => {
    const input = complete();
    const points = [40, 80, 120, 200].map((speed) => ({
      speed,
      torque: torque + 0.6 + 0.003 * speed + 1e-5 * speed ** 2,
      halfWidth95: 0.05,
      from: 'fit' as const,
    }));
    const on = result(
      drive,
      'production',
      { verdict: 'warned', findings: [webOn], apparentDragCurve: points, covariance: undefined },
      { inertia: [inertia, 0.0005] },
    );
    return board({
      ...input,
      recordings: [...input.recordings, recording(`exports/${drive}.production.csv`)],
      identifications: [...input.identifications, file(`identifications/${drive}.production.json`, on)],
    });
  };

  test('agrees within both intervals, and the designed test stays the one that holds', () => {
    const { cells } = rowOf(production('spreader', 0.02), 'helper');
    expect(cells.inertia).toMatchObject({ value: 0.02, from: { visit: 'as-found' } });
    expect(cells.proven).toMatchObject({
      state: 'value',
      value: expect.closeTo(0.02, 9),
      quantity: 'torque',
      from: { visit: 'production' },
    });
  });

  test('does not agree: missing, with what differs and where', () => {
    const document = production('spreader', 0.2);
    const { cells } = rowOf(document, 'helper');
    expect(cells.proven).toMatchObject({
      state: 'missing',
      action: { kind: 'look-at-result', view: 'identify' },
    });
    expect(JSON.stringify(cells.proven)).toContain('0.200 N·m');
    expect(document.next).toContainEqual(
      expect.objectContaining({ weight: 'not-proven', row: 'helper', facts: ['proven'] }),
    );
  });

  test('where the drive holds tension only the inertia counts', () => {
    expect(rowOf(production('puller', 3), 'puller').cells.proven).toMatchObject({
      state: 'value',
      quantity: 'inertia',
    });
    expect(rowOf(production('puller', 3, 0.022), 'puller').cells.proven.state).toBe('missing');
  });

  test('not recorded: the test to make', () => {
    expect(rowOf(board(complete()), 'helper').cells.proven).toMatchObject({
      state: 'missing',
      action: { kind: 'record-test', parameters: { drive: 'spreader', test: 'web-on' } },
    });
  });

  test('web on alone is no designed test', () => {
    const all = production('spreader', 0);
    expect(rowOf(all, 'helper').cells.inertia.state).toBe('value');
    const input = complete();
    const on = result(
      'spreader',
      'as-found',
      { findings: [webOn], verdict: 'warned' },
      { inertia: [0.02, 1e-4] },
    );
    const { cells } = rowOf(
      board({ ...input, identifications: [file('identifications/spreader.as-found.json', on)] }),
      'helper',
    );
    expect(cells.inertia).toMatchObject({ state: 'missing', action: { kind: 'record-test' } });
  });
});

describe('next visit', () => {
  const visited = (visit: string, today?: string) => {
    const input = without(complete(), 'dryer');
    const document = board({
      ...input,
      ...(today !== undefined && { today }),
      recordings: [...input.recordings, recording(`exports/dryer.${visit}.csv`)],
      identifications: [
        ...input.identifications,
        file(`identifications/dryer.${visit}.json`, result('dryer', visit)),
      ],
    });
    return { cell: rowOf(document, 'dryer').cells.nextVisit, next: document.next };
  };

  test('thirty days after a dated visit, over the end of a leap February, due on the day', () => {
    // 10 to 29 February are 19 days, 11 more are left
    expect(visited('2028-02-10').cell).toMatchObject({ state: 'value', date: '2028-03-11' });
    const isDue = (today: string): boolean =>
      visited('2028-02-10', today).next.some((n) => n.weight === 'visit-due' && n.row === 'dryer');
    expect(isDue('2028-03-10')).toBe(false);
    expect(isDue('2028-03-11')).toBe(true);
    expect(isDue('2028-03-11T08:00:00Z')).toBe(true);
  });

  test.each(['as-found', 'as-left', '2026-02-31'])('%s is no date', (visit) => {
    const { cell } = visited(visit);
    expect(cell).toMatchObject({ state: 'missing' });
    expect(JSON.stringify(cell)).toContain('not dated');
  });

  test('none for a drive of little drag, and none before the first recording', () => {
    const document = board(without(complete(), 'dryer'));
    expect(rowOf(document, 'puller').cells.nextVisit).toEqual({
      state: 'missing',
      reason: expect.stringContaining('no visit'),
    });
    expect(rowOf(document, 'dryer').cells.nextVisit).toMatchObject({
      state: 'missing',
      action: { kind: 'record-test' },
    });
  });
});

describe('next', () => {
  /** One of everything that can hold a job back. */
  const mess = (): BoardInput => {
    const input = complete();
    const warned = {
      code: 'drag_drift' as const,
      severity: 'warn' as const,
      message: 'drifts',
      where: {},
      next: 'warm up',
    };
    const { breakaway: _, ...rest } = roller;
    return {
      ...input,
      today: '2026-12-24',
      line: file('line.yaml', { ...line, speed: { ...line.speed, top_m_per_s: 7 } }),
      drives: [...input.drives, file('drives/loose.yaml', drives.puller)],
      products: [...input.products, broken('products/bad.yaml')],
      identifications: [
        file(
          'identifications/spreader.as-found.json',
          result('spreader', 'as-found', { findings: [warned], verdict: 'warned' }, rest),
        ),
        file('identifications/puller.as-found.json', result('puller', 'as-found')),
        file('identifications/puller.as-found-2.json', result('puller', 'as-found')),
        broken('identifications/dryer.as-left.json'),
        file('identifications/dryer.as-found.json', result('dryer', 'as-found')),
      ],
      recordings: [
        recording('exports/spreader.as-found.csv'),
        { file: 'exports/puller.as-found.csv', sha256: sha('changed') },
        recording('exports/dryer.as-found.csv'),
        recording('exports/dryer.2026-01-01.csv'),
        recording('exports/nobody.as-found.csv'),
      ],
    };
  };

  test('comes by weight, then in web order, and every action once', () => {
    const { next, rows } = board(mess());
    const weights = next.map((n) => nextWeights.indexOf(n.weight));
    expect(weights).toEqual([...weights].sort((a, b) => a - b));
    expect(new Set(next.map((n) => n.weight))).toEqual(new Set(nextWeights.filter((w) => w !== 'refused')));
    const keys = next.map((n) => JSON.stringify([n.row, n.action.kind, n.action.view, n.action.parameters]));
    expect(new Set(keys).size).toBe(keys.length);
    for (const weight of nextWeights) {
      const places = next
        .filter((n) => n.weight === weight)
        .map((n) => rows.findIndex((r) => r.name === n.row));
      expect(places).toEqual([...places].sort((a, b) => a - b));
    }
  });

  test('every action of a cell is in the list, and every entry of a row names cells', () => {
    const { next, rows } = board(mess());
    const actions = new Set(
      next.map((n) => JSON.stringify([n.action.kind, n.action.view, n.action.parameters])),
    );
    for (const row of rows)
      for (const fact of boardFacts) {
        const cell = row.cells[fact];
        const action = cell.state === 'value' ? undefined : cell.action;
        if (action !== undefined)
          expect(actions).toContain(JSON.stringify([action.kind, action.view, action.parameters]));
      }
    for (const entry of next) if (entry.row !== undefined) expect(entry.facts.length).toBeGreaterThan(0);
  });

  test('any order of the files gives the same board', () => {
    const input = mess();
    const expected = board(input);
    const shuffled = <T>(list: readonly T[]) =>
      fc.shuffledSubarray([...list], { minLength: list.length, maxLength: list.length });
    fc.assert(
      fc.property(
        shuffled(input.drives),
        shuffled(input.products),
        shuffled(input.identifications),
        shuffled(input.recordings),
        (d, products, identifications, recordings) => {
          expect(board({ ...input, drives: d, products, identifications, recordings })).toEqual(expected);
        },
      ),
      { numRuns: 40 },
    );
  });

  test('is plain data', () => {
    const document = board(mess());
    expect(JSON.parse(JSON.stringify(document))).toEqual(document);
  });
});
