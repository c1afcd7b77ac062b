import {
  appendFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { versionOf } from '../../src/server/documents/editable.js';
import { type EventStream, exportText, listen, post, startServer, type TestServer } from './support.js';

let server: TestServer;
let events: EventStream;
beforeAll(async () => {
  server = await startServer();
  // long enough that it can be cancelled in the middle, and one that no machine ends while a page is asked for
  writeFileSync(join(server.folder, 'exports', 'winder.as-found.csv'), exportText(400));
  writeFileSync(join(server.folder, 'exports', 'winder.endless.csv'), exportText(2000));
  events = await listen(server);
}, 60_000);
afterAll(async () => {
  events.close();
  await server.stop();
});
const at = (path: string): string => join(server.folder, path);

const started = async (path: string, body: object): Promise<string> =>
  (await server.json<{ job: string }>(path, 202, post(body))).job;
const identify = { recording: 'pull-roll.as-found', drive: 'pull-roll' };
const long = { recording: 'winder.as-found', drive: 'pull-roll' };
const endless = { recording: 'winder.endless', drive: 'pull-roll' };

describe('jobs', () => {
  test('the same work is one job, whoever asks and when; other work is another', async () => {
    const [a, b] = await Promise.all([1, 2].map(() => started('/api/identifications', identify)));
    expect(a).toBe(b);
    const done = await server.ended(a);
    expect(done.state).toBe('done');
    // asked for again, as by a page that was loaded anew
    expect(await started('/api/identifications', identify)).toBe(a);
    expect(await server.json(`/api/jobs/${a}`)).toEqual(done);
    const other = await started('/api/identifications', { ...identify, options: { exclude: [[3, 4]] } });
    expect(other).not.toBe(a);
    await server.ended(other);
  });

  test('another drive file is other work', async () => {
    const before = await started('/api/identifications', identify);
    appendFileSync(at('drives/pull-roll.yaml'), '# something\n');
    expect(await started('/api/identifications', identify)).not.toBe(before);
  });

  test('tell their progress', async () => {
    const job = await started('/api/identifications', { ...identify, options: { exclude: [[5, 6]] } });
    await events.wait((e) => e.event === 'job' && e.data.id === job && e.data.state === 'done');
    const told = events.seen.filter((e) => e.event === 'job' && e.data.id === job).map((e) => e.data);
    expect(told[0]).toMatchObject({ state: 'running', kind: 'identify' });
    const words = told.map((d) => (d.progress as { words: string }).words);
    expect(words).toContain('fitting the drive model');
    expect(told.at(-1)).toMatchObject({ state: 'done', progress: { done: 3, total: 3 } });
    expect(told.every((d) => !('result' in d))).toBe(true);
  });

  test('can be cancelled in the middle, and started again', async () => {
    // more than there can be threads, so that what comes next would have to wait for one of them
    const jobs = [await started('/api/identifications', long)];
    for (let k = 1; k < 6; k++)
      jobs.push(await started('/api/identifications', { ...endless, options: { exclude: [[k, k + 1]] } }));
    const [job] = jobs;
    await events.wait((e) => e.event === 'job' && e.data.id === job && e.data.state === 'running');
    const cancelled = await server.json(`/api/jobs/${job}`, 200, { method: 'DELETE' });
    expect(cancelled).toMatchObject({ id: job, state: 'cancelled' });
    // a page that asks meanwhile does not queue behind the others
    expect(await server.json('/api/board')).toHaveProperty('rows');
    for (const id of jobs)
      expect(await server.json(`/api/jobs/${id}`, 200, { method: 'DELETE' })).toMatchObject({
        state: 'cancelled',
      });
    const short = await started('/api/identifications', { ...identify, options: { exclude: [[7, 8]] } });
    expect((await server.ended(short)).state).toBe('done');
    expect(await server.json(`/api/jobs/${job}`)).toMatchObject({ state: 'cancelled' });
    expect(await started('/api/identifications', long)).toBe(job);
    expect((await server.ended(job)).state).toBe('done');
    // what has ended stays as it is
    expect(await server.json(`/api/jobs/${job}`, 200, { method: 'DELETE' })).toMatchObject({ state: 'done' });
  });

  test('an import that is cancelled leaves nothing behind, and the folder free', async () => {
    const { upload } = await server.json<{ upload: string }>('/api/recordings?name=long.csv', 201, {
      method: 'POST',
      headers: { 'content-type': 'application/octet-stream' },
      body: exportText(700),
    });
    const job = await started(`/api/recordings/${upload}/import`, { name: 'long' });
    await events.wait((e) => e.event === 'job' && e.data.id === job && e.data.state === 'running');
    await server.json(`/api/jobs/${job}`, 200, { method: 'DELETE' });
    const left = (): string[] =>
      readdirSync(server.folder).filter((n) => n.startsWith('.') && n !== '.tautline');
    while (left().length > 0) await pause(20);
    expect(existsSync(at('recordings/long.parquet'))).toBe(false);
    // the upload is still there, so it can be tried again
    expect(await started(`/api/recordings/${upload}/import`, { name: 'long' })).toBe(job);
    expect((await server.ended(job)).state).toBe('done');
    expect(existsSync(at('recordings/long.parquet'))).toBe(true);
    // its recording removed, the same job is work again; its upload is gone by now
    rmSync(at('recordings/long.parquet'));
    await server.json(`/api/recordings/${upload}/import`, 404, post({ name: 'long' }));
  });

  test('one that fails says why, and is tried again when asked for again', async () => {
    writeFileSync(at('recordings/broken.as-found.parquet'), 'PAR1 and nothing more');
    const body = { ...identify, recording: 'broken.as-found' };
    const job = await started('/api/identifications', body);
    expect(await server.ended(job)).toMatchObject({ state: 'failed', error: { code: 'file_unreadable' } });
    expect(await started('/api/identifications', body)).toBe(job);
    expect((await server.ended(job)).state).toBe('failed');
    rmSync(at('recordings/broken.as-found.parquet'));
  });

  test('there is none of another name', async () => {
    expect(await server.json(`/api/jobs/${'0'.repeat(32)}`, 404)).toMatchObject({
      error: { code: 'not_found' },
    });
    await server.json('/api/identifications', 404, post({ ...identify, recording: 'nothing' }));
    await server.json('/api/identifications', 404, post({ ...identify, drive: 'nothing' }));
  });

  test('results that are kept get a name of their own, and equal ones are kept once', async () => {
    const keep = { ...identify, store: true };
    const job = await started('/api/identifications', keep);
    expect((await server.ended(job)).result).toMatchObject({ stored: 'pull-roll.as-found' });
    const other = await started('/api/identifications', { ...keep, options: { exclude: [[3, 5]] } });
    expect((await server.ended(other)).result).toMatchObject({ stored: 'pull-roll.as-found-2' });
    const named = await started('/api/identifications', { ...keep, visit: '2026-05-01' });
    expect((await server.ended(named)).result).toMatchObject({ stored: 'pull-roll.2026-05-01' });
    expect(readdirSync(at('identifications')).sort()).toEqual([
      'pull-roll.2026-05-01.json',
      'pull-roll.as-found-2.json',
      'pull-roll.as-found.json',
    ]);
    // a result that was removed is made again
    rmSync(at('identifications/pull-roll.as-found.json'));
    await server.ended(await started('/api/identifications', keep));
    expect(existsSync(at('identifications/pull-roll.as-found.json'))).toBe(true);
  });
});

describe('changes', () => {
  const change = (path: string, version: unknown) =>
    events.wait((e) => e.event === 'change' && e.data.path === path && e.data.version === version);

  test('from outside are told with the version that a GET gives', async () => {
    const text = 'schema: tautline/drive@1\nname: new\nelement: driven-idler\n';
    writeFileSync(at('drives/new.yaml'), text);
    await change('drives/new.yaml', versionOf(text));
    expect(await server.json('/api/drives/new')).toMatchObject({ version: versionOf(text) });
    // as editors save: another file, renamed over it
    writeFileSync(at('drives/.new.swp'), `${text}# saved\n`);
    renameSync(at('drives/.new.swp'), at('drives/new.yaml'));
    await change('drives/new.yaml', versionOf(`${text}# saved\n`));
    rmSync(at('drives/new.yaml'));
    await change('drives/new.yaml', null);
  });

  test('of this server itself are told too', async () => {
    const { text, version } = await server.json<{ text: string; version: string }>('/api/line');
    const next = `${text}# moved\n`;
    await server.json('/api/line', 200, post({ text: next }, 'PUT', { 'if-match': version }));
    await change('line.yaml', versionOf(next));
  });

  test('in a place that was not there before', async () => {
    rmSync(at('rolls'), { recursive: true });
    await pause(300);
    mkdirSync(at('rolls'));
    await pause(300);
    writeFileSync(at('rolls/a.yaml'), 'a\n');
    await change('rolls/a.yaml', versionOf('a\n'));
  });

  test('of hidden files, locks and caches are nobody’s business', () => {
    const paths = events.seen.filter((e) => e.event === 'change').map((e) => String(e.data.path));
    expect(paths.length).toBeGreaterThan(5);
    expect(paths.filter((p) => p.split('/').some((part) => part.startsWith('.')))).toEqual([]);
  });
});
