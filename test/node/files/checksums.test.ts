import { createHash } from 'node:crypto';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { Checksums } from '../../../src/node/files/checksums.js';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'tautline-'));
  mkdirSync(join(folder, 'exports'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const sha256 = (text: string): string => createHash('sha256').update(text).digest('hex');
const file = 'exports/a.csv';
const put = (text: string): void => writeFileSync(join(folder, file), text);
const kept = join('.tautline', 'checksums.json');

async function ask(): Promise<string> {
  const checksums = await Checksums.open(folder);
  const found = await checksums.of(file);
  await checksums.keep();
  return found;
}
const keptNow = (): Record<string, { sha256: string }> =>
  JSON.parse(readFileSync(join(folder, kept), 'utf8'));

/** Clocks stand still for no file that was written more than two seconds ago. */
const settle = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 2100));

test('the checksum is that of the bytes, kept once the file has settled, and taken anew when the file changes', async () => {
  put('one');
  expect(await ask()).toBe(sha256('one'));
  // written just now: it may change again within one tick of the clock
  expect(keptNow()).toEqual({});
  await settle();
  expect(await ask()).toBe(sha256('one'));
  expect(keptNow()[file].sha256).toBe(sha256('one'));
  // what was kept is what is answered: the file itself is not read again
  const lie = { [file]: { ...keptNow()[file], sha256: sha256('lie') } };
  writeFileSync(join(folder, kept), JSON.stringify(lie));
  expect(await ask()).toBe(sha256('lie'));
  // one byte of the same size
  put('two');
  expect(await ask()).toBe(sha256('two'));
  // and even when its time is set back
  const then = new Date('2026-01-01T00:00:00Z');
  utimesSync(join(folder, file), then, then);
  await settle();
  await ask();
  put('six');
  utimesSync(join(folder, file), then, then);
  expect(await ask()).toBe(sha256('six'));
});

test.each(['', '{', '[]', 'null', '{"exports/a.csv":1}', '{"exports/a.csv":{"size":3,"sha256":"x"}}'])(
  'a broken store (%s) costs time and nothing else',
  async (text) => {
    put('one');
    mkdirSync(join(folder, '.tautline'));
    writeFileSync(join(folder, kept), text);
    expect(await ask()).toBe(sha256('one'));
  },
);

test('a file that is not there is an error with its code', async () => {
  const checksums = await Checksums.open(folder);
  await expect(checksums.of(file)).rejects.toMatchObject({ code: 'file_not_found' });
  await expect(checksums.of('../a.csv')).rejects.toMatchObject({ code: 'path_outside_folder' });
});

test('where the store cannot be written the answer is the same', async () => {
  put('one');
  writeFileSync(join(folder, '.tautline'), 'no folder');
  expect(await ask()).toBe(sha256('one'));
});
