import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { drivenRollers } from '../../../../src/engine/line/line.js';
import { board } from '../../../../src/engine/project/board/board.js';
import { boardFacts, nextWeights } from '../../../../src/engine/project/board/boardDocument.js';
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
  recording,
  result,
  rowOf,
  sha,
  without,
} from '../../../support/boardFixture.js';
import { estimate, roller } from '../../../support/statedIdentification.js';

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
      { numRuns: 15 },
    );
  });

  test('takes a result of another program, which states estimates and nothing else', () => {
    const input = complete();
    const { covariance: _, speedRange_rad_per_s: __, ...bare } = result('dryer', 'as-found');
    const document = board({
      ...input,
      identifications: [
        file('identifications/dryer.as-found.json', {
          ...bare,
          inputs: { file: 'x.json', sha256: '', rows: 0 },
        }),
      ],
    });
    const { cells } = rowOf(document, 'dryer');
    expect(cells.inertia).toMatchObject({ state: 'value', value: 0.02 });
    expect(cells.drag).toMatchObject({ state: 'missing', action: { parameters: { test: 'staircase' } } });
    expect(cells.feedforward.state).toBe('missing');
  });

  test('a web path that cannot be is an entry of the line', () => {
    // rollers that turn against each other need at least the sum of their radii, 0.2 m; these stand 0.05 m apart
    const sections = line.sections.map((s) =>
      s.name === 'puller' ? { ...s, centre_m: [3.05, 1.5] as const } : s,
    );
    const { next } = board({ ...complete(), line: file('line.yaml', { ...line, sections }) });
    expect(next).toContainEqual(
      expect.objectContaining({ weight: 'warning', code: 'web_path_impossible', facts: [] }),
    );
  });

  test('is plain data', () => {
    const document = board(mess());
    expect(JSON.parse(JSON.stringify(document))).toEqual(document);
  });
});
