import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { lockFolder } from '../../../src/node/files/lockFolder.js';
import { withFolderLock } from '../../../src/node/files/withFolderLock.js';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'tautline-lock-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

it('lets many writers in one after the other', async () => {
  let inside = 0;
  let most = 0;
  const one = (): Promise<void> =>
    withFolderLock(folder, 30_000, async () => {
      most = Math.max(most, ++inside);
      await wait(2);
      inside--;
    });
  await Promise.all(Array.from({ length: 8 }, one));
  expect(most).toBe(1);
  expect(readdirSync(folder)).toEqual([]);
});

it('gives up when its patience has ended, and frees the folder when what is done fails', async () => {
  const lock = await lockFolder(folder);
  await expect(withFolderLock(folder, 60, async () => 1)).rejects.toMatchObject({ code: 'folder_locked' });
  await lock.release();
  const failing = withFolderLock(folder, 60, () => Promise.reject(new Error('no')));
  await expect(failing).rejects.toThrow('no');
  expect(await withFolderLock(folder, 0, async () => 2)).toBe(2);
});
