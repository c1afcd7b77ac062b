import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { hostname, tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { lockFolder, lockName } from '../../../src/node/files/lockFolder.js';
import { compileInto } from '../../support/compiled.js';

let base: string;
let compiled: string;
beforeAll(() => {
  base = mkdtempSync(join(tmpdir(), 'tautline-lock-'));
  mkdirSync(join(base, 'js'));
  compiled = compileInto(join(base, 'js'), 'src/node/files/lockFolder.ts');
});
afterAll(() => rmSync(base, { recursive: true, force: true }));

const folder = (name: string): string => {
  const path = join(base, name);
  mkdirSync(path);
  return path;
};

/** Id of a process that no longer runs. */
const deadProcess = (): number => spawnSync(process.execPath, ['-e', '0']).pid;

describe('lockFolder', () => {
  it('lets one writer in and the next when he has left', async () => {
    const at = folder('one');
    const lock = await lockFolder(at);
    await expect(lockFolder(at)).rejects.toMatchObject({ code: 'folder_locked' });
    await lock.release();
    await (await lockFolder(at)).release();
    expect(readdirSync(at)).toEqual([]);
  });

  it('takes over the lock of a killed process, and says who holds that of a living one', async () => {
    const at = folder('killed');
    const script = `
      import { lockFolder } from ${JSON.stringify(compiled)};
      await lockFolder(process.argv[1]); console.log('locked'); setInterval(() => 0, 1000);`;
    const child = spawn(process.execPath, ['--input-type=module', '-e', script, at]);
    await once(child.stdout, 'data');
    const refused = await lockFolder(at).catch((e: unknown) => e);
    expect(refused).toMatchObject({
      code: 'folder_locked',
      message: expect.stringContaining(`${child.pid}`),
    });
    child.kill('SIGKILL');
    await once(child, 'exit');
    const lock = await lockFolder(at);
    await lock.release();
    expect(readdirSync(at)).toEqual([]);
  });

  it('does not take the lock of another machine, nor one that it cannot read', async () => {
    const at = folder('elsewhere');
    for (const content of [JSON.stringify({ pid: deadProcess(), host: `not-${hostname()}` }), '']) {
      writeFileSync(join(at, lockName), content);
      await expect(lockFolder(at)).rejects.toMatchObject({ code: 'folder_locked' });
    }
  });

  it('lets exactly one of many in when a stale lock lies there', async () => {
    for (let round = 0; round < 10; round++) {
      const at = folder(`race${round}`);
      writeFileSync(join(at, lockName), JSON.stringify({ pid: deadProcess(), host: hostname() }));
      const all = await Promise.allSettled(Array.from({ length: 8 }, () => lockFolder(at)));
      expect(all.filter((r) => r.status === 'fulfilled')).toHaveLength(1);
      for (const r of all) if (r.status === 'rejected') expect(r.reason.code).toBe('folder_locked');
    }
  });

  it('reports a folder that is not there', async () => {
    await expect(lockFolder(join(base, 'nowhere'))).rejects.toMatchObject({ code: 'folder_not_writable' });
  });
});
