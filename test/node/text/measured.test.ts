import { existsSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { readTextTable } from '../../../src/node/text/readTextTable.js';
import { headersOf, unitsOf } from './support.js';

const path = '../shared/data/emps/emps_axis.csv';

// Outside check: a measured file, split here by the language's own means.
test.skipIf(!existsSync(path))(
  'a measured recording reads as written (skipped: recording not present)',
  async () => {
    const [header, ...rows] = readFileSync(path, 'utf8').trim().split('\n');
    const t = await readTextTable(path);
    expect(headersOf(t)).toEqual(header!.split(','));
    expect(unitsOf(t)).toEqual(['s', 'rad', 'rad', 'N.m']);
    expect(t.rows).toBe(rows.length);
    const expected = rows.map((r) => r.split(',').map(Number));
    expect(t.columns.map((c) => [...c.values])).toEqual(t.columns.map((_, i) => expected.map((r) => r[i])));
    expect(t.findings).toEqual([]);
  },
);
