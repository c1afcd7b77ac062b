import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { recordingSchema } from '../../../src/engine/project/recording.js';
import { readYamlDocument } from '../../../src/node/documents/yamlDocument.js';
import { lockFolder, lockName } from '../../../src/node/files/lockFolder.js';
import { importRecording } from '../../../src/node/store/importRecording.js';
import { columnNames } from '../../../src/node/store/parquetWriter.js';
import { readRecordingTable } from '../../../src/node/store/readRecordingTable.js';
import { readTextTable } from '../../../src/node/text/readTextTable.js';
import { compileInto } from '../../support/compiled.js';

const imported = '2026-03-12';
let base: string;
beforeAll(() => {
  base = mkdtempSync(join(tmpdir(), 'tautline-store-'));
});
afterAll(() => rmSync(base, { recursive: true, force: true }));

const folder = (name: string): string => {
  const path = join(base, name);
  mkdirSync(path);
  return path;
};
const file = (name: string, text: string): string => {
  const path = join(base, name);
  writeFileSync(path, text);
  return path;
};

/** An INVENTED export with everything that is awkward: decimal comma, title, units in a row, dates, gaps, words, yes and no. */
const awkward = (n: number): string =>
  `Drive trace;INVENTED\n\nZeit;Drehzahl;drehzahl;Moment;läuft;Bemerkung\n;1/min;1/min;Nm;;\n${Array.from(
    { length: n },
    (_, i) =>
      `12.03.2026 23:59:${String(50 + Math.floor(i / 100)).padStart(2, '0')},${String(i % 100).padStart(2, '0')};${(
        i / 7
      )
        .toFixed(4)
        .replace(
          '.',
          ',',
        )};${i};${i % 50 === 3 ? 'Bad' : i % 40 === 7 ? '' : (i / 3).toFixed(3).replace('.', ',')};${i % 2 ? 'on' : 'off'};ok`,
  ).join('\n')}\n`;

