import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { lockFolder } from '../../src/node/files/lockFolder.js';
import { versionOf } from '../../src/server/documents/editable.js';
import { lineFolder, post, served, startServer, type TestServer } from './support.js';

interface Line {
  readonly text: string;
  readonly version: string;
}

let server: TestServer;
beforeAll(async () => {
  server = await startServer();
}, 60_000);
afterAll(() => server.stop());

const save = (text: string, version: string): RequestInit => post({ text }, 'PUT', { 'if-match': version });

describe('two windows on one folder', () => {
  test('the second save of one version is refused with the version that is there, and nothing is lost', async () => {
    const { text, version } = await server.json<Line>('/api/line');
    const first = await server.json<Line>('/api/line', 200, save(`${text}# first\n`, version));
    const refused = await server.json<{ error: { code: string; where: { version: string } } }>(
      '/api/line',
      409,
      save(`${text}# second\n`, version),
    );
    expect(refused.error).toMatchObject({ code: 'conflict', where: { version: first.version } });
    expect(readFileSync(join(server.folder, 'line.yaml'), 'utf8')).toBe(first.text);
    await server.json('/api/line', 200, save(`${first.text}# second\n`, first.version));
  });

  test('of many at the same moment one wins', async () => {
    const { text, version } = await server.json<Line>('/api/line');
    const answers = await Promise.all(
      Array.from({ length: 8 }, (_, k) => server.ask('/api/line', save(`${text}# ${k}\n`, version))),
    );
    const statuses = answers.map((a) => a.status).sort();
    expect(statuses).toEqual([200, ...Array(7).fill(409)]);
    const winner = (await answers.find((a) => a.status === 200)?.json()) as Line;
    expect(readFileSync(join(server.folder, 'line.yaml'), 'utf8')).toBe(winner.text);
  });

  test('a save waits for another program that writes, and is refused when that lasts', async () => {
    const { text, version } = await server.json<Line>('/api/line');
    const lock = await lockFolder(server.folder);
    const saving = server.ask('/api/line', save(`${text}# waited\n`, version));
    await pause(200);
    await lock.release();
    expect((await saving).status).toBe(200);
    const held = await lockFolder(server.folder);
    const { version: now } = await server.json<Line>('/api/line');
    expect(await server.json('/api/line', 423, save(text, now))).toMatchObject({
      error: { code: 'folder_locked' },
    });
    await held.release();
  });
});

describe('a server that is killed', () => {
  const home = mkdtempSync(join(tmpdir(), 'tautline-home-'));
  afterAll(() => rmSync(home, { recursive: true, force: true }));

  test('in the middle of saves loses nothing that it said was saved, and the next one goes on', async () => {
    const folder = lineFolder();
    const file = join(folder, 'line.yaml');
    const base = readFileSync(file, 'utf8');
    // long, so that a half-written one would be seen
    const textOf = (n: number): string => `${base}# ${n} ${'x'.repeat(400_000)}\n`;
    let n = 0;
    let killedWhileSaving = 0;
    let token: string | undefined;
    try {
      for (let kill = 0; kill < 4; kill++) {
        const running = await served(folder, home);
        expect(running.err()).toBe('');
        // the pages of the killed one go on
        if (token !== undefined) expect(running.token).toBe(token);
        token = running.token;
        const ask = (init: RequestInit): Promise<Response> =>
          fetch(`${running.origin}/api/line`, {
            ...init,
            headers: {
              authorization: `Bearer ${running.token}`,
              ...(init.headers as Record<string, string>),
            },
          });
        let saved = versionOf(readFileSync(file));
        let sent = saved;
        const saves = (async () => {
          for (;;) {
            const text = textOf(n++);
            sent = versionOf(text);
            const answer = await ask(save(text, saved));
            expect(answer.status).toBe(200);
            saved = ((await answer.json()) as Line).version;
            expect(saved).toBe(sent);
          }
        })().catch((error: unknown) => {
          // the connection breaks off with the server
          if (!(error instanceof TypeError)) throw error;
        });
        await pause(70 + 45 * kill);
        await running.end('SIGKILL');
        await saves;
        const found = versionOf(readFileSync(file));
        expect([saved, sent]).toContain(found);
        if (saved !== sent) killedWhileSaving++;
      }
      expect(killedWhileSaving).toBeGreaterThan(0);
      const last = await served(folder, home);
      const answer = await fetch(`${last.origin}/api/line`, {
        ...save(base, versionOf(readFileSync(file))),
        headers: {
          authorization: `Bearer ${last.token}`,
          'content-type': 'application/json',
          'if-match': versionOf(readFileSync(file)),
        },
      });
      expect(answer.status).toBe(200);
      // what the killed ones left behind is gone: lock, temporary files
      expect(readdirSync(folder).filter((name) => name.startsWith('.') && name !== '.tautline')).toEqual([]);
      expect(await last.end('SIGTERM')).toBe(0);
      // after a proper end a token is worth nothing
      const fresh = await served(folder, home);
      expect(fresh.token).not.toBe(token);
      expect(await fresh.end('SIGINT')).toBe(0);
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  }, 60_000);

  test('its token can be read by nobody else', async () => {
    const folder = lineFolder();
    const running = await served(folder, home);
    const sessions = join(home, 'tautline', 'sessions');
    const files = readdirSync(sessions);
    expect(files).toHaveLength(1);
    if (process.platform !== 'win32') expect(statSync(join(sessions, files[0])).mode & 0o077).toBe(0);
    await running.end('SIGTERM');
    expect(readdirSync(sessions)).toEqual([]);
    rmSync(folder, { recursive: true, force: true });
  });
});
