import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { type Change, watchFolder } from '../../src/server/events/watchFolder.js';

// A system that reports nothing, as network shares do.
vi.mock('node:fs', async (original) => ({
  ...(await original<typeof import('node:fs')>()),
  watch: () => {
    throw new Error('no watches here');
  },
}));

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'tautline-watch-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

test('where the system reports nothing, changes are found by looking, each once, and none after the end', async () => {
  const told: Change[] = [];
  writeFileSync(join(folder, 'line.yaml'), 'a');
  const watch = await watchFolder(folder, (change) => told.push(change), { every: 20 });
  await pause(100);
  expect(told).toEqual([]);
  writeFileSync(join(folder, 'line.yaml'), 'b');
  await vi.waitFor(() => expect(told).toHaveLength(1), { timeout: 5000 });
  rmSync(join(folder, 'line.yaml'));
  await vi.waitFor(() => expect(told).toHaveLength(2), { timeout: 5000 });
  await pause(100);
  expect(told).toMatchObject([{ path: 'line.yaml' }, { path: 'line.yaml', version: null }]);
  watch.close();
  writeFileSync(join(folder, 'line.yaml'), 'c');
  await pause(100);
  expect(told).toHaveLength(2);
});
