import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import { demoFiles } from '../../../demo/make.js';
import {
  type BoardDocument,
  type BoardFact,
  boardFacts,
} from '../../../src/engine/project/board/boardDocument.js';
import { toDrive } from '../../../src/engine/project/drive.js';
import { readDriveDocument } from '../../../src/node/documents/readDrive.js';
import { commissionFolder } from '../../../src/node/lineFolder/commissionFolder.js';
import { readBoard } from '../../../src/node/lineFolder/readBoard.js';
import { importRecording } from '../../../src/node/store/importRecording.js';
import { rowOf } from '../../support/boardFixture.js';

let made: string;
let folder: string;
beforeAll(async () => {
  made = mkdtempSync(join(tmpdir(), 'tautline-demo-'));
  for (const [path, text] of demoFiles()) {
    mkdirSync(dirname(join(made, path)), { recursive: true });
    writeFileSync(join(made, path), text);
  }
  await commissionFolder(made, { date: '2026-01-01', units: 'si' });
}, 60_000);
afterAll(() => rmSync(made, { recursive: true, force: true }));
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'tautline-board-'));
  cpSync(made, folder, { recursive: true });
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const path = (file: string): string => join(folder, file);
const edit = (file: string, change: (text: string) => string): void => {
  const before = readFileSync(path(file), 'utf8');
  const after = change(before);
  expect(after).not.toBe(before);
  writeFileSync(path(file), after);
};
const inState = (document: BoardDocument, state: string): Record<string, BoardFact[]> =>
  Object.fromEntries(
    document.rows
      .map((r) => [r.name, boardFacts.filter((f) => r.cells[f].state === state)] as const)
      .filter(([, facts]) => facts.length > 0),
  );

const order = ['unwind', 'pull roll', 'bowed roller', 'dryer can', 'rider roller', 'winder'];

test('the commissioned demo: every measured fact known in web order, values near the invented truth', async () => {
  const document = await readBoard(folder, { today: '2026-02-01' });
  expect(document).toMatchObject({
    schema: 'tautline/board@1',
    line: 'demo line (invented)',
    invented: true,
  });
  expect(document.rows.map((r) => r.name)).toEqual(order);
  expect(inState(document, 'stale')).toEqual({});
  expect(inState(document, 'value')).toEqual(
    Object.fromEntries(
      order.map((name) => [name, ['recorded', 'inertia', 'breakaway', 'drag', 'feedforward', 'limits']]),
    ),
  );
  const { drives } = JSON.parse(readFileSync(path('truth.json'), 'utf8')) as {
    drives: { drive: string; visit: string; truth: { inertia_kgm2: number } }[];
  };
  for (const row of document.rows) {
    const { inertia, recorded } = row.cells;
    const truth = drives.findLast((d) => d.drive === row.driveFile);
    if (inertia.state !== 'value' || recorded.state !== 'value' || truth === undefined)
      throw new Error(row.name);
    // the accuracy that the tests of the identification hold it to
    expect(Math.abs((inertia.value as number) / truth.truth.inertia_kgm2 - 1)).toBeLessThan(0.007);
    expect(recorded.words).toBe(truth.visit);
  }
  expect(document.next.map((n) => n.weight).filter((w) => w !== 'not-proven' && w !== 'visit-due')).toEqual(
    [],
  );
});

test('one byte of one recording: exactly the cells that rest on it go stale, whether checksums were kept or not', async () => {
  const before = await readBoard(folder);
  // a digit of the last sample: the size stays as it was
  edit('exports/bowed-roller-helper.as-left.csv', (text) =>
    text.replace(/(\d)(\D*)$/, (_, digit: string, rest: string) => `${(Number(digit) + 1) % 10}${rest}`),
  );
  const after = await readBoard(folder);
  const resting = ['inertia', 'breakaway', 'drag', 'feedforward', 'limits'];
  expect(inState(after, 'stale')).toEqual({ 'bowed roller': resting });
  const [was, is] = [before, after].map((d) => rowOf(d, 'bowed roller').cells.inertia);
  expect(is).toMatchObject({ value: (was as { value: number }).value, because: [{ input: 'recording' }] });
  for (const row of before.rows) if (row.name !== 'bowed roller') expect(rowOf(after, row.name)).toEqual(row);
  expect(after.next[0]).toMatchObject({ weight: 'stale', row: 'bowed roller', facts: resting });
  rmSync(path('.tautline'), { recursive: true, force: true });
  expect(await readBoard(folder)).toEqual(after);
});

