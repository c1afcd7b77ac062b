import { mkdtempSync, readFileSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DuckDBInstance } from '@duckdb/node-api';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readParquetTable } from '../../../src/node/store/readParquetTable.js';
import { isParquet, readRecordingTable } from '../../../src/node/store/readRecordingTable.js';

let base: string;
beforeAll(() => {
  base = mkdtempSync(join(tmpdir(), 'tautline-parquet-'));
});
afterAll(() => rmSync(base, { recursive: true, force: true }));

/** A Parquet file of somebody else: INVENTED, written by the database itself. */
async function foreign(name: string, select: string): Promise<string> {
  const path = join(base, name);
  const instance = await DuckDBInstance.create(':memory:');
  const connection = await instance.connect();
  await connection.run(`COPY (${select}) TO '${path.replaceAll("'", "''")}' (FORMAT parquet)`);
  connection.closeSync();
  instance.closeSync();
  return path;
}

describe('readParquetTable: files of other programs', () => {
  it('numbers of every width', async () => {
    const path = await foreign(
      'numbers.parquet',
      `SELECT 1::TINYINT a, 200::UTINYINT b, -3::SMALLINT c, 4::INTEGER d, 5000000000::BIGINT e, 0.5::FLOAT "f [rpm]", 1.25::DOUBLE g, 12.34::DECIMAL(9,2) h, NULL::DOUBLE i, 'inf'::DOUBLE j`,
    );
    const { columns, rows, source } = await readParquetTable(path);
    expect(rows).toBe(1);
    expect(source).toMatchObject({ file: 'numbers.parquet', rows: 1 });
    expect(columns.map((c) => c.values[0])).toEqual([
      1,
      200,
      -3,
      4,
      5e9,
      0.5,
      1.25,
      12.34,
      Number.NaN,
      Number.NaN,
    ]);
    expect(columns.every((c) => c.kind === 'number' && c.textCells === 0)).toBe(true);
    expect(columns.map((c) => c.unit)).toEqual([
      ...Array(5).fill(undefined),
      'rpm',
      ...Array(4).fill(undefined),
    ]);
    expect(columns.slice(8).map((c) => c.blankCells)).toEqual([1, 1]);
  });

  it('times of every resolution, to the microsecond, and booleans', async () => {
    const at = "TIMESTAMP '2026-03-12 10:00:00.000250'";
    const path = await foreign(
      'times.parquet',
      `SELECT ${at} + i * INTERVAL 1 MILLISECOND AS us, (${at} + i * INTERVAL 1 MILLISECOND)::TIMESTAMP_NS AS ns, (${at} + i * INTERVAL 1 SECOND)::TIMESTAMP_MS AS ms, (${at} + i * INTERVAL 1 MILLISECOND)::TIMESTAMPTZ AS tz, (i % 2 = 1) AS running FROM range(3) t(i)`,
    );
    const { columns } = await readParquetTable(path);
    const epoch = Date.UTC(2026, 2, 12, 10) / 1000;
    for (const k of [0, 1, 3]) {
      expect(columns[k].kind).toBe('datetime');
      expect(columns[k].epoch_s).toBe(epoch);
      for (const [i, t] of [0.00025, 0.00125, 0.00225].entries())
        expect(columns[k].values[i]).toBeCloseTo(t, 9);
    }
    expect(Array.from(columns[2].values)).toEqual([0, 1, 2]);
    expect(columns[4]).toMatchObject({ kind: 'boolean' });
    expect(Array.from(columns[4].values)).toEqual([0, 1, 0]);
  });

  it('texts that hold numbers, times or words', async () => {
    const path = await foreign(
      'texts.parquet',
      `SELECT * FROM (VALUES (1, '1.5', '2026-03-12T10:00:00.5Z', 'on', 'true', ''), (2, ' 2.5 ', '2026-03-12T11:00:01.25+01:00', 'a', 'false', NULL), (3, 'Bad', '2026-03-12T10:00:02Z', 'b', NULL, NULL)) t(n, numbers, times, words, flags, blank)`,
    );
    const { columns } = await readParquetTable(path);
    const [, numbers, times, words, flags, blank] = columns;
    expect(numbers).toMatchObject({
      kind: 'number',
      textCells: 1,
      blankCells: 0,
      firstText: { text: 'Bad', line: 3 },
    });
    expect(Array.from(numbers.values)).toEqual([1.5, 2.5, Number.NaN]);
    expect(times.kind).toBe('datetime');
    expect(Array.from(times.values)).toEqual([0.5, 1.25, 2]);
    expect(words).toMatchObject({ kind: 'text', textCells: 3, firstText: { text: 'on', line: 1 } });
    expect(flags).toMatchObject({ kind: 'boolean', blankCells: 1 });
    expect(Array.from(flags.values)).toEqual([1, 0, Number.NaN]);
    expect(blank).toMatchObject({ kind: 'text', blankCells: 3, textCells: 0 });
  });

  it('a file without rows is refused by a finding', async () => {
    const { findings } = await readParquetTable(await foreign('none.parquet', 'SELECT 1 AS a WHERE false'));
    expect(findings).toMatchObject([{ code: 'no_rows', severity: 'refuse' }]);
  });

  it('a name with pattern characters means one file', async () => {
    await foreign('run1.parquet', 'SELECT 1 AS a');
    const path = await foreign('run[1].parquet', 'SELECT 2 AS a');
    expect((await readParquetTable(path)).columns[0].values[0]).toBe(2);
    const star = await foreign('run*.parquet', 'SELECT 3 AS a');
    expect(Array.from((await readParquetTable(star)).columns[0].values)).toEqual([3]);
  });
});

