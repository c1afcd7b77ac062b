import { mkdirSync, mkdtempSync, realpathSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, sep } from 'node:path';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { confinePath } from '../../../src/node/files/confinePath.js';

let base: string;
let root: string;
beforeAll(() => {
  base = mkdtempSync(join(tmpdir(), 'tautline-confine-'));
  root = join(base, 'line');
  mkdirSync(join(root, 'recordings'), { recursive: true });
  mkdirSync(join(base, 'line-two'));
  writeFileSync(join(base, 'secret'), 's');
  symlinkSync(base, join(root, 'out'));
  symlinkSync(join(base, 'line-two'), join(root, 'sibling'));
  symlinkSync(join(base, 'not there'), join(root, 'dangling'));
  symlinkSync(join(root, 'recordings'), join(root, 'inside'));
});
afterAll(() => rmSync(base, { recursive: true, force: true }));

describe('confinePath', () => {
  it.each([
    'recordings/a.csv',
    'recordings\\a.csv',
    './new/deep/file.yaml',
    'inside/b.csv',
    'Zug Ö 3.csv',
    'a..b',
    'console.csv',
  ])('accepts %j', async (path) => {
    expect(await confinePath(root, path)).toBe(join(realpathSync(root), path.replaceAll('\\', '/')));
  });

  it.each([
    '',
    '.',
    '..',
    '../line/recordings/a',
    'recordings/../../secret',
    'recordings\\..\\..\\secret',
    '/etc/passwd',
    '\\\\host\\share',
    'C:\\x',
    'c:x',
    'a\0b',
    'a\nb',
    'NUL',
    'con.csv',
    'recordings/COM1',
    'lpt9.txt',
    'a.',
    'a ',
    'a:b',
    'a?',
    'x'.repeat(256),
    'out/secret',
    'out',
    'sibling/x',
    'dangling',
    'dangling/x',
  ])('refuses %j', async (path) => {
    await expect(confinePath(root, path)).rejects.toMatchObject({ code: 'path_outside_folder' });
  });

  it('never leads out of the folder, whatever the text', async () => {
    const piece = fc.oneof(
      fc.constantFrom('..', '.', '', 'out', 'inside', 'recordings', 'a', 'C:', '\0'),
      fc.string({ maxLength: 6 }),
    );
    const path = fc
      .array(fc.tuple(piece, fc.constantFrom('/', '\\')), { maxLength: 6 })
      .map((p) => p.flat().join(''));
    await fc.assert(
      fc.asyncProperty(path, async (text) => {
        const got = await confinePath(root, text).catch((e) => {
          expect(e.code).toBe('path_outside_folder');
          return undefined;
        });
        if (got !== undefined) {
          expect(got.startsWith(realpathSync(root) + sep)).toBe(true);
          expect(got.startsWith(join(realpathSync(root), 'out') + sep)).toBe(false);
        }
      }),
      { numRuns: 400, seed: 7 },
    );
  });
});
