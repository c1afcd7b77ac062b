import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { appendFileSync, chmodSync, mkdtempSync, readFileSync, rmSync, truncateSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { readTextTable } from '../../../src/node/text/readTextTable.js';
import { streamTextTable } from '../../../src/node/text/streamTextTable.js';
import { codesOf, fileOf, headersOf, lines, read, unitsOf, valuesOf } from './support.js';

describe('files that hold little', () => {
  test.each([
    ['nothing', ''],
    ['a mark', '\ufeff'],
    ['line ends', '\r\n\r\n \t\r\n'],
  ])('empty: %s', async (_, content) => {
    const t = await read(content);
    expect(t).toMatchObject({ rows: 0, columns: [], findings: [{ code: 'empty_file', severity: 'refuse' }] });
    expect(t.source.sha256).toBe(createHash('sha256').update(content).digest('hex'));
  });

  test('header only', async () => {
    const t = await read(lines('Time [s];Speed [rpm]'));
    expect(codesOf(t)).toEqual(['no_rows']);
    expect(headersOf(t)).toEqual(['Time [s]', 'Speed [rpm]']);
    expect(t.columns.map((c) => c.values.length)).toEqual([0, 0]);
  });

  test('titles, header and unit row only', async () => {
    const t = await read(lines('Drive trace;12.03.2026', '', 'Time;Speed;Torque', 's;rpm;%'));
    expect(codesOf(t)).toContain('no_rows');
    expect(headersOf(t)).toEqual(['Time', 'Speed', 'Torque']);
    expect(unitsOf(t)).toEqual(['s', 'rpm', '%']);
  });

  test('two rows, one row, one number', async () => {
    expect(valuesOf(await read(lines('a,b', '1,2', '3,4')))).toEqual([
      [1, 3],
      [2, 4],
    ]);
    expect(valuesOf(await read('a,b\n1,2'))).toEqual([[1], [2]]);
    expect(valuesOf(await read('7'))).toEqual([[7]]);
  });

  test('prose is no table', async () => {
    const t = await read(lines('This is a letter.', 'It holds no numbers, only words.', 'Goodbye'));
    expect(codesOf(t)).toContain('no_rows');
  });
});

describe('files that are no tables', () => {
  test('binary', async () => {
    const bytes = Uint8Array.from({ length: 5000 }, (_, i) => (i * 7919) % 256);
    await expect(read(bytes)).rejects.toMatchObject({ code: 'file_not_text', exitCode: 2 });
  });

  test('zero bytes behind good rows, as a power cut leaves them', async () => {
    const good = Array.from({ length: 2000 }, (_, i) => `${i},${i}`).join('\n');
    const bytes = Buffer.concat([Buffer.from(`a,b\n${good}\n`), Buffer.alloc(3000)]);
    await expect(read(bytes)).rejects.toMatchObject({ code: 'file_not_text', where: { line: 2002 } });
  });

  test('a line without end is refused early', async () => {
    const path = fileOf('a,b\n1,2\n');
    // a sparse file: 2 GB of zero bytes that take no room; then the same with digits, as long as a test allows
    truncateSync(path, 2 ** 31);
    const began = performance.now();
    await expect(readTextTable(path)).rejects.toMatchObject({ code: 'file_not_text' });
    const digits = fileOf(`a,b\n1,2\n${'1'.repeat(3_000_000)}`);
    await expect(readTextTable(digits)).rejects.toMatchObject({ code: 'line_too_long', where: { line: 3 } });
    const alone = fileOf('1,'.repeat(1_500_000));
    await expect(readTextTable(alone)).rejects.toMatchObject({ code: 'line_too_long', where: { line: 1 } });
    expect(performance.now() - began).toBeLessThan(5000);
  });

  test('the greatest line length is the same however the file is read', async () => {
    const content = lines('a,b', '1,2', `3,${'0'.repeat(200)}4`, '5,6');
    for (const chunkBytes of [16, 1 << 20]) {
      await expect(read(content, { maxBytesPerLine: 100, chunkBytes })).rejects.toMatchObject({
        code: 'line_too_long',
        where: { line: 3, maxBytesPerLine: 100 },
      });
    }
  });
});

describe('files that cannot be read', () => {
  const folder = mkdtempSync(join(tmpdir(), 'tautline-bad-'));

  test('missing, folder, folder in place of a file, device', async () => {
    await expect(readTextTable(join(folder, 'no.csv'))).rejects.toMatchObject({ code: 'file_not_found' });
    await expect(readTextTable(folder)).rejects.toMatchObject({ code: 'file_not_found' });
    await expect(readTextTable(join(fileOf('a'), 'b.csv'))).rejects.toMatchObject({ code: 'file_not_found' });
    await expect(readTextTable('/dev/null')).rejects.toMatchObject({ code: 'file_not_found' });
  });

  test.skipIf(process.getuid?.() === 0)('no permission', async () => {
    const path = fileOf('a,b\n1,2\n');
    chmodSync(path, 0);
    await expect(readTextTable(path)).rejects.toMatchObject({ code: 'file_unreadable' });
  });

  test.skipIf(process.platform === 'win32')('a pipe is refused instead of waited for', async () => {
    const path = join(folder, 'pipe');
    execFileSync('mkfifo', [path]);
    await expect(readTextTable(path)).rejects.toMatchObject({ code: 'file_not_found' });
  });

  const long = `a,b\n${Array.from({ length: 20_000 }, (_, i) => `${i},${i}`).join('\n')}\n`;

  test.each([
    ['grows', (path: string) => appendFileSync(path, '1,2\n')],
    ['shrinks', (path: string) => truncateSync(path, 100)],
    ['vanishes', (path: string) => rmSync(path)],
  ])('a file that %s while it is read', async (_, change) => {
    const path = fileOf(long);
    let done = false;
    const reading = streamTextTable(path, { chunkBytes: 4096, batchRows: 100 }, () => {
      if (!done) change(path);
      done = true;
    });
    await expect(reading).rejects.toMatchObject({ code: 'file_changed' });
  });

  test('an error of the caller passes through and the file is closed', async () => {
    const stop = streamTextTable(fileOf(long), { chunkBytes: 4096, batchRows: 100 }, () => {
      throw new Error('enough');
    });
    await expect(stop).rejects.toThrow('enough');
  });
});

test('the checksum is that of the file, small or large', async () => {
  const small = fileOf('a,b\n1,2\n');
  // above the size from which the checksum is taken in a thread of its own
  const large = fileOf(`a,b\n${'1234567,7654321\n'.repeat(2_200_000)}`);
  for (const path of [small, large]) {
    const { source } = await streamTextTable(path, {}, () => {});
    expect(source.sha256).toBe(createHash('sha256').update(readFileSync(path)).digest('hex'));
  }
});

test('progress ends at the size of the file', async () => {
  const content = lines('a,b', '1,2', '3,4');
  const seen: number[][] = [];
  await read(content, { chunkBytes: 5, onProgress: (bytes, of) => seen.push([bytes, of]) });
  expect(seen.at(-1)).toEqual([content.length, content.length]);
});
