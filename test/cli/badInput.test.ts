import { spawnSync } from 'node:child_process';
import {
  appendFileSync,
  chmodSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readlinkSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type ErrorCode, errorCodes } from '../../src/engine/errors.js';
import { type FindingCode, findingCodes } from '../../src/engine/findings.js';
import { buildProgram, type Run, tautline, tautlineDuring } from '../support/cli.js';

let folder: string;
let drive: string;

beforeAll(() => {
  buildProgram();
  folder = mkdtempSync(join(tmpdir(), 'tautline-bad-'));
  drive = file('drive.yaml', driveText());
}, 180_000);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function file(name: string, content: string | Uint8Array): string {
  const path = join(folder, name);
  writeFileSync(path, content);
  return path;
}

const driveText = (more = ''): string => `schema: tautline/drive@1
name: INVENTED helper
element: driven-idler
rated_torque_Nm: 15.5
gear_ratio: 2.5
roller_diameter_m: 0.178
max_motor_speed_rad_per_s: 152
${more}`;

const header = 'time [s],motor speed [rpm],torque [Nm]';

/** An INVENTED table: a slow ramp, 100 samples a second. */
const rows = (n: number, row = (i: number): string => `${i / 100},${i},${1 + i / 1000}`): string =>
  `${header}\n${Array.from({ length: n }, (_, i) => row(i)).join('\n')}\n`;

const isRecord = (x: unknown): x is Record<string, unknown> =>
  typeof x === 'object' && x !== null && !Array.isArray(x);

/** What every failing command owes: the promised exit code, one JSON document on stdout, no stack trace anywhere. */
function checkPromises(run: Run): Record<string, unknown> {
  expect([1, 2]).toContain(run.code);
  expect(`${run.out}${run.err}`).not.toMatch(/^ {4}at /m);
  const document: unknown = JSON.parse(run.out);
  if (!isRecord(document)) throw new Error('stdout is no JSON object');
  return document;
}

/** Runs a command that must end with a coded error (exit code by the code's class). */
function refusedWithError(args: readonly string[], code: ErrorCode): { message: string; next: string } {
  const run = tautline([...args, '--json']);
  const { schema, error } = checkPromises(run);
  expect(schema).toBe('tautline/error@1');
  expect(error).toMatchObject({ code, message: expect.any(String), next: expect.any(String) });
  expect(run.code).toBe(errorCodes[code]);
  expect(run.err).toContain(`error (${code})`);
  const { message, next } = error as { message: string; next: string };
  expect(message.length).toBeGreaterThan(10);
  expect(next.length).toBeGreaterThan(5);
  return { message, next };
}

/** Runs a command that the data refuse: exit code 1 and the finding with its next step. */
function refusedByData(args: readonly string[], code: FindingCode): Record<string, unknown>[] {
  const run = tautline([...args, '--json']);
  const { findings } = checkPromises(run);
  expect(run.code).toBe(1);
  const list = findings as Record<string, unknown>[];
  for (const f of list) {
    expect(findingCodes).toContain(f.code);
    expect(String(f.next).length).toBeGreaterThan(5);
  }
  expect(list.filter((f) => f.severity === 'refuse').map((f) => f.code)).toContain(code);
  return list;
}

/** Paths that a process has open; a process that has ended has none. */
function openFiles(pid: number): string[] {
  return readdirSync(`/proc/${pid}/fd`).flatMap((fd) => {
    try {
      return [readlinkSync(`/proc/${pid}/fd/${fd}`)];
    } catch {
      return [];
    }
  });
}

const identify = (recording: string, ...more: string[]): string[] => [
  'identify',
  recording,
  '--drive',
  drive,
  ...more,
];

