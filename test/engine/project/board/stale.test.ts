import { describe, expect, test } from 'vitest';
import { board } from '../../../../src/engine/project/board/board.js';
import {
  type BoardFact,
  type BoardRow,
  boardFacts,
} from '../../../../src/engine/project/board/boardDocument.js';
import type { BoardInput } from '../../../../src/engine/project/board/boardInput.js';
import { broken, complete, drives, file, result, rowOf, sha } from '../../../support/boardFixture.js';
import { roller } from '../../../support/statedIdentification.js';

const states = (row: BoardRow): Record<BoardFact, string> =>
  Object.fromEntries(boardFacts.map((f) => [f, row.cells[f].state])) as Record<BoardFact, string>;
const stale = (row: BoardRow): BoardFact[] => boardFacts.filter((f) => row.cells[f].state === 'stale');
const resting: BoardFact[] = ['inertia', 'breakaway', 'drag', 'feedforward', 'limits'];

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
    // once, although every cell of the line waits for it
    expect(document.next.filter((n) => n.action.kind === 'correct-document')).toHaveLength(1);
    expect(document.next[0]).toMatchObject({ row: 'dryer', facts: resting });
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