describe('importRecording', () => {
  it('keeps every value, unit, kind and count: what comes back equals the text', async () => {
    const to = folder('same');
    const source = file('awkward.csv', awkward(900));
    const result = await importRecording(source, to, { imported });
    expect(result.written).toEqual({
      data: 'recordings/awkward.parquet',
      document: 'recordings/awkward.yaml',
    });
    const text = await readTextTable(source);
    const back = await readRecordingTable(join(to, 'recordings/awkward.parquet'));
    expect(back.rows).toBe(900);
    const plain = (t: typeof text): unknown => t.columns.map((c) => ({ ...c, values: Array.from(c.values) }));
    expect(plain(back)).toEqual(plain(text));
    expect(text.columns.map((c) => c.kind)).toEqual(expect.arrayContaining(['datetime', 'boolean', 'text']));
    expect(back.findings).toEqual(text.findings);
    expect(readdirSync(to)).toEqual(['recordings']);
    expect(readdirSync(join(to, 'recordings')).sort()).toEqual(['awkward.parquet', 'awkward.yaml']);
  });

  it('keeps the order of rows over several parts', async () => {
    const to = folder('parts [1] * of "2"');
    // wide, so that few rows fill a part
    const width = 100;
    const rows = 90_000;
    const header = ['time [s]', ...Array.from({ length: width - 1 }, (_, c) => `x${c} [rpm]`)].join(',');
    const tail = ',1'.repeat(width - 1);
    const lines = Array.from({ length: rows }, (_, i) => `${i}${tail}`);
    const source = file('wide.csv', `${header}\n${lines.join('\n')}\n`);
    await importRecording(source, to, { imported });
    const { columns } = await readRecordingTable(join(to, 'recordings/wide.parquet'));
    expect(columns[0].values).toEqual(Float64Array.from({ length: rows }, (_, i) => i));
    expect(columns).toHaveLength(width);
  });

  it('writes a document that fits its schema, with who said what', async () => {
    const to = folder('document');
    const source = file('stated.csv', 'a,b [rpm],c\n0,1,2\n1,2,3\n2,3,4\n');
    const map = {
      channels: { time: 'a', 'motor-torque': 'c' },
      units: { time: 's', 'motor-torque': 'Nm' },
      sampleInterval: undefined,
    } as const;
    await importRecording(source, to, { imported, map, notes: 'after: "the" repair' });
    const document = await readYamlDocument(join(to, 'recordings/stated.yaml'), recordingSchema);
    expect(document).toMatchObject({
      schema: 'tautline/recording@1',
      data: 'stated.parquet',
      imported,
      // sha256sum of the same bytes
      source: {
        file: 'stated.csv',
        rows: 3,
        sha256: spawnSync('sha256sum', [source], { encoding: 'utf8' }).stdout.slice(0, 64),
      },
      notes: 'after: "the" repair',
      columns: [
        { header: 'a', unit: 's', unit_by: 'stated', role: 'time', mapped_by: 'stated' },
        { header: 'b [rpm]', unit: 'rpm', role: 'motor-speed', mapped_by: 'proposed' },
        { header: 'c', unit: 'Nm', unit_by: 'stated', role: 'motor-torque', mapped_by: 'stated' },
      ],
    });
    const back = await readRecordingTable(join(to, 'recordings/stated.parquet'));
    expect(back.stated?.channels).toEqual({ time: 'a', 'motor-torque': 'c' });
    expect(back.columns.map((c) => c.unit)).toEqual(['s', 'rpm', 'Nm']);
  });

  it('never overwrites', async () => {
    const to = folder('again');
    const source = file('x.csv', 'time [s],n [rpm]\n0,1\n1,2\n');
    for (let k = 0; k < 3; k++) await importRecording(source, to, { imported });
    mkdirSync(join(to, 'recordings/y.yaml'));
    const { written } = await importRecording(source, to, { imported, name: 'y' });
    expect(written?.data).toBe('recordings/y-2.parquet');
    expect(readdirSync(join(to, 'recordings')).sort()).toEqual(
      ['x', 'x-2', 'x-3', 'y-2']
        .flatMap((n) => [`${n}.parquet`, `${n}.yaml`])
        .concat('y.yaml')
        .sort(),
    );
  });

  it('writes nothing when there is no row, when a statement is wrong, and when the folder is locked', async () => {
    const to = folder('nothing');
    const empty = await importRecording(file('empty.csv', ''), to, { imported });
    expect(empty.written).toBeUndefined();
    expect(empty.findings.map((f) => f.code)).toEqual(['empty_file']);
    const source = file('z.csv', 'time [s],n [rpm]\n0,1\n1,2\n');
    const wrong = importRecording(source, to, { imported, map: { channels: { time: 'no such' } } });
    await expect(wrong).rejects.toMatchObject({ code: 'column_unknown' });
    expect(readdirSync(to)).toEqual([]);
    const lock = await lockFolder(to);
    await expect(importRecording(source, to, { imported })).rejects.toMatchObject({ code: 'folder_locked' });
    await lock.release();
    expect(readdirSync(to)).toEqual([]);
  });

  it('locks the folder only to put the result there, so that others may write while a long source is read', async () => {
    const to = folder('unlocked');
    const source = file('long.csv', `time [s],n [rpm]\n${'0,1\n'.repeat(400_000)}`);
    let free: boolean | undefined;
    const onProgress = (): void => {
      free ??= !existsSync(join(to, lockName));
    };
    await importRecording(source, to, { imported, text: { onProgress } });
    expect(free).toBe(true);
    expect(readdirSync(to)).toEqual(['recordings']);
  });

  it('does not follow a link out of the folder', async () => {
    const to = folder('linked');
    symlinkSync(base, join(to, 'recordings'));
    const source = file('l.csv', 'time [s],n [rpm]\n0,1\n1,2\n');
    await expect(importRecording(source, to, { imported })).rejects.toMatchObject({
      code: 'path_outside_folder',
    });
  });

  it('takes any file name and any header', async () => {
    const to = folder('names');
    const source = file(
      'a[1]*?"\';--.CSV',
      `time [s],"n"";DROP TABLE waiting;--' [rpm]",N,n\n0,1,2,3\n1,2,3,4\n`,
    );
    const { written } = await importRecording(source, to, { imported });
    const back = await readRecordingTable(join(to, String(written?.data)));
    expect(back.columns.map((c) => c.header)).toEqual(
      (await readTextTable(source)).columns.map((c) => c.header),
    );
    expect(back.columns[3].values).toEqual(Float64Array.of(3, 4));
  });

  it('takes names of up to 180 bytes, and shortens that of a file', async () => {
    const to = folder('named');
    const text = 'time [s],n [rpm]\n0,1\n1,2\n';
    const source = file(`${'巻'.repeat(80)}.csv`, text);
    const { written } = await importRecording(source, to, { imported });
    expect(written?.data).toBe(`recordings/${'巻'.repeat(60)}.parquet`);
    const own = await importRecording(source, to, { imported, name: 'x'.repeat(180) });
    expect(own.written?.data).toBe(`recordings/${'x'.repeat(180)}.parquet`);
    await expect(importRecording(source, to, { imported, name: 'x'.repeat(181) })).rejects.toMatchObject({
      code: 'path_outside_folder',
    });
  });

  it('leaves whole recordings or none behind, whenever it is killed', async () => {
    const to = folder('killed');
    mkdirSync(join(base, 'js'));
    const compiled = compileInto(join(base, 'js'), 'src/node/store/importRecording.ts');
    const rows = Array.from({ length: 60_000 }, (_, i) => `${i / 1000},${i},${2 * i}`).join('\n');
    const source = file('k.csv', `time [s],n [rpm],M [Nm]\n${rows}\n`);
    const script = `
      import { importRecording } from ${JSON.stringify(compiled)};
      console.log('ready');
      for (;;) await importRecording(process.argv[1], process.argv[2], { imported: '2026-03-12' });`;
    const from = performance.now();
    await importRecording(source, folder('timed'), { imported });
    // from before the first is whole to well after, however slow the machine
    const took = performance.now() - from;
    let interrupted = 0;
    for (let kill = 0; kill < 20; kill++) {
      const child = spawn(process.execPath, ['--input-type=module', '-e', script, source, to]);
      await once(child.stdout, 'data');
      await new Promise((r) => setTimeout(r, 150 + 0.15 * took * kill));
      child.kill('SIGKILL');
      await once(child, 'exit');
      if (readdirSync(to).some((f) => f.endsWith('.tmp'))) interrupted++;
    }
    expect(interrupted).toBeGreaterThan(5);
    const names = readdirSync(join(to, 'recordings'));
    const whole = names.filter((n) => n.endsWith('.parquet'));
    expect(whole.length).toBeGreaterThan(0);
    for (const name of whole) {
      const { rows: n, columns } = await readRecordingTable(join(to, 'recordings', name));
      expect(n).toBe(60_000);
      expect(columns[2].values[59_999]).toBe(119_998);
      expect(names).toContain(name.replace('.parquet', '.yaml'));
    }
    // the next import clears away what the killed ones left
    await importRecording(source, to, { imported });
    expect(readdirSync(to)).toEqual(['recordings']);
  }, 120_000);

  const mounted = process.platform === 'linux' && process.getuid?.() === 0;
  it.skipIf(!mounted)(
    'reports a full disk and writes nothing (needs root to mount a small disk)',
    async (context) => {
      const to = folder('full');
      if (spawnSync('mount', ['-t', 'tmpfs', '-o', 'size=400k', 'tmpfs', to]).status !== 0)
        context.skip('mounting is not allowed here');
      try {
        let state = 1;
        const noise = (): number => (state = (Math.imul(state, 1664525) + 1013904223) >>> 0);
        const rows = Array.from({ length: 60_000 }, (_, i) => `${i},${noise()},${noise()}`).join('\n');
        const source = file('f.csv', `time [s],n [rpm],M [Nm]\n${rows}\n`);
        await expect(importRecording(source, to, { imported })).rejects.toMatchObject({ code: 'disk_full' });
        expect(readdirSync(to)).toEqual([]);
      } finally {
        spawnSync('umount', [to]);
      }
    },
  );
});

describe('columnNames', () => {
  it('tells headers apart that differ in capitals only', () => {
    expect(columnNames(['n', 'N', 'n (2)', 'M'])).toEqual(['n', 'N (3)', 'n (2)', 'M']);
  });
});

it('the document is readable by a person', async () => {
  const to = folder('person');
  await importRecording(file('p.csv', 'time [s],n [rpm]\n0,1\n1,2\n'), to, { imported });
  expect(readFileSync(join(to, 'recordings/p.yaml'), 'utf8')).toMatch(
    /^# .*\nschema: tautline\/recording@1\n/,
  );
});