describe('identify: bad recordings', () => {
  it('an empty file', () => refusedByData(identify(file('empty.csv', '')), 'empty_file'));

  it('nothing but a header', () => refusedByData(identify(file('header.csv', `${header}\n`)), 'no_rows'));

  it('two rows', () => refusedByData(identify(file('two.csv', rows(2))), 'too_short'));

  it('a column without a number', () => {
    const path = file(
      'nan.csv',
      rows(200, (i) => `${i / 100},${i},NaN`),
    );
    refusedByData(identify(path, '--channel', 'motor-torque=torque [Nm]'), 'nan_column');
  });

  it('time that runs backwards, with the row', () => {
    const text = rows(200, (i) => `${(i === 120 ? 5 : i) / 100},${i},1`);
    const found = refusedByData(identify(file('backwards.csv', text)), 'time_backwards');
    expect(found.find((f) => f.code === 'time_backwards')?.where).toMatchObject({ row: 121 });
  });

  it('a recording without torque and without a coast-down', () => {
    const text = rows(200).replace('torque [Nm]', 'colour of the drum');
    const found = refusedByData(identify(file('missing.csv', text)), 'no_designed_test');
    expect(JSON.stringify(found)).toContain('no torque');
  });

  it('a recording without time', () => {
    const text = rows(200).replace('time [s]', 'number of the drum');
    const found = refusedByData(identify(file('untimed.csv', text)), 'role_missing');
    expect(JSON.stringify(found)).toContain('--sample-interval');
  });

  it('a column without unit', () => {
    const text = rows(200).replace('torque [Nm]', 'torque');
    const found = refusedByData(identify(file('unitless.csv', text)), 'units_missing');
    expect(JSON.stringify(found)).toContain('--unit motor-torque=UNIT');
  });

  it('a unit that nobody knows, in the file', () => {
    const text = rows(200).replace('[Nm]', '[wobbles]');
    const found = refusedByData(identify(file('wobbles.csv', text)), 'units_missing');
    expect(JSON.stringify(found)).toContain('wobbles');
  });

  it('headers that stand twice: the second is renamed, and two torques are not drawn by lot', () => {
    const text = rows(200, (i) => `${i / 100},${i},1,2`).replace('torque [Nm]', 'torque [Nm],torque [Nm]');
    const found = refusedByData(identify(file('twice.csv', text)), 'role_ambiguous');
    expect(found.map((f) => f.code)).toContain('duplicate_headers');
  });

  it('a file with zero bytes in it', () => {
    const bytes = Uint8Array.from({ length: 5000 }, (_, i) => (i * 7919) % 256);
    refusedWithError(identify(file('binary.csv', bytes)), 'file_not_text');
  });

  it('a line of two million characters', () => {
    const text = `${rows(100)}${'1,'.repeat(1_000_000)}\n`;
    refusedWithError(identify(file('long.csv', text)), 'line_too_long');
  });

  it('a file that is not there, and a folder', () => {
    refusedWithError(identify(join(folder, 'nowhere.csv')), 'file_not_found');
    refusedWithError(identify(folder), 'file_not_found');
  });

  const linux = process.platform === 'linux';

  it.skipIf(!linux).each([
    ['vanishes', (path: string) => rmSync(path)],
    ['grows', (path: string) => appendFileSync(path, '1,2,3\n')],
  ])('a file that %s while it is read (needs /proc)', async (what, change) => {
    const path = file(`${what}.csv`, rows(2_000_000));
    const run = await tautlineDuring([...identify(path), '--json'], async (pid) => {
      // Once the program has had the file open for a while (the look at its first bytes is over by then), hold it there.
      const pause = (ms: number): Promise<void> => new Promise((done) => setTimeout(done, ms));
      for (let held = 0; held < 5; held = openFiles(pid).includes(path) ? held + 1 : 0) await pause(2);
      process.kill(pid, 'SIGSTOP');
      change(path);
      process.kill(pid, 'SIGCONT');
    });
    expect(checkPromises(run).error).toMatchObject({ code: 'file_changed' });
    expect(run.code).toBe(2);
  });

  it('the first bytes of a Parquet file and nothing else', () =>
    refusedWithError(identify(file('cut.parquet', 'PAR1 and no more')), 'file_unreadable'));
});

describe('identify: wrong statements', () => {
  it('a unit that nobody knows, stated', () => {
    const { next } = refusedWithError(
      identify(file('unit.csv', rows(200)), '--unit', 'motor-torque=wobbles'),
      'unit_unknown',
    );
    expect(next).toContain('N·m');
  });

  it('a column that is not there', () => {
    const args = identify(file('column.csv', rows(200)), '--channel', 'motor-torque=Drehmoment');
    expect(refusedWithError(args, 'column_unknown').message).toContain('torque [Nm]');
  });

  it('a role, a separator, a header line and an option that do not exist', () => {
    const path = file('usage.csv', rows(200));
    expect(refusedWithError(identify(path, '--channel', 'colour=a'), 'usage').message).toContain(
      'motor-torque',
    );
    refusedWithError(identify(path, '--separator', 'x'), 'usage');
    refusedWithError(identify(path, '--separator', 'constructor'), 'usage');
    refusedWithError(identify(path, '--header-row', '0'), 'usage');
    refusedWithError(identify(path, '--sample-interval', '-1'), 'usage');
    refusedWithError(identify(path, '--chanel', 'time=a'), 'usage');
    refusedWithError(['identify', path], 'usage');
    refusedWithError(['identfy', path], 'usage');
  });

  it('a separator that the file does not have', () =>
    refusedByData(identify(file('comma.csv', rows(200)), '--separator', 'tab'), 'no_rows'));
});