describe('readParquetTable: damage', () => {
  it.each([4, 8, 100, 0.5, 0.99])('a file cut off at %d', async (at) => {
    const path = await foreign(`cut${at}.parquet`, 'SELECT i AS a, i / 7 AS b FROM range(10000) t(i)');
    truncateSync(path, at < 1 ? Math.floor(at * readFileSync(path).length) : at);
    await expect(readParquetTable(path)).rejects.toMatchObject({
      code: 'file_unreadable',
      next: expect.any(String),
    });
  });

  it('a document of another file beside it', async () => {
    const path = await foreign('other.parquet', 'SELECT 1 AS a');
    writeFileSync(
      join(base, 'other.yaml'),
      `schema: tautline/recording@1
data: other.parquet
source: { file: x, sha256: x, rows: 1 }
imported: 2026-03-12
columns: [{ header: b, kind: number, blank_cells: 0, text_cells: 0 }]
findings: []
notes: ''
`,
    );
    await expect(readParquetTable(path)).rejects.toMatchObject({ code: 'document_schema' });
  });
});

describe('readParquetTable: texts with times', () => {
  it('without a zone are read as UTC, whatever the zone of the machine', async () => {
    const path = await foreign('local.parquet', `SELECT '2026-07-12 10:00:00' AS t`);
    const { columns } = await readParquetTable(path);
    expect(columns[0].epoch_s).toBe(Date.UTC(2026, 6, 12, 10) / 1000);
  });
});

describe('readRecordingTable', () => {
  it('goes by the content, not by the name', async () => {
    const text = join(base, 'really-text.parquet');
    writeFileSync(text, 'time [s],n [rpm]\n0,1\n1,2\n');
    expect((await readRecordingTable(text)).columns[1].values[1]).toBe(2);
    const parquet = await foreign('really-parquet.csv', 'SELECT 42 AS "n [rpm]"');
    expect((await readRecordingTable(parquet)).columns[0].values[0]).toBe(42);
    expect(await isParquet(base)).toBe(false);
    await expect(readRecordingTable(join(base, 'nowhere'))).rejects.toMatchObject({ code: 'file_not_found' });
  });
});
