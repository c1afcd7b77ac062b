import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import {
  chmodSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { atomicWrite, publishNew } from '../../../src/node/files/atomicWrite.js';
import { compileInto } from '../../support/compiled.js';

let base: string;
let compiled: string;
beforeAll(() => {
  base = mkdtempSync(join(tmpdir(), 'tautline-files-'));
  mkdirSync(join(base, 'js'));
  compiled = compileInto(join(base, 'js'), 'src/node/files/atomicWrite.ts');
});
afterAll(() => rmSync(base, { recursive: true, force: true }));

const folder = (name: string): string => {
  const path = join(base, name);
  mkdirSync(path);
  return path;
};

/** A document that proves itself whole: a number, then that number again and again. */
const document = (n: number): string => `${`${n}\n`.repeat(60_000)}end ${n}\n`;
const isWhole = (text: string): boolean => text === document(Number.parseInt(text, 10));

describe('atomicWrite', () => {
  it('writes and replaces, and leaves nothing else behind', async () => {
    const at = folder('plain');
    await atomicWrite(join(at, 'a.json'), 'one');
    await atomicWrite(join(at, 'a.json'), new TextEncoder().encode('two'));
    expect(readFileSync(join(at, 'a.json'), 'utf8')).toBe('two');
    expect(readdirSync(at)).toEqual(['a.json']);
  });

  it('leaves a whole document behind at any of 24 moments of being killed', async () => {
    const at = folder('killed');
    const path = join(at, 'doc.txt');
    writeFileSync(path, document(0));
    const script = `
      import { atomicWrite } from ${JSON.stringify(compiled)};
      console.log('ready');
      const line = (n) => (n + '\\n').repeat(60000) + 'end ' + n + '\\n';
      for (let n = Number(process.argv[1]); ; n++) await atomicWrite(process.argv[2], line(n));`;
    const seen = new Set<string>();
    let interrupted = 0;
    for (let kill = 0; kill < 24; kill++) {
      const child = spawn(process.execPath, [
        '--input-type=module',
        '-e',
        script,
        String(1 + kill * 10_000),
        path,
      ]);
      await once(child.stdout, 'data');
      await new Promise((r) => setTimeout(r, 10 + 3.7 * kill + 5 * Math.random()));
      child.kill('SIGKILL');
      await once(child, 'exit');
      const text = readFileSync(path, 'utf8');
      expect(isWhole(text)).toBe(true);
      seen.add(text.slice(0, 12));
      if (readdirSync(at).some((f) => f.endsWith('.tmp'))) interrupted++;
    }
    // the kills did hit writers at work, some of them within a write
    expect(seen.size).toBeGreaterThan(12);
    expect(interrupted).toBeGreaterThan(2);
    await atomicWrite(path, document(7));
    expect(readdirSync(at)).toEqual(['doc.txt']);
  });

  it('leaves temporary files of living writers and of other machines alone', async () => {
    const at = folder('others');
    const names = [`.x.otherhost-1-0123456789ab.tmp`, '.hidden.tmp', 'x.tmp'];
    for (const n of names) writeFileSync(join(at, n), '');
    await atomicWrite(join(at, 'a'), '1');
    expect(readdirSync(at).sort()).toEqual([...names, 'a'].sort());
  });

  it('reports a full disk and keeps the old content (file size limit of a child process)', () => {
    const at = folder('full');
    const path = join(at, 'doc.txt');
    writeFileSync(path, 'old');
    // SIGXFSZ is ignored by Node, so that the write fails with EFBIG as it would with ENOSPC
    const script = `
      import { atomicWrite } from ${JSON.stringify(compiled)};
      try { await atomicWrite(process.argv[1], 'x'.repeat(1 << 20)); console.log('written'); }
      catch (e) { console.log(e.code, '|', e.next); }`;
    const run = spawnSync('sh', [
      '-c',
      `ulimit -f 64; exec "$0" --input-type=module -e "$1" "$2"`,
      process.execPath,
      script,
      path,
    ]);
    expect(run.stdout.toString()).toMatch(/^disk_full \| .*free some space/);
    expect(readFileSync(path, 'utf8')).toBe('old');
    expect(readdirSync(at)).toEqual(['doc.txt']);
  });

  it.skipIf(process.platform !== 'linux' || process.getuid?.() !== 0)(
    'reports a full disk and keeps the old content (needs root to mount a small disk)',
    async (context) => {
      const at = folder('small');
      if (spawnSync('mount', ['-t', 'tmpfs', '-o', 'size=64k', 'tmpfs', at]).status !== 0)
        context.skip('mounting is not allowed here');
      try {
        const path = join(at, 'doc.txt');
        await atomicWrite(path, 'old');
        await expect(atomicWrite(path, 'x'.repeat(1 << 20))).rejects.toMatchObject({ code: 'disk_full' });
        expect(readFileSync(path, 'utf8')).toBe('old');
        expect(readdirSync(at)).toEqual(['doc.txt']);
        // and there is room again
        await atomicWrite(path, 'new');
        expect(readFileSync(path, 'utf8')).toBe('new');
      } finally {
        spawnSync('umount', [at]);
      }
    },
  );

  it('reports a folder that is not there', async () => {
    await expect(atomicWrite(join(base, 'nowhere', 'a'), '1')).rejects.toMatchObject({
      code: 'folder_not_writable',
    });
  });

  it.skipIf(process.getuid?.() === 0)(
    'reports a folder that may not be written (root may always: skipped)',
    async () => {
      const at = folder('readonly');
      chmodSync(at, 0o555);
      await expect(atomicWrite(join(at, 'a'), '1')).rejects.toMatchObject({ code: 'folder_not_writable' });
    },
  );
});

describe('publishNew', () => {
  it('takes a free name and never replaces a file', async () => {
    const at = folder('publish');
    const temporary = join(at, 't');
    writeFileSync(temporary, 'new');
    writeFileSync(join(at, 'taken'), 'old');
    expect(await publishNew(temporary, join(at, 'taken'))).toBe(false);
    expect(readFileSync(join(at, 'taken'), 'utf8')).toBe('old');
    expect(await publishNew(temporary, join(at, 'free'))).toBe(true);
    expect(readFileSync(join(at, 'free'), 'utf8')).toBe('new');
    expect(existsSync(temporary)).toBe(false);
  });
});