describe('identify: bad drive files', () => {
  const withDrive = (name: string, text: string): string[] => [
    'identify',
    file('good.csv', rows(200)),
    '--drive',
    file(name, text),
  ];

  it('an alias bomb', () => {
    const lines = ['a0: &a0 [x, x, x, x, x, x, x, x, x, x]'];
    for (let i = 1; i < 12; i++)
      lines.push(
        `a${i}: &a${i} [${Array(10)
          .fill(`*a${i - 1}`)
          .join(', ')}]`,
      );
    const started = Date.now();
    refusedWithError(withDrive('bomb.yaml', `${driveText()}${lines.join('\n')}\n`), 'document_too_large');
    expect(Date.now() - started).toBeLessThan(20_000);
  });

  it('a key that does not exist: the nearest one is named, with the line', () => {
    const run = refusedWithError(
      withDrive('key.yaml', driveText('rated_torqe_Nm: 3\n')),
      'document_unknown_key',
    );
    expect(run.message).toContain('rated_torqe_Nm');
    expect(run.next).toContain('use rated_torque_Nm');
  });

  it('a value out of range, a wrong version, broken YAML, an empty file, a missing one', () => {
    refusedWithError(withDrive('ratio.yaml', driveText().replace('2.5', '-2.5')), 'document_schema');
    refusedWithError(withDrive('version.yaml', driveText().replace('@1', '@9')), 'document_version');
    refusedWithError(withDrive('broken.yaml', `${driveText()}web: {width_m: 1\n`), 'document_syntax');
    refusedWithError(withDrive('nothing.yaml', ''), 'document_schema');
    refusedWithError(
      ['identify', file('good.csv', rows(200)), '--drive', join(folder, 'none.yaml')],
      'file_not_found',
    );
  });

  it('a drive file that is a recording', () => {
    const big = file('big.yaml', `${header}\n${'1,2,3\n'.repeat(400_000)}`);
    refusedWithError(['identify', file('good.csv', rows(200)), '--drive', big], 'document_too_large');
  });
});

describe('import: bad input', () => {
  const lineFolder = (name: string): string => {
    const path = join(folder, name);
    mkdirSync(path);
    return path;
  };

  it('files without a row, refused by the data, and nothing is written', () => {
    const to = lineFolder('line1');
    refusedByData(['import', file('empty2.csv', ''), '--to', to], 'empty_file');
    refusedByData(['import', file('header2.csv', `${header}\n`), '--to', to], 'no_rows');
    expect(readdirSync(to)).toEqual([]);
  });

  it('a name that leads out of the folder', () => {
    const to = lineFolder('line2');
    const path = file('good2.csv', rows(50));
    for (const name of ['../out', '/out', 'a/../../out', 'NUL', 'a\\..\\..\\out'])
      refusedWithError(['import', path, '--to', to, '--name', name], 'path_outside_folder');
  });

  it('a folder that is not there, and one that is a file', () => {
    const path = file('good3.csv', rows(50));
    refusedWithError(['import', path, '--to', join(folder, 'nowhere')], 'folder_not_writable');
    refusedWithError(['import', path, '--to', path], 'folder_not_writable');
  });

  it('a folder that may not be written to (root: a disk mounted read-only)', (context) => {
    const to = lineFolder('readonly');
    const path = file('good5.csv', rows(50));
    const root = process.getuid?.() === 0;
    if (!root) chmodSync(to, 0o555);
    else if (spawnSync('mount', ['-t', 'tmpfs', '-o', 'ro', 'tmpfs', to]).status !== 0)
      context.skip('mounting is not allowed here');
    try {
      refusedWithError(['import', path, '--to', to], 'folder_not_writable');
    } finally {
      if (root) spawnSync('umount', [to]);
      else chmodSync(to, 0o755);
    }
  });

  it('a column, a role and a unit that do not exist', () => {
    const to = lineFolder('line3');
    const path = file('good4.csv', rows(50));
    refusedWithError(['import', path, '--to', to, '--channel', 'motor-torque=none'], 'column_unknown');
    refusedWithError(['import', path, '--to', to, '--channel', 'colour=none'], 'usage');
    refusedWithError(['import', path, '--to', to, '--unit', 'motor-torque=wobbles'], 'unit_unknown');
  });
});
