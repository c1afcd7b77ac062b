import { createHash } from 'node:crypto';
import { existsSync, readdirSync, readFileSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { exportText, post, startServer, type TestServer, truth } from './support.js';

let server: TestServer;
beforeAll(async () => {
  server = await startServer();
}, 60_000);
afterAll(() => server.stop());
const at = (path: string): string => join(server.folder, path);
const hash = (path: string): string =>
  createHash('sha256')
    .update(readFileSync(at(path)))
    .digest('hex');

interface Editable {
  readonly text: string;
  readonly version: string;
  readonly document?: { readonly name: string };
  readonly findings: readonly unknown[];
  readonly error?: { readonly code: string; readonly where: Record<string, unknown> };
}

/** Buckets of a trace as [start, min, max]. */
async function trace(query: string): Promise<{ buckets: number[][]; headers: Headers }> {
  const answer = await server.ask(`/api/recordings/${query}`);
  expect(answer.status).toBe(200);
  const numbers = new Float64Array(await answer.arrayBuffer());
  const buckets = Array.from({ length: numbers.length / 3 }, (_, b) => [
    ...numbers.subarray(3 * b, 3 * b + 3),
  ]);
  return { buckets, headers: answer.headers };
}

describe('the folder', () => {
  test('says what it is', async () =>
    expect(await server.json('/api/folder')).toMatchObject({
      line: 'demo line (invented)',
      invented: true,
      programVersion: 'test',
    }));

  test('has a board with a row a driven roller', async () => {
    const board = await server.json<{ schema: string; rows: { drive: string; cells: object }[] }>(
      '/api/board',
    );
    expect(board.schema).toBe('tautline/board@1');
    expect(board.rows.map((r) => r.drive)).toContain('pull-roll');
    expect(board.rows.find((r) => r.drive === 'pull-roll')?.cells).toMatchObject({
      recorded: { state: 'value' },
      inertia: { state: 'missing' },
    });
  });

  test('every route is described', async () => {
    const { paths } = await server.json<{ paths: Record<string, object> }>('/api/openapi.json');
    for (const path of ['/api/line', '/api/recordings/{name}/trace', '/api/jobs/{id}', '/api/events'])
      expect(Object.keys(paths)).toContain(path);
  });
});

describe('documents', () => {
  test.each([
    ['line', 'line.yaml'],
    ['products/coated-paper-80', 'products/coated-paper-80.yaml'],
    ['drives/pull-roll', 'drives/pull-roll.yaml'],
    ['rolls/coated-paper-80', 'rolls/coated-paper-80.yaml'],
  ])('/api/%s is the file with its version, and is saved byte for byte', async (route, file) => {
    const before = await server.json<Editable>(`/api/${route}`);
    expect(before.text).toBe(readFileSync(at(file), 'utf8'));
    expect(before.version).toBe(hash(file));
    expect(before.document).toBeDefined();
    const text = `${before.text}# a comment that stays\n`;
    const saved = await server.json<Editable>(
      `/api/${route}`,
      200,
      post({ text }, 'PUT', { 'if-match': `"${before.version}"` }),
    );
    expect(readFileSync(at(file), 'utf8')).toBe(text);
    expect(saved.version).toBe(hash(file));
    expect(await server.json<Editable>(`/api/${route}`)).toEqual(saved);
  });

  test('a list names each with its version', async () => {
    const drives = await server.json<{ name: string; version: string }[]>('/api/drives');
    expect(drives.map((d) => d.name)).toEqual(readdirSync(at('drives')).map((n) => n.replace('.yaml', '')));
    expect(drives.find((d) => d.name === 'winder')?.version).toBe(hash('drives/winder.yaml'));
  });

  test('a new one is made only where there is none', async () => {
    const { text } = await server.json<Editable>('/api/drives/winder');
    const fresh = post({ text }, 'PUT', { 'if-none-match': '*' });
    await server.json('/api/drives/winder-2', 200, fresh);
    expect(readFileSync(at('drives/winder-2.yaml'), 'utf8')).toBe(text);
    const again = await server.json<{ error: { code: string } }>('/api/drives/winder-2', 409, fresh);
    expect(again.error.code).toBe('conflict');
    rmSync(at('drives/winder-2.yaml'));
  });

  test('a text that is not valid is refused with its line and nothing is written', async () => {
    const before = await server.json<Editable>('/api/line');
    const text = before.text.replace('kind: unwind', 'kind: unwinding');
    const { error } = await server.json<{ error: NonNullable<Editable['error']> }>(
      '/api/line',
      400,
      post({ text }, 'PUT', { 'if-match': before.version }),
    );
    expect(error.code).toBe('document_schema');
    expect(error.where.line).toBe(text.split('\n').findIndex((l) => l.includes('unwinding')) + 1);
    expect(hash('line.yaml')).toBe(before.version);
  });

  test('one that is not valid on disk is shown as it is, with its error', async () => {
    const good = readFileSync(at('products/coated-paper-80.yaml'), 'utf8');
    writeFileSync(at('products/coated-paper-80.yaml'), 'schema: [\n');
    const shown = await server.json<Editable>('/api/products/coated-paper-80');
    expect(shown).toMatchObject({ text: 'schema: [\n', error: { code: 'document_syntax' } });
    expect(shown.document).toBeUndefined();
    expect(await server.json('/api/products')).toMatchObject([{ error: { code: 'document_syntax' } }]);
    writeFileSync(at('products/coated-paper-80.yaml'), good);
  });

  test('a line whose drive file is broken can still be saved; the error stands beside it', async () => {
    const drive = readFileSync(at('drives/pull-roll.yaml'), 'utf8');
    writeFileSync(at('drives/pull-roll.yaml'), 'schema: nothing\n');
    const line = await server.json<Editable>('/api/line');
    expect(line.document?.name).toBe('demo line (invented)');
    expect(line.error?.where.file).toBe('pull-roll.yaml');
    const save = post({ text: line.text }, 'PUT', { 'if-match': line.version });
    expect(await server.json('/api/line', 200, save)).toHaveProperty('error');
    writeFileSync(at('drives/pull-roll.yaml'), drive);
  });

  test('a line that leads out of the folder is refused', async () => {
    const { text, version } = await server.json<Editable>('/api/line');
    const led = text.replace('drives/pull-roll.yaml', '../pull-roll.yaml');
    expect(led).not.toBe(text);
    const save = post({ text: led }, 'PUT', { 'if-match': version });
    expect(await server.json('/api/line', 400, save)).toMatchObject({
      error: { code: 'path_outside_folder' },
    });
  });
});

describe('recordings', () => {
  test('are listed with what their names say', async () =>
    expect(await server.json('/api/recordings')).toEqual([
      {
        name: 'pull-roll.as-found',
        file: 'exports/pull-roll.as-found.csv',
        kind: 'export',
        drive: 'pull-roll',
        visit: 'as-found',
        bytes: exportText().length,
        sha256: hash('exports/pull-roll.as-found.csv'),
      },
    ]));

  test('a trace holds every sample when it is looked at closely, and every peak from afar', async () => {
    const lines = exportText().trim().split('\n').slice(1);
    const samples = lines.map((l) => l.split(',').map(Number));
    const document = await server.json<{ samples: number; columns: object[]; time: object }>(
      '/api/recordings/pull-roll.as-found',
    );
    expect(document).toMatchObject({
      samples: samples.length,
      time: { unit: 's', from: samples[0][0], to: samples[samples.length - 1][0] },
      columns: [
        { role: 'time' },
        { role: 'motor-speed', unit: 'rad/s' },
        { role: 'motor-torque', unit: 'N.m' },
      ],
    });
    const near = await trace('pull-roll.as-found/trace?channel=motor-torque&from=2&to=3&buckets=1000');
    expect(near.headers.get('x-tautline-unit')).toBe('N.m');
    const inside = samples.filter(([t]) => t >= 2 && t <= 3);
    expect(near.headers.get('x-tautline-samples')).toBe(String(inside.length));
    // with one sample more on either side
    expect(near.buckets.slice(1, -1)).toEqual(inside.map(([t, , m]) => [t, m, m]));
    for (const buckets of [1, 7, 40]) {
      const far = (await trace(`pull-roll.as-found/trace?channel=motor-torque&buckets=${buckets}`)).buckets;
      expect(far.length).toBe(buckets);
      for (const [b, [start, min, max]] of far.entries()) {
        const end = far[b + 1]?.[0] ?? Number.POSITIVE_INFINITY;
        const part = samples.filter(([t]) => t >= start && t < end).map(([, , m]) => m);
        expect([min, max]).toEqual([Math.min(...part), Math.max(...part)]);
      }
    }
  });

  test('a trace by header, and a channel that is not there', async () => {
    const byHeader = await trace('pull-roll.as-found/trace?channel=Speed%20act%20%5Brad%2Fs%5D&buckets=2');
    expect(byHeader.buckets).toHaveLength(2);
    const wrong = '/api/recordings/pull-roll.as-found/trace?channel=web-tension';
    expect(await server.json(wrong, 400)).toMatchObject({ error: { code: 'column_unknown' } });
  });

  test('a recording that changed gets a new trace, and the old one goes', async () => {
    const path = at('exports/pull-roll.as-found.csv');
    const text = readFileSync(path, 'utf8');
    const before = readdirSync(at('.tautline/traces'));
    writeFileSync(path, `${text}1000,0,77\n`);
    const { buckets } = await trace('pull-roll.as-found/trace?channel=motor-torque&buckets=1');
    expect(buckets[0][2]).toBe(77);
    const after = readdirSync(at('.tautline/traces'));
    expect(after).toHaveLength(1);
    expect(after).not.toEqual(before);
    writeFileSync(path, text);
    utimesSync(path, 1, 1);
  });

  test('traces may be deleted at any time', async () => {
    await server.json('/api/recordings/pull-roll.as-found');
    rmSync(at('.tautline'), { recursive: true });
    expect((await trace('pull-roll.as-found/trace?channel=motor-torque&buckets=3')).buckets).toHaveLength(3);
  });
});

describe('a dropped file', () => {
  interface Proposed {
    readonly upload: string;
    readonly proposal: {
      readonly dialect: object;
      readonly columns: readonly object[];
      readonly questions: readonly { kind: string; role: string; choices: string[] }[];
      readonly text: string[];
      readonly rows: number[][];
    };
  }
  const german = exportText()
    .replace('Time [s],Speed act [rad/s],Torque act [N.m]', 'Zeit [s];Drehzahl ist [rad/s];Drehmoment ist')
    .replace(/,/g, ';')
    .replace(/\./g, ',');
  const drop = (text: string, name = 'pull-roll.as-left.csv'): RequestInit & { path: string } => ({
    path: `/api/recordings?name=${encodeURIComponent(name)}`,
    method: 'POST',
    headers: { 'content-type': 'application/octet-stream' },
    body: text,
  });

  test('is read, asked about, imported and identified', async () => {
    const { path, ...init } = drop(german);
    const { upload, proposal } = await server.json<Proposed>(path, 201, init);
    expect(proposal.dialect).toMatchObject({ separator: ';', decimal: ',' });
    expect(proposal.text[0]).toBe('Zeit [s];Drehzahl ist [rad/s];Drehmoment ist');
    expect(proposal.rows[1]).toHaveLength(3);
    expect(proposal.columns).toMatchObject([
      { role: 'time' },
      { role: 'motor-speed' },
      { role: 'motor-torque' },
    ]);
    const [question] = proposal.questions;
    expect(question).toMatchObject({ kind: 'unit', role: 'motor-torque' });
    expect(question.choices).toContain('N·m');
    const units = { 'motor-torque': 'Nm' };
    const answered = await server.json<Proposed>(`/api/recordings/${upload}/proposal`, 200, post({ units }));
    expect(answered.proposal.questions).toEqual([]);

    const body = post({ name: 'pull-roll.as-left', drive: 'pull-roll', units });
    const { job } = await server.json<{ job: string }>(`/api/recordings/${upload}/import`, 202, body);
    const done = await server.ended(job);
    expect(done).toMatchObject({
      state: 'done',
      result: {
        verdict: 'imported',
        name: 'pull-roll.as-left',
        written: { data: 'recordings/pull-roll.as-left.parquet' },
      },
    });
    expect(existsSync(at(`.tautline/uploads/${upload}`))).toBe(false);
    const list = await server.json<{ name: string; rows?: number; channels?: object }[]>('/api/recordings');
    expect(list[0]).toMatchObject({
      name: 'pull-roll.as-left',
      kind: 'imported',
      rows: german.trim().split('\n').length - 1,
      channels: { 'motor-torque': 'Drehmoment ist' },
    });

    const request = post({ recording: 'pull-roll.as-left', drive: 'pull-roll', store: true });
    const identified = await server.ended(
      (await server.json<{ job: string }>('/api/identifications', 202, request)).job,
    );
    expect(identified).toMatchObject({ state: 'done', result: { stored: 'pull-roll.as-left' } });
    const { estimates } = await server.json<{
      estimates: Record<string, { value: number; interval95: number[] }>;
    }>('/api/identifications/pull-roll.as-left');
    expect(Math.abs(estimates.inertia_kgm2.value / truth.inertia - 1)).toBeLessThan(0.02);
    expect(Math.abs(estimates.coulomb_Nm.value / truth.coulomb - 1)).toBeLessThan(0.1);
  });

  test('whose columns nobody knows is proposed with questions', async () => {
    const { path, ...init } = drop('a,b\n1,2\n2,3\n3,4\n', 'x.csv');
    const { proposal, upload } = await server.json<Proposed>(path, 201, init);
    expect(proposal.questions[0]).toMatchObject({ kind: 'column', role: 'time', choices: ['a', 'b'] });
    const wrong = post({ channels: { time: 'zeit' } });
    expect(await server.json(`/api/recordings/${upload}/proposal`, 400, wrong)).toMatchObject({
      error: { code: 'column_unknown' },
    });
    expect((await server.ask(`/api/recordings/${upload}`, { method: 'DELETE' })).status).toBe(204);
    await server.json(`/api/recordings/${upload}/proposal`, 404);
  });

  test('without a row is refused by the import, and can be dropped again', async () => {
    const { path, ...init } = drop('time [s],n [rpm]\n', 'empty.csv');
    const { upload } = await server.json<Proposed>(path, 201, init);
    const { job } = await server.json<{ job: string }>(
      `/api/recordings/${upload}/import`,
      202,
      post({ name: 'empty' }),
    );
    expect(await server.ended(job)).toMatchObject({ state: 'done', result: { verdict: 'refused' } });
    expect(existsSync(at('recordings/empty.parquet'))).toBe(false);
  });
});

describe('results', () => {
  const options = { exclude: [[3, 6]] };
  beforeAll(async () => {
    const body = post({ recording: 'pull-roll.as-found', drive: 'pull-roll', store: true });
    await server.ended((await server.json<{ job: string }>('/api/identifications', 202, body)).job);
  });

  test('are listed by visit, and stale when the drive file changed', async () => {
    interface Entry {
      readonly name: string;
      readonly staleBecause: readonly { input: string }[];
    }
    const list = await server.json<Entry[]>('/api/identifications');
    expect(list.map((e) => e.name)).toEqual(['pull-roll.as-found', 'pull-roll.as-left']);
    expect(list.flatMap((e) => e.staleBecause)).toEqual([]);
    const path = at('drives/pull-roll.yaml');
    const text = readFileSync(path, 'utf8');
    writeFileSync(path, text.replace('gear_ratio: 5', 'gear_ratio: 6'));
    const stale = await server.json<Entry[]>('/api/identifications');
    expect(stale.map((e) => e.staleBecause[0]?.input)).toEqual(['drive', 'drive']);
    writeFileSync(path, text);
  });

  test('a stretch taken out is out, and the trace for plots comes along', async () => {
    const body = post({ recording: 'pull-roll.as-found', drive: 'pull-roll', options });
    const { job } = await server.json<{ job: string }>('/api/identifications', 202, body);
    const { result } = await server.ended<{
      document: { segments: { why: string; from_s: number }[] };
      trace: { time_s: number[]; torque_Nm: number[] };
    }>(job);
    if (result === undefined) throw new Error('the job has no result');
    const out = result.document.segments.filter((s) => s.why === 'taken out by the user');
    expect(out.map((s) => s.from_s)).toEqual([3]);
    expect(result.trace.time_s.length).toBe(result.trace.torque_Nm.length);
    expect(result.trace.time_s.length).toBeGreaterThan(100);
  });

  test('the feed-forward follows the drag, and its tolerance', async () => {
    interface Table {
      readonly schema: string;
      readonly rows: readonly { speed_rad_per_s: number; torque_Nm: number }[];
      readonly tolerance_Nm: number;
    }
    const url = '/api/identifications/pull-roll.as-found/feedforward';
    const fine = await server.json<Table>(`${url}?tolerance=0.005`);
    const coarse = await server.json<Table>(`${url}?tolerance=0.1`);
    expect(fine.schema).toBe('tautline/feedforward@1');
    expect(fine.tolerance_Nm / coarse.tolerance_Nm).toBeCloseTo(0.05, 6);
    const last = fine.rows[fine.rows.length - 1];
    const drag = truth.coulomb + truth.viscous * last.speed_rad_per_s;
    expect(Math.abs(last.torque_Nm / drag - 1)).toBeLessThan(0.03);
  });

  test('two are compared', async () => {
    const body = post({ earlier: 'pull-roll.as-found', later: 'pull-roll.as-left' });
    expect(await server.json('/api/compare', 200, body)).toMatchObject({
      schema: 'tautline/comparison@1',
      changes: expect.arrayContaining([
        expect.objectContaining({ name: 'inertia_kgm2', verdict: 'unchanged' }),
      ]),
    });
    await server.json('/api/compare', 404, post({ earlier: 'pull-roll.as-found', later: 'nothing' }));
  });

  test('the report has them, allows no script, and writes nothing', async () => {
    const before = readdirSync(server.folder);
    const answer = await server.ask('/api/report?units=us');
    expect(answer.headers.get('content-type')).toBe('text/html; charset=utf-8');
    const policy = answer.headers.get('content-security-policy') ?? '';
    expect(policy).toMatch(/^default-src 'none';/);
    expect(policy).not.toContain('script-src');
    const html = await answer.text();
    expect(html).toContain('pull roll');
    expect(html).not.toMatch(/<script/i);
    expect(readdirSync(server.folder)).toEqual(before);
  });
});
