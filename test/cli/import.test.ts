import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildProgram, mainFile, tautline } from '../support/cli.js';

let folder: string;
let drive: string;
beforeAll(() => {
  buildProgram();
  folder = mkdtempSync(join(tmpdir(), 'tautline-import-'));
  drive = join(folder, 'drive.yaml');
  writeFileSync(
    drive,
    'schema: tautline/drive@1\nname: INVENTED helper\nelement: driven-idler\nrated_torque_Nm: 20\ngear_ratio: 1\nroller_diameter_m: 0.2\n',
  );
}, 180_000);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const inertia = 0.05;

/**
 * An INVENTED recording with decimal comma and without a word on what the columns are: steps between speeds on a drive of known inertia
 * and drag, 100 samples a second, computed in closed form without noise.
 */
function recording(): string {
  const lines = ['zeit;a;b'];
  let t = 0;
  let speed = 0;
  const sample = (acceleration: number): void => {
    const torque = inertia * acceleration + (speed > 0 ? 1.2 + 0.004 * speed : 0);
    lines.push(
      [t.toFixed(2), ((speed * 30) / Math.PI).toFixed(5), torque.toFixed(6)].join(';').replaceAll('.', ','),
    );
    t += 0.01;
    speed = Math.max(0, speed + acceleration * 0.01);
  };
  for (const target of [20, 40, 60, 80, 100]) {
    while (speed < target - 1e-9) sample(target % 40 === 0 ? 20 : 10);
    for (let i = 0; i < 500; i++) sample(0);
  }
  while (speed > 20) sample(-15);
  for (let i = 0; i < 500; i++) sample(0);
  return `${lines.join('\n')}\n`;
}

interface ImportDocument {
  readonly schema: string;
  readonly verdict: string;
  readonly written: { readonly data: string; readonly document: string };
  readonly source: { readonly rows: number };
  readonly dialect: object;
  readonly columns: readonly {
    readonly header: string;
    readonly role?: string;
    readonly mapped_by?: string;
    readonly unit?: string;
  }[];
  readonly firstRows: readonly (readonly (number | null)[])[];
  readonly notTaken: object;
}

describe('start-up', () => {
  it('loads the database for Parquet only, not for text', () => {
    const source = join(folder, 'small.csv');
    writeFileSync(source, 'time [s],n [rpm]\n0,1\n1,2\n');
    const to = join(folder, 'line0');
    mkdirSync(to);
    expect(tautline(['import', source, '--to', to]).code).toBe(0);
    const module = pathToFileURL(join(dirname(mainFile), '../node/store/readRecordingTable.js')).href;
    const script = `
      import { readRecordingTable } from ${JSON.stringify(module)};
      await readRecordingTable(process.argv[1]);
      console.log(process.report.getReport().sharedObjects.some((path) => path.includes('duckdb')));`;
    const loads = (path: string): string =>
      spawnSync(process.execPath, ['--input-type=module', '-e', script, path], { encoding: 'utf8' }).stdout;
    expect(loads(source)).toBe('false\n');
    expect(loads(join(to, 'recordings/small.parquet'))).toBe('true\n');
  });
});

describe('tautline import', () => {
  const statements = (): string[] => [
    ...['--channel', 'time=zeit', '--channel', 'motor-speed=a', '--channel', 'motor-torque=b'],
    ...['--unit', 'time=s', '--unit', 'motor-speed=rpm', '--unit', 'motor-torque=Nm'],
  ];

  it('keeps what was stated, so that identify needs it no more and finds the same', () => {
    const source = join(folder, 'visit.csv');
    writeFileSync(source, recording());
    const to = join(folder, 'line');
    mkdirSync(to);
    const run = tautline(['import', source, '--to', to, '--drive', drive, ...statements(), '--json']);
    expect(run.code).toBe(0);
    const document = JSON.parse(run.out) as ImportDocument;
    expect(document).toMatchObject({
      schema: 'tautline/import@1',
      verdict: 'imported',
      written: { data: 'recordings/visit.parquet', document: 'recordings/visit.yaml' },
      dialect: { separator: ';', decimal: ',' },
      notTaken: { skippedRows: 0, blankCells: 0, textCells: 0 },
    });
    expect(document.columns.map((c) => [c.role, c.mapped_by, c.unit])).toEqual([
      ['time', 'stated', 's'],
      ['motor-speed', 'stated', 'rpm'],
      ['motor-torque', 'stated', 'Nm'],
    ]);
    expect(document.firstRows.slice(0, 2).map((r) => r[0])).toEqual([0, 0.01]);
    const imported = tautline(['identify', join(to, document.written.data), '--drive', drive, '--json']);
    const direct = tautline(['identify', source, '--drive', drive, ...statements(), '--json']);
    expect(imported.code).toBe(0);
    const [a, b] = [imported, direct].map((r) => JSON.parse(r.out) as Record<string, unknown>);
    expect(a.estimates).toEqual(b.estimates);
    expect(a.dragCurve).toEqual(b.dragCurve);
    const { inertia_kgm2 } = a.estimates as { inertia_kgm2: { value: number } };
    // the recording was made with this inertia
    expect(Math.abs(inertia_kgm2.value / inertia - 1)).toBeLessThan(0.02);
  });

  it('says what was not taken, on a terminal too', () => {
    const source = join(folder, 'gaps.csv');
    writeFileSync(source, 'time [s],n [rpm],M [Nm]\n0,1,2\n1,,3\n2,Bad,4\nEnd of file\n');
    const to = join(folder, 'line2');
    mkdirSync(to);
    const json = tautline(['import', source, '--to', to, '--json']);
    expect((JSON.parse(json.out) as ImportDocument).notTaken).toEqual({
      skippedRows: 1,
      blankCells: 1,
      textCells: 1,
    });
    const { out, code } = tautline(['import', source, '--to', to]);
    expect(code).toBe(0);
    expect(out).toContain('not taken: 1 rows; no value in 1 blank cells and 1 of text');
    expect(out).toContain('Stored as recordings/gaps-2.parquet');
  });

  it('reads a text as it is told to', () => {
    const to = join(folder, 'line3');
    mkdirSync(to);
    const read = (content: Uint8Array, ...more: string[]): [unknown[], unknown[]] => {
      const source = join(folder, 'told.csv');
      writeFileSync(source, content);
      const { out } = tautline(['import', source, '--to', to, '--json', ...more]);
      const { columns, firstRows } = JSON.parse(out) as ImportDocument;
      return [columns.map((c) => c.header), [...firstRows]];
    };
    const text = Buffer.from('größe;x\nt;n\n0;1,2345\n1;2,5\n', 'latin1');
    expect(read(text, '--header-row', '1', '--encoding', 'latin-1')[0]).toEqual(['größe', 'x']);
    expect(read(text, '--header-row', '2')).toEqual([
      ['t', 'n'],
      [
        [0, 1.2345],
        [1, 2.5],
      ],
    ]);
    const bare = Buffer.from('0,1\n1,2\n');
    // two columns, or one with decimal commas
    expect(read(bare, '--header-row', 'none', '--separator', 'comma')[1]).toEqual([
      [0, 1],
      [1, 2],
    ]);
    expect(read(bare, '--header-row', 'none', '--separator', 'tab', '--decimal', 'comma')[1]).toEqual([
      [0.1],
      [1.2],
    ]);
  });
});
