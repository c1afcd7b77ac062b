import { describe, expect, test } from 'vitest';
import { board } from '../../../../src/engine/project/board/board.js';
import type { BoardFact } from '../../../../src/engine/project/board/boardDocument.js';
import { complete, file, line, recording, result, rowOf, without } from '../../../support/boardFixture.js';
import { roller } from '../../../support/statedIdentification.js';

const resting: BoardFact[] = ['inertia', 'breakaway', 'drag', 'feedforward', 'limits'];

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
