import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { clientOf } from '../../src/server/security/login.js';
import { isLoopback, isOwnOrigin, ownHosts } from '../../src/server/security/origins.js';
import { keptToken, ownFolder } from '../../src/server/security/ownFolder.js';
import { hashPassword, isPassword, readPassword, storePassword } from '../../src/server/security/password.js';
import { bearerIn, cookieIn, newToken, Sessions, sameSecret } from '../../src/server/security/session.js';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'tautline-security-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

describe('tokens', () => {
  test('have 256 bits and are never the same', () => {
    const tokens = new Set(Array.from({ length: 1000 }, newToken));
    expect(tokens.size).toBe(1000);
    for (const token of tokens) expect(Buffer.from(token, 'base64url')).toHaveLength(32);
  });

  test('one that was given for the password ends after half a day, that of the start does not', () => {
    const sessions = new Sessions(newToken());
    const given = sessions.give(0);
    const hour = 3600 * 1000;
    expect(sessions.isValid(given, 11 * hour)).toBe(true);
    expect(sessions.isValid(given, 13 * hour)).toBe(false);
    expect(sessions.isValid(sessions.token, 1000 * hour)).toBe(true);
    expect(sessions.isValid(undefined)).toBe(false);
    expect(sessions.isValid('')).toBe(false);
  });

  test.each([
    ['a', 'a', true],
    ['a', 'b', false],
    ['a', 'aa', false],
    ['', '', true],
    ['ä', 'a', false],
  ])('"%s" and "%s": same %s', (a, b, same) => expect(sameSecret(a, b)).toBe(same));

  test('are found in headers, and nothing else is', () => {
    expect(cookieIn('a=1; tautline_80=x=y ; b=2', 'tautline_80')).toBe('x=y');
    expect(cookieIn('xtautline_80=1; tautline_8=2', 'tautline_80')).toBeUndefined();
    expect(cookieIn(undefined, 'a')).toBeUndefined();
    expect(bearerIn('Bearer abc_-9')).toBe('abc_-9');
    expect(bearerIn('Basic abc')).toBeUndefined();
    expect(bearerIn('Bearer a b')).toBeUndefined();
  });

  test('of a killed server is taken up within a day, and not after a proper end or when it was tampered with', async () => {
    const line = mkdtempSync(join(folder, 'line-'));
    const first = await keptToken(folder, line);
    const [name] = readdirSync(join(folder, 'sessions'));
    expect((await keptToken(folder, line)).token).toBe(first.token);
    expect((await keptToken(folder, folder)).token).not.toBe(first.token);
    const path = join(folder, 'sessions', name);
    for (const text of [
      JSON.stringify({ token: first.token, made: Date.now() - 25 * 3600 * 1000 }),
      JSON.stringify({ token: 'short', made: Date.now() }),
      JSON.stringify({ token: 7, made: Date.now() }),
      '{',
    ]) {
      writeFileSync(path, text);
      expect(['short', first.token]).not.toContain((await keptToken(folder, line)).token);
    }
    const last = await keptToken(folder, line);
    await last.forget();
    expect((await keptToken(folder, line)).token).not.toBe(last.token);
  });

  test('lie in the folder of the account', () => {
    if (process.platform === 'win32') expect(ownFolder({ APPDATA: 'C:\\a' })).toBe('C:\\a\\tautline');
    else {
      expect(ownFolder({ XDG_CONFIG_HOME: '/a' })).toBe('/a/tautline');
      expect(ownFolder({})).toMatch(/\.config\/tautline$/);
    }
  });
});

describe('passwords', () => {
  test('are known by their scrypt key, in every form of the same letters', async () => {
    const record = await hashPassword('grün wie die Wiese');
    expect(await isPassword(record, 'grün wie die Wiese'.normalize('NFD'))).toBe(true);
    expect(await isPassword(record, 'grun wie die Wiese')).toBe(false);
    expect(await isPassword(record, '')).toBe(false);
    expect(await isPassword(record, 'x'.repeat(1e6))).toBe(false);
    expect(JSON.stringify(record)).not.toContain('Wiese');
    expect((await hashPassword('grün wie die Wiese')).key).not.toBe(record.key);
  });

  // 2^14 is the cost that scrypt was published with for interactive use, from memory; ours is twice that.
  test('cost a guesser at least what scrypt was published with', async () => {
    const { cost, blockSize } = await hashPassword('long enough for this');
    expect(cost * blockSize).toBeGreaterThanOrEqual(2 ** 14 * 8);
  });

  test.each(['', 'eleven char', 'x'.repeat(201)])('"%s" is refused', async (password) => {
    await expect(storePassword(folder, password)).rejects.toMatchObject({ code: 'password_unfit' });
    expect(await readPassword(folder)).toBeUndefined();
  });

  test('are kept, and a file that is damaged is no password', async () => {
    const path = await storePassword(folder, 'long enough for this');
    const record = await readPassword(folder);
    expect(record && (await isPassword(record, 'long enough for this'))).toBe(true);
    const text = readFileSync(path, 'utf8');
    for (const damaged of [
      '',
      '{',
      'null',
      text.replace('@1', '@2'),
      text.replace(/"key":"[^"]*"/, '"key":""'),
    ]) {
      writeFileSync(path, damaged);
      expect(await readPassword(folder)).toBeUndefined();
    }
  });
});

describe('addresses', () => {
  test.each([
    ['127.0.0.1', true],
    ['127.8.9.1', true],
    ['localhost', true],
    ['::1', true],
    ['0.0.0.0', false],
    ['::', false],
    ['192.168.1.2', false],
    ['127.0.0.1.evil.example', false],
    ['localhost.evil.example', false],
  ])('%s is loopback: %s', (host, expected) => expect(isLoopback(host)).toBe(expected));

  test('own hosts are loopback and the stated one, with the port', () => {
    expect(ownHosts('192.0.2.7', 80)).toEqual(
      new Set(['127.0.0.1:80', 'localhost:80', '[::1]:80', '192.0.2.7:80']),
    );
    expect(ownHosts('0.0.0.0', 80).has('0.0.0.0:80')).toBe(false);
  });

  test('an origin is scheme, host and port', () => {
    expect(isOwnOrigin('http://a:80', 'a:80', 'http')).toBe(true);
    expect(isOwnOrigin('http://a', 'a:80', 'http')).toBe(true);
    expect(isOwnOrigin('https://a', 'a:443', 'https')).toBe(true);
    expect(isOwnOrigin('http://a', 'a:8080', 'http')).toBe(false);
    expect(isOwnOrigin('http://a:80.evil.example', 'a:80', 'http')).toBe(false);
  });

  test('tries are counted by address, those of the long kind by network', () => {
    expect(clientOf('192.0.2.7')).toBe('192.0.2.7');
    expect(clientOf('::ffff:192.0.2.7')).toBe('::ffff:192.0.2.7');
    expect(clientOf('2001:db8:1:2:3:4:5:6')).toBe(clientOf('2001:db8:1:2:9:9:9:9'));
    expect(clientOf('2001:db8:1:2::1')).not.toBe(clientOf('2001:db8:1:3::1'));
  });
});
