import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { post, startServer, type TestServer } from './support.js';

let server: TestServer;
beforeAll(async () => {
  server = await startServer();
}, 60_000);
afterAll(() => server.stop());

describe('an export that lies in the folder', () => {
  test('is taken as if it had been dropped, and stays', async () => {
    const { upload, proposal } = await server.json<{ upload: string; proposal: { file: string } }>(
      '/api/recordings/pull-roll.as-found/upload',
      201,
      { method: 'POST' },
    );
    expect(proposal.file).toBe('pull-roll.as-found.csv');
    const { job } = await server.json<{ job: string }>(
      `/api/recordings/${upload}/import`,
      202,
      post({ name: 'pull-roll.as-found' }),
    );
    expect(await server.ended(job)).toMatchObject({ state: 'done', result: { verdict: 'imported' } });
    const listed = await server.json<{ file: string }[]>('/api/recordings');
    expect(listed.map((r) => r.file).sort()).toEqual([
      'exports/pull-roll.as-found.csv',
      'recordings/pull-roll.as-found.parquet',
    ]);
    await server.json('/api/recordings/nothing/upload', 404, { method: 'POST' });
  });
});

describe('a dropped file that cannot be read', () => {
  test('is refused with what another reading of it goes by, until it is dropped', async () => {
    const { error } = await server.json<{ error: { code: string; where: { upload: string } } }>(
      '/api/recordings?name=photo.csv',
      400,
      {
        method: 'POST',
        headers: { 'content-type': 'application/octet-stream' },
        body: 'a;b\n1;2\u0000\u0001',
      },
    );
    expect(error.code).toBe('file_not_text');
    const path = `/api/recordings/${error.where.upload}`;
    expect(await server.json(`${path}/proposal`, 400, post({ dialect: { separator: ';' } }))).toMatchObject({
      error: { code: 'file_not_text' },
    });
    expect((await server.ask(path, { method: 'DELETE' })).status).toBe(204);
    await server.json(`${path}/proposal`, 404);
  });
});
