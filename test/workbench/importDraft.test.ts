import { describe, expect, test } from 'vitest';
import { roles } from '../../src/engine/recording/recording.js';
import type { Proposal } from '../../src/workbench/api/types.js';
import {
  keptDraft,
  lacking,
  nameOf,
  roleRows,
  startDraft,
  withChannel,
  withDialect,
  withInterval,
  withUnit,
} from '../../src/workbench/views/recordings/importDraft.js';

const proposal: Proposal = {
  file: 'x.csv',
  bytes: 10,
  text: [],
  columns: [
    { header: 'Zeit', unit: 's', kind: 'number', role: 'time' },
    { header: 'Moment', kind: 'number', role: 'motor-torque' },
    { header: 'n', unit: 'rpm', kind: 'number', role: 'motor-speed' },
    { header: 'm', kind: 'number' },
  ],
  rows: [[0, 1, 2, 3]],
  questions: [
    {
      kind: 'unit',
      role: 'motor-torque',
      header: 'Moment',
      choices: ['N·m'],
      message: 'no unit',
      needed: true,
    },
  ],
  findings: [],
};
const answered: Proposal = { ...proposal, questions: [] };

describe('what is said about a dropped file', () => {
  test('drive and visit are taken from its name only where the line has that drive', () => {
    expect(startDraft('winder.as-left.csv', ['winder'])).toMatchObject({ drive: 'winder', visit: 'as-left' });
    expect(startDraft('winder.as-left.csv', ['unwind'])).toMatchObject({ drive: '', visit: '' });
    expect(startDraft('trend 3.csv', ['winder'])).toMatchObject({ drive: '', visit: '', statements: {} });
  });

  test('the import waits for questions, drive and visit, in this order, and for nothing else', () => {
    const empty = startDraft('x.csv', []);
    expect(lacking(empty, proposal)).toMatch(/motor torque/);
    expect(lacking(empty, answered)).toMatch(/drive/);
    expect(lacking({ ...empty, drive: 'winder' }, answered)).toMatch(/visit/);
    expect(lacking({ ...empty, drive: 'winder', visit: 'as.left' }, answered)).toMatch(/without point/);
    expect(lacking(empty, { ...answered, rows: [] })).toMatch(/no row/);
    const full = { ...empty, drive: 'winder', visit: '2026-05-04' };
    expect(lacking(full, answered)).toBeUndefined();
    expect(nameOf(full)).toBe('winder.2026-05-04');
    const open = { ...proposal, questions: proposal.questions.map((q) => ({ ...q, needed: false })) };
    expect(lacking(full, open)).toBeUndefined();
  });

  test('a column has one role: given to another, it leaves the first', () => {
    const s = withChannel(withChannel({}, 'motor-torque', 'm'), 'web-tension', 'm');
    expect(s).toEqual({ channels: { 'web-tension': 'm' } });
  });

  test('what is taken back leaves no trace, so that the same statements are the same job', () => {
    let s = withUnit(withDialect(withChannel({}, 'time', 'Zeit'), 'decimal', ','), 'motor-torque', 'N·m');
    s = withInterval(s, 0.01);
    expect(s).toEqual({
      channels: { time: 'Zeit' },
      dialect: { decimal: ',' },
      units: { 'motor-torque': 'N·m' },
      sampleInterval: 0.01,
    });
    s = withChannel(
      withDialect(withUnit(s, 'motor-torque', undefined), 'decimal', undefined),
      'time',
      undefined,
    );
    expect(withInterval(s, undefined)).toEqual({});
  });

  test('each signal says where its column and its unit come from', () => {
    const rows = roleRows(roles, proposal, {
      channels: { 'motor-speed': 'n' },
      units: { 'motor-torque': '%' },
    });
    const row = (role: string) => rows.find((r) => r.role === role);
    expect(row('time')).toMatchObject({ by: 'header', unit: 's', unitBy: 'file', needsUnit: true });
    expect(row('motor-speed')).toMatchObject({ by: 'you', unit: 'rpm', unitBy: 'file' });
    expect(row('motor-torque')).toMatchObject({ by: 'header', unit: '%', unitBy: 'you' });
    expect(row('web-tension')).toEqual({ role: 'web-tension', needsUnit: false });
  });

  test('a kept draft that cannot be read is none', () => {
    const draft = startDraft('winder.as-left.csv', ['winder']);
    expect(keptDraft(JSON.stringify(draft))).toEqual(draft);
    for (const text of [null, '', '{', '{"drive":3}', '[]']) expect(keptDraft(text)).toBeUndefined();
  });
});
