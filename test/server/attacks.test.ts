/**
 * Attacks on the server, one a test.
 *
 * Length: one list of what was tried, kept whole so that a missing attack shows.
 */
import { spawnSync } from 'node:child_process';
import {
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { request as httpsRequest } from 'node:https';
import { hostname, tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { hashPassword } from '../../src/server/security/password.js';
import { post, raw, startServer, type TestServer } from './support.js';

let server: TestServer;
beforeAll(async () => {
  server = await startServer({ mostUploadBytes: 100_000 });
}, 60_000);
afterAll(() => server.stop());

const bearer = (): Record<string, string> => ({ authorization: `Bearer ${server.token}` });
const codeOf = (body: string): string => (JSON.parse(body) as { error: { code: string } }).error.code;
const json = { 'content-type': 'application/json' };

describe('who asks', () => {
  test.each(['/api/folder', '/api/line', '/api/events', '/api/report', '/api/openapi.json', '/api/nothing'])(
    '%s without a session is refused',
    async (path) => {
      const { status, body } = await raw(server.port, path);
      expect([status, codeOf(body)]).toEqual([401, 'unauthorised']);
    },
  );

  test('a page without a session says what to do, and holds nothing of the folder', async () => {
    const { status, body, headers } = await raw(server.port, '/');
    expect(status).toBe(401);
    expect(headers['content-type']).toMatch(/^text\/html/);
    expect(body).not.toContain('demo line');
    expect((await raw(server.port, '/recordings/x?y=1')).status).toBe(401);
  });

  test.each(['', 'x', 'A'.repeat(43), 'Ä'])('the token "%s" is none', async (token) => {
    const asQuery = await raw(server.port, `/?token=${encodeURIComponent(token)}`);
    expect(asQuery.status).toBe(401);
    expect(asQuery.headers['set-cookie']).toBeUndefined();
    const header = { authorization: `Bearer ${encodeURIComponent(token)}` };
    expect((await raw(server.port, '/api/folder', header)).status).toBe(401);
    const cookie = { cookie: `tautline_${server.port}=${encodeURIComponent(token)}` };
    expect((await raw(server.port, '/api/folder', cookie)).status).toBe(401);
  });

  test('the printed address gives a cookie that no script and no other site can use', async () => {
    const { status, headers } = await raw(server.port, `/?token=${server.token}`);
    expect([status, headers.location]).toEqual([303, '/']);
    const [cookie] = headers['set-cookie'] ?? [];
    expect(cookie).toBe(`tautline_${server.port}=${server.token}; HttpOnly; SameSite=Strict; Path=/`);
    const session = { cookie: `other=1; ${cookie.split(';')[0]}; more=2` };
    expect((await raw(server.port, '/api/folder', session)).status).toBe(200);
    const page = await raw(server.port, '/board?drive=x', session);
    expect(page.status).toBe(200);
    expect(page.headers['content-type']).toMatch(/^text\/html/);
  });
});

describe('Host and Origin', () => {
  test.each([
    'evil.example',
    'evil.example:80',
    '127.0.0.1',
    '127.0.0.1:1',
    'localhost.evil.example',
    '',
    hostname(),
  ])('the host "%s" is refused, even with a session (DNS rebinding)', async (host) => {
    const { status, body } = await raw(server.port, '/api/folder', { ...bearer(), host });
    if (host === '') expect([400, 421]).toContain(status);
    else expect([status, codeOf(body)]).toEqual([421, 'foreign_request']);
  });

  test.each(['127.0.0.1', 'localhost', '[::1]', 'LOCALHOST'])('the own host %s is taken', async (host) => {
    const headers = { ...bearer(), host: `${host}:${server.port}` };
    expect((await raw(server.port, '/api/folder', headers)).status).toBe(200);
  });

  test.each(['http://evil.example', 'null', 'http://127.0.0.1:1', 'file://', 'http://127.0.0.1'])(
    'the origin %s is refused',
    async (origin) => {
      const { status, body } = await raw(server.port, '/api/folder', { ...bearer(), origin });
      expect([status, codeOf(body)]).toEqual([403, 'foreign_request']);
    },
  );

  test('another scheme of the same host is another origin', async () => {
    const origin = `https://127.0.0.1:${server.port}`;
    expect((await raw(server.port, '/api/folder', { ...bearer(), origin })).status).toBe(403);
  });

  test('a change by cookie needs the own origin', async () => {
    const cookie = `tautline_${server.port}=${server.token}`;
    const ask = (headers: Record<string, string>) =>
      raw(server.port, '/api/compare', { cookie, ...json, ...headers }, { method: 'POST', body: '{}' });
    expect((await ask({})).status).toBe(403);
    expect((await ask({ 'sec-fetch-site': 'cross-site' })).status).toBe(403);
    expect((await ask({ 'sec-fetch-site': 'same-site' })).status).toBe(403);
    expect((await ask({ origin: 'http://evil.example' })).status).toBe(403);
    // let through to the schema, which finds the body wanting
    expect((await ask({ 'sec-fetch-site': 'same-origin' })).status).toBe(400);
    expect((await ask({ origin: `http://127.0.0.1:${server.port}` })).status).toBe(400);
  });

  test('a form of another page, which needs no leave of ours, changes nothing', async () => {
    const cookie = `tautline_${server.port}=${server.token}`;
    const form = { cookie, 'content-type': 'text/plain', origin: 'http://evil.example' };
    const { status } = await raw(server.port, '/api/identifications', form, {
      method: 'POST',
      body: '{"recording":"pull-roll.as-found","drive":"pull-roll"}',
    });
    expect(status).toBe(403);
  });
});

describe('what a browser may do', () => {
  test('no script but the own files, no frame, no other server', async () => {
    for (const path of ['/', '/api/folder', '/nothing', '/assets/nothing.js']) {
      const { headers } = await raw(server.port, path, bearer());
      const policy = String(headers['content-security-policy']);
      const parts = new Map(policy.split(';').map((p) => [p.trim().split(' ')[0], p.trim()]));
      expect(parts.get('default-src'), path).toBe("default-src 'none'");
      expect(parts.get('script-src'), path).toBe("script-src 'self'");
      expect(parts.get('connect-src'), path).toBe("connect-src 'self'");
      expect(parts.get('frame-ancestors'), path).toBe("frame-ancestors 'none'");
      expect(policy).not.toMatch(/https?:|\*|unsafe-eval/);
      expect(headers['x-content-type-options']).toBe('nosniff');
      expect(headers['cross-origin-resource-policy']).toBe('same-origin');
      expect(headers['access-control-allow-origin']).toBeUndefined();
    }
  });

  test('no page has a script inside it: all of it comes from files of this server', async () => {
    const { body } = await raw(server.port, '/', bearer());
    expect(body).not.toMatch(/onload=|javascript:/i);
    for (const [, attributes, script] of body.matchAll(/<script([^>]*)>([\s\S]*?)<\/script>/gi)) {
      expect(script).toBe('');
      expect(attributes).toMatch(/ src="\/assets\//);
    }
  });

  test('user text in a report is never markup', async () => {
    const file = join(server.folder, 'line.yaml');
    const text = readFileSync(file, 'utf8');
    writeFileSync(file, text.replace('demo line (invented)', "'<img src=x onerror=alert(1)>'"));
    const html = await (await server.ask('/api/report')).text();
    expect(html).toContain('&lt;img src=x');
    expect(html).not.toContain('<img');
    writeFileSync(file, text);
  });
});

// names as they are sent, percent-encoded where a path could not hold them
const names: readonly string[] = [
  '..%2Fline',
  '..%2F..%2Fetc%2Fpasswd',
  '%2e%2e%2f%2e%2e%2fetc%2fpasswd',
  '..%5Cline',
  '%2Fetc%2Fpasswd',
  'C%3A%5Cx',
  'a%00b',
  'CON',
  'nul',
  'LPT1',
  'a%2Fb',
  'a.',
  'a%20',
  '.hidden',
  '%0A',
];

describe('paths', () => {
  const outside = mkdtempSync(join(tmpdir(), 'tautline-outside-'));
  beforeAll(() => {
    writeFileSync(join(outside, 'secret.yaml'), 'schema: secret\n');
    writeFileSync(join(outside, 'secret.csv'), 'time [s],n [rpm]\n1,2\n');
    symlinkSync(join(outside, 'secret.yaml'), join(server.folder, 'drives/linked.yaml'));
    symlinkSync(join(outside, 'secret.csv'), join(server.folder, 'exports/linked.csv'));
  });
  afterAll(() => rmSync(outside, { recursive: true, force: true }));

  describe.each(names)('the name %s', (name) => {
    test.each(['drives', 'products', 'identifications', 'recordings'])('is refused in %s', async (place) => {
      const { status, body } = await raw(server.port, `/api/${place}/${name}`, bearer());
      expect([status, codeOf(body)]).toEqual([400, 'path_outside_folder']);
    });

    test('is refused for a save and an upload', async () => {
      const before = readdirSync(server.folder, { recursive: true }).sort();
      const saved = await raw(
        server.port,
        `/api/drives/${name}`,
        { ...bearer(), ...json, 'if-none-match': '*' },
        {
          method: 'PUT',
          body: JSON.stringify({ text: readFileSync(join(server.folder, 'drives/winder.yaml'), 'utf8') }),
        },
      );
      expect([saved.status, codeOf(saved.body)]).toEqual([400, 'path_outside_folder']);
      const upload = { ...bearer(), 'content-type': 'application/octet-stream' };
      const sent = await raw(server.port, `/api/recordings?name=${name}`, upload, {
        method: 'POST',
        body: 'x',
      });
      expect([sent.status, codeOf(sent.body)]).toEqual([400, 'path_outside_folder']);
      expect(readdirSync(server.folder, { recursive: true }).sort()).toEqual(before);
    });
  });

  test('a link out of the folder is not followed, for reading or writing', async () => {
    expect(await server.json('/api/drives/linked', 400)).toMatchObject({
      error: { code: 'path_outside_folder' },
    });
    const { text } = await server.json<{ text: string }>('/api/drives/winder');
    const save = post({ text }, 'PUT', { 'if-match': '0'.repeat(64) });
    await server.json('/api/drives/linked', 400, save);
    await server.json('/api/recordings/linked', 400);
    const list = await server.json<{ name: string; error?: { code: string } }[]>('/api/recordings');
    expect(list.find((r) => r.name === 'linked')?.error?.code).toBe('path_outside_folder');
    expect(readFileSync(join(outside, 'secret.yaml'), 'utf8')).toBe('schema: secret\n');
  });

  test('a place that is a link out of the folder is not followed either', async () => {
    const place = join(server.folder, 'identifications');
    rmSync(place, { recursive: true, force: true });
    symlinkSync(outside, place);
    await server.json('/api/identifications/secret', 400);
    const body = post({ recording: 'pull-roll.as-found', drive: 'pull-roll', store: true });
    const { job } = await server.json<{ job: string }>('/api/identifications', 202, body);
    expect(await server.ended(job)).toMatchObject({
      state: 'failed',
      error: { code: 'path_outside_folder' },
    });
    expect(readdirSync(outside).sort()).toEqual(['secret.csv', 'secret.yaml']);
    rmSync(place);
  });

  test.each([
    '/../package.json',
    '/..%2f..%2fpackage.json',
    '/assets/..%2f..%2fpackage.json',
    '/.tautline/x',
    '/assets/%00',
  ])('no file of the machine at %s', async (path) => {
    const { body } = await raw(server.port, path, bearer());
    expect(body).not.toContain('"dependencies"');
    expect(body).not.toContain('tautline/password');
  });
});

describe('forms and sizes', () => {
  test.each<[string, string, string, string]>([
    ['no JSON', 'POST', '/api/compare', '{'],
    ['another kind', 'POST', '/api/compare', '[]'],
    ['a key too many', 'POST', '/api/compare', '{"earlier":"a","later":"b","x":1}'],
    ['a number as a name', 'POST', '/api/compare', '{"earlier":1,"later":"b"}'],
    ['a prototype', 'POST', '/api/compare', '{"earlier":"a","later":"b","__proto__":{"x":1}}'],
    ['no text', 'PUT', '/api/line', '{}'],
    [
      'a range that is none',
      'POST',
      '/api/identifications',
      '{"recording":"a","drive":"b","options":{"exclude":[[1]]}}',
    ],
    [
      'an unknown option',
      'POST',
      '/api/identifications',
      '{"recording":"a","drive":"b","options":{"path":"/etc"}}',
    ],
    ['a visit with a path', 'POST', '/api/identifications', '{"recording":"a","drive":"b","visit":"../x"}'],
    ['an unknown role', 'POST', `/api/recordings/${'0'.repeat(32)}/proposal`, '{"units":{"speed":"rpm"}}'],
  ])('%s is refused', async (_, method, path, body) => {
    const answer = await raw(server.port, path, { ...bearer(), ...json }, { method, body });
    expect([answer.status, codeOf(answer.body)]).toEqual([400, 'request_invalid']);
  });

  test.each([
    '/api/recordings/pull-roll.as-found/trace',
    '/api/recordings/pull-roll.as-found/trace?channel=time&buckets=0',
    '/api/recordings/pull-roll.as-found/trace?channel=time&buckets=1e9',
    '/api/recordings/pull-roll.as-found/trace?channel=time&from=NaN',
    '/api/recordings/pull-roll.as-found/trace?channel=time&from=2&to=1',
    '/api/recordings/pull-roll.as-found/trace?channel=time&x=1',
    '/api/board?units=furlongs',
    '/api/identifications/a/feedforward?tolerance=-1',
    '/api/jobs/..%2f',
    '/api/jobs/zzz',
  ])('%s is refused', async (path) => {
    const { status, body } = await raw(server.port, path, bearer());
    expect([status, codeOf(body)]).toEqual([400, 'request_invalid']);
  });

  test('a body, a document and an upload that are too large', async () => {
    const big = JSON.stringify({ text: 'x'.repeat(9 * 1024 * 1024) });
    const put = (body: string) =>
      server.json<{ error: { code: string } }>('/api/line', 413, {
        method: 'PUT',
        headers: { ...json, 'if-match': '0'.repeat(64) },
        body,
      });
    expect((await put(big)).error.code).toBe('request_too_large');
    expect((await put(JSON.stringify({ text: '#'.repeat(1024 * 1024 + 1) }))).error.code).toBe(
      'document_too_large',
    );
    const upload = { ...bearer(), 'content-type': 'application/octet-stream' };
    const stated = await raw(server.port, '/api/recordings?name=x.csv', upload, {
      method: 'POST',
      body: 'x'.repeat(100_001),
    });
    expect([stated.status, codeOf(stated.body)]).toEqual([413, 'request_too_large']);
    const unstated = await raw(
      server.port,
      '/api/recordings?name=x.csv',
      { ...upload, 'transfer-encoding': 'chunked' },
      { method: 'POST', body: 'x'.repeat(300_000) },
    ).catch(() => ({ status: 413, body: '{"error":{"code":"request_too_large"}}' }));
    expect([unstated.status, codeOf(unstated.body)]).toEqual([413, 'request_too_large']);
    const left = readdirSync(join(server.folder, '.tautline/uploads'));
    expect(left).toEqual([]);
  });

  test('a document that unfolds without end', async () => {
    const bomb = `a: &a [x,x,x,x,x,x,x,x,x]\n${'bcdefghi'
      .split('')
      .map((c, k) => `${c}: &${c} [${Array(9).fill(`*${'abcdefgh'[k]}`).join(',')}]\n`)
      .join('')}`;
    const save = post({ text: bomb }, 'PUT', { 'if-match': '0'.repeat(64) });
    expect(await server.json('/api/line', 413, save)).toMatchObject({
      error: { code: 'document_too_large' },
    });
  });

  test('a save without a version, and an address that is not there', async () => {
    const { text } = await server.json<{ text: string }>('/api/line');
    expect(await server.json('/api/line', 400, post({ text }, 'PUT'))).toMatchObject({
      error: { code: 'request_invalid' },
    });
    expect(await server.json('/api/nothing', 404)).toMatchObject({ error: { code: 'not_found' } });
    expect(await server.json('/api/board', 404, { method: 'DELETE' })).toMatchObject({
      error: { code: 'not_found' },
    });
  });

  test('an error says nothing of where the program or the folder lies', async () => {
    for (const path of ['/api/drives/nothing', '/api/recordings/nothing', '/api/identifications/nothing']) {
      const body = await (await server.ask(path)).text();
      expect(body).not.toContain(server.folder);
      expect(body).not.toMatch(/\bat .*\.js:\d+/);
    }
  });
});

describe('with a password, for other machines', () => {
  const password = 'a sentence of some words';
  let open: TestServer;
  beforeAll(async () => {
    open = await startServer({ host: '0.0.0.0', password: await hashPassword(password) });
  }, 60_000);
  afterAll(() => open.stop());
  const form = { 'content-type': 'application/x-www-form-urlencoded' };
  const own = (): Record<string, string> => ({ ...form, origin: `http://127.0.0.1:${open.port}` });
  const tries = (words: string, headers = own()) =>
    raw(open.port, '/login', headers, { method: 'POST', body: `password=${encodeURIComponent(words)}` });

  test('without one the server does not start', async () => {
    await expect(startServer({ host: '0.0.0.0' })).rejects.toMatchObject({ code: 'password_missing' });
    await expect(startServer({ host: '192.0.2.1' })).rejects.toMatchObject({ code: 'password_missing' });
  });

  test('an address that is not of this machine is said to be unusable', async () => {
    const options = { host: '192.0.2.1', password: await hashPassword(password) };
    await expect(startServer(options)).rejects.toMatchObject({ code: 'address_unusable' });
    await expect(startServer({ port: open.port })).rejects.toMatchObject({ code: 'address_unusable' });
  });

  test('the form is shown, the right word opens, foreign pages and hosts do not', async () => {
    const shown = await raw(open.port, '/');
    expect([shown.status, shown.body.includes('type="password"')]).toEqual([401, true]);
    expect((await tries(password, { ...form, origin: 'http://evil.example' })).status).toBe(403);
    expect((await tries(password, form)).status).toBe(403);
    expect((await raw(open.port, '/login', { host: 'evil.example' })).status).toBe(421);
    const right = await tries(password);
    expect([right.status, right.headers.location]).toEqual([303, '/']);
    const [cookie] = right.headers['set-cookie'] ?? [];
    expect(cookie).toMatch(/; HttpOnly; SameSite=Strict; Path=\/$/);
    expect(cookie).not.toContain(open.token);
    const session = { cookie: cookie.split(';')[0] };
    expect((await raw(open.port, '/api/folder', session)).status).toBe(200);
  });

  test('a wrong word does not, and after five tries in a minute nobody from there gets in', async () => {
    const before = await tries('not the password at all');
    expect([before.status, before.headers['set-cookie']]).toEqual([401, undefined]);
    const answers = [];
    for (let k = 0; k < 6; k++) answers.push((await tries(k === 5 ? password : `wrong word ${k}`)).status);
    expect(answers.at(-1)).toBe(429);
    expect(answers.filter((s) => s === 303)).toEqual([]);
    const said = await tries(password);
    expect(said.body).toContain('Too many tries');
  });
});

test('over TLS the cookie is Secure and http is another origin', async (context) => {
  const folder = mkdtempSync(join(tmpdir(), 'tautline-tls-'));
  mkdirSync(folder, { recursive: true });
  const made = spawnSync(
    'openssl',
    [
      'req',
      '-x509',
      '-newkey',
      'ec',
      '-pkeyopt',
      'ec_paramgen_curve:prime256v1',
      '-nodes',
      '-days',
      '2',
      '-subj',
      '/CN=localhost',
      '-keyout',
      'key.pem',
      '-out',
      'cert.pem',
    ],
    { cwd: folder },
  );
  if (made.status !== 0) context.skip('openssl is not here to make a certificate');
  const [cert, key] = ['cert.pem', 'key.pem'].map((n) => readFileSync(join(folder, n)));
  rmSync(folder, { recursive: true });
  const secure = await startServer({ tls: { cert, key } });
  try {
    const get = (path: string, headers: Record<string, string> = {}) =>
      new Promise<{ status?: number; cookie?: string }>((done, fail) =>
        httpsRequest(
          { host: '127.0.0.1', port: secure.port, path, rejectUnauthorized: false, headers },
          (answer) => {
            answer.resume();
            done({ status: answer.statusCode, cookie: answer.headers['set-cookie']?.[0] });
          },
        )
          .on('error', fail)
          .end(),
      );
    expect(secure.url).toMatch(/^https:/);
    expect((await get(`/?token=${secure.token}`)).cookie).toMatch(/; Secure$/);
    const headers = { authorization: `Bearer ${secure.token}`, origin: `http://127.0.0.1:${secure.port}` };
    expect((await get('/api/folder', headers)).status).toBe(403);
    headers.origin = `https://127.0.0.1:${secure.port}`;
    expect((await get('/api/folder', headers)).status).toBe(200);
  } finally {
    await secure.stop();
  }
});
