import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { buildProgram, mainFile } from '../support/cli.js';
import { lineFolder, served } from './support.js';

beforeAll(buildProgram, 60_000);

describe('tautline serve', () => {
  const home = mkdtempSync(join(tmpdir(), 'tautline-home-'));
  let folder: string;
  beforeAll(() => {
    folder = lineFolder();
  });
  afterAll(() => {
    rmSync(home, { recursive: true, force: true });
    rmSync(folder, { recursive: true, force: true });
  });

  test.each([
    [['--host', '0.0.0.0'], 'password_missing', 'tautline set-password'],
    [['--port', '99999'], 'usage', '0 to 65535'],
    [['--tls-cert', 'x.pem'], 'usage', 'belong together'],
    [['--tls-cert', 'x.pem', '--tls-key', 'y.pem'], 'file_not_found', 'x.pem'],
  ])('%j is refused with its next step', async (args, code, words) => {
    const refused = await served(folder, home, args);
    expect(await refused.code()).toBe(2);
    expect(refused.err()).toContain(`error (${code})`);
    expect(refused.err()).toContain(words);
    expect(refused.url).toBeUndefined();
  });

  test('a folder that is none is refused', async () => {
    const refused = await served(join(folder, 'nothing'), home);
    expect([await refused.code(), refused.err()]).toEqual([2, expect.stringContaining('file_not_found')]);
  });

  const setPassword = async (words: string): Promise<number | null> => {
    const child = spawn(process.execPath, [mainFile, 'set-password'], {
      env: { ...process.env, XDG_CONFIG_HOME: home, APPDATA: home },
    });
    child.stdin.end(`${words}\nanother line\n`);
    return (await once(child, 'close'))[0] as number | null;
  };

  test('with a password set it serves other machines, says what that exposes, and lets nobody in without', async () => {
    expect(await setPassword('too short')).toBe(2);
    expect(await setPassword('five words that are long')).toBe(0);
    const kept = join(home, 'tautline', 'password.json');
    expect(readFileSync(kept, 'utf8')).not.toContain('five words');
    if (process.platform !== 'win32') expect(statSync(kept).mode & 0o077).toBe(0);
    const running = await served(folder, home, ['--host', '0.0.0.0']);
    expect(running.err()).toContain('reads and writes');
    expect(running.err()).toContain('no TLS');
    const login = (password: string): Promise<Response> =>
      fetch(`${running.origin}/login`, {
        method: 'POST',
        redirect: 'manual',
        headers: { origin: running.origin },
        body: new URLSearchParams({ password }),
      });
    expect((await login('five words that are wrong')).status).toBe(401);
    expect((await login('five words that are long')).status).toBe(303);
    expect(await running.end('SIGTERM')).toBe(0);
  });
});