test('one byte of a recording that nothing rests on any more changes nothing', async () => {
  const before = await readBoard(folder);
  edit('exports/bowed-roller-helper.as-found.csv', (text) => `${text}\n`);
  expect(await readBoard(folder)).toEqual(before);
});

test('a gear ratio in a drive file: its results are stale, comments are not', async () => {
  edit('drives/dryer-can.yaml', (text) => `${text}# looked at\n`);
  expect(inState(await readBoard(folder), 'stale')).toEqual({});
  edit('drives/dryer-can.yaml', (text) => text.replace('gear_ratio: 18', 'gear_ratio: 19'));
  const document = await readBoard(folder);
  expect(inState(document, 'stale')).toEqual({
    'dryer can': ['inertia', 'breakaway', 'drag', 'feedforward', 'limits'],
  });
  expect(rowOf(document, 'dryer can').cells.inertia).toMatchObject({
    because: [{ input: 'drive', keys: ['gear_ratio'] }],
  });
});

test('an imported recording: a unit corrected by hand beside it makes its result stale, a note does not', async () => {
  const source = path('exports/pull-roll.as-found.csv');
  const drive = toDrive(await readDriveDocument(path('drives/pull-roll.yaml')));
  await importRecording(source, folder, { imported: '2026-01-02', name: 'pull-roll.as-found', drive });
  await commissionFolder(folder, { date: '2026-01-02', units: 'si' });
  const fresh = await readBoard(folder);
  expect(inState(fresh, 'stale')).toEqual({});
  expect(rowOf(fresh, 'pull roll').cells.inertia).toMatchObject({
    from: { recording: 'recordings/pull-roll.as-found.parquet' },
  });
  edit('recordings/pull-roll.as-found.yaml', (text) => text.replace(/notes: .*/, 'notes: seen'));
  expect(inState(await readBoard(folder), 'stale')).toEqual({});
  rmSync(source);
  // the result of the export is gone with it; that of the import holds
  expect(inState(await readBoard(folder), 'stale')).toEqual({});
  edit('recordings/pull-roll.as-found.yaml', (text) => text.replace('unit: N.m', 'unit: mNm'));
  const document = await readBoard(folder);
  expect(Object.keys(inState(document, 'stale'))).toEqual(['pull roll']);
  expect(rowOf(document, 'pull roll').cells.inertia).toMatchObject({ because: [{ input: 'channels' }] });
});

test('documents that cannot be read are entries, each with its place, and cost only what rests on them', async () => {
  edit('products/coated-paper-80.yaml', (text) => text.replace('caliper_um: 100', 'caliper_um: thick'));
  writeFileSync(path('drives/pull-roll.yaml'), 'schema: tautline/drive@1\nname: "\n');
  writeFileSync(path('identifications/winder.as-left.json'), '{');
  mkdirSync(path('exports/unwind.as-left.csv'));
  const document = await readBoard(folder);
  expect(document.rows.map((r) => r.name)).toEqual(order);
  const unreadable = document.next.filter((n) => n.weight === 'unreadable');
  const files = unreadable.map(
    (n) => n.action.parameters.file ?? n.action.parameters.identification ?? n.action.parameters.recording,
  );
  expect(files).toEqual(
    expect.arrayContaining([
      'drives/pull-roll.yaml',
      'identifications/winder.as-left.json',
      'products/coated-paper-80.yaml',
      'exports/unwind.as-left.csv',
    ]),
  );
  expect(unreadable.every((n) => document.next.indexOf(n) < unreadable.length)).toBe(true);
  for (const name of ['dryer can', 'winder', 'unwind'])
    expect(rowOf(document, name).cells.inertia.state).toBe('value');
  expect(rowOf(document, 'pull roll').cells.inertia).toMatchObject({
    state: 'stale',
    because: [{ input: 'drive' }],
  });
});

test('an empty folder is a board without rows that says what to write', async () => {
  const empty = mkdtempSync(join(tmpdir(), 'tautline-empty-'));
  const document = await readBoard(empty);
  expect(document).toMatchObject({
    rows: [],
    next: [{ weight: 'unreadable', action: { parameters: { file: 'line.yaml' } } }],
  });
  expect(readdirSync(empty)).toEqual([]);
  rmSync(empty, { recursive: true });
});
