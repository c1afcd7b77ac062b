import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { raw, startServer, type TestServer } from './support.js';

// What a build of the workbench leaves, and beside it what must not be served.
const built = mkdtempSync(join(tmpdir(), 'tautline-built-'));
let server: TestServer;
beforeAll(async () => {
  mkdirSync(join(built, 'workbench', 'assets'), { recursive: true });
  mkdirSync(join(built, 'workbench', '.vite'));
  writeFileSync(join(built, 'secret.txt'), 'secret');
  writeFileSync(join(built, 'workbench', '.vite', 'manifest.json'), 'secret');
  writeFileSync(join(built, 'workbench', 'index.html'), '<!doctype html><title>first page</title>');
  writeFileSync(join(built, 'workbench', 'icon.svg'), '<svg/>');
  writeFileSync(join(built, 'workbench', 'assets', 'main-1a2b.js'), 'export {};');
  server = await startServer({ workbench: join(built, 'workbench') });
}, 60_000);
afterAll(async () => {
  await server.stop();
  rmSync(built, { recursive: true, force: true });
});

const get = (path: string, hasSession = true) =>
  raw(server.port, path, hasSession ? { cookie: `tautline_${server.port}=${server.token}` } : {});

describe('the built workbench', () => {
  test.each(['/', '/board', '/recordings/pull-roll.as-found?from=1&to=2', '/identify/a%20b', '/?drive=x'])(
    '%s is its first page, which is asked for each time',
    async (path) => {
      const { status, body, headers } = await get(path);
      expect([status, body]).toEqual([200, '<!doctype html><title>first page</title>']);
      expect(headers['cache-control']).toBe('no-cache');
      expect(headers['content-type']).toMatch(/^text\/html/);
      expect((await get(path, false)).status).toBe(401);
    },
  );

  test('files with the hash of their content in their name are kept by the browser', async () => {
    const { status, headers } = await get('/assets/main-1a2b.js', false);
    expect(status).toBe(200);
    expect(headers['content-type']).toMatch(/javascript/);
    expect(headers['cache-control']).toContain('immutable');
    const icon = await get('/icon.svg');
    expect([icon.status, icon.headers['cache-control']]).toEqual([200, 'no-cache']);
  });

  test('a file that is not there is no page', async () => {
    const { status, body } = await get('/assets/old-3c4d.js');
    expect(status).toBe(404);
    expect(body).not.toContain('first page');
  });

  test.each([
    '/../secret.txt',
    '/..%2fsecret.txt',
    '/%2e%2e/secret.txt',
    '/assets/..%2f..%2fsecret.txt',
    '/assets/%2e%2e/%2e%2e/secret.txt',
    '/assets/..%5c..%5csecret.txt',
    '/.vite/manifest.json',
    '/%2evite/manifest.json',
    '//secret.txt',
  ])('nothing that lies beside it comes by %s', async (path) => {
    for (const hasSession of [true, false])
      expect((await get(path, hasSession)).body).not.toContain('secret');
  });

  test.each([
    '/assets/../api/folder',
    '/assets/%2e%2e/api/folder',
    '/assets/..%2fapi/folder',
    '/login/../api/folder',
    '//api/folder',
  ])('what needs no session leads to nothing that does: %s', async (path) => {
    const { status, body } = await get(path, false);
    expect(status).toBeGreaterThanOrEqual(400);
    expect(body).not.toContain('demo line');
  });
});
