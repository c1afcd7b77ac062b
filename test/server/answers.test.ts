import type { TSchema } from 'typebox';
import { Value } from 'typebox/value';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import * as answers from '../../src/server/schemas/answers.js';
import { exportText, post, startServer, type TestServer } from './support.js';

let server: TestServer;
beforeAll(async () => {
  server = await startServer();
}, 60_000);
afterAll(() => server.stop());

interface Described {
  readonly content?: Record<string, { readonly schema: Record<string, unknown> }>;
  readonly schema?: Record<string, unknown>;
}

/** Answers of success in the description of the API: [method and path, what is said of it]. */
async function described(): Promise<[string, Record<string, unknown> | undefined][]> {
  const { paths } = await server.json<{
    paths: Record<string, Record<string, { responses: Record<string, Described> }>>;
  }>('/api/openapi.json');
  return Object.entries(paths).flatMap(([path, methods]) =>
    Object.entries(methods).flatMap(([method, { responses }]) =>
      Object.entries(responses)
        .filter(([status]) => /^2/.test(status))
        .map(([status, { content }]): [string, Record<string, unknown> | undefined] => [
          `${method} ${path} ${status}`,
          Object.values(content ?? {})[0]?.schema,
        ]),
    ),
  );
}

// streams and pages say what they are in words
const withoutSchema = new Set([
  'get /api/events 200',
  'get /api/report 200',
  'delete /api/recordings/{upload} 204',
]);

test('the description of the API says of every answer what it holds', async () => {
  const all = await described();
  expect(all.length).toBeGreaterThan(20);
  const empty = all.filter(
    ([name, schema]) =>
      !withoutSchema.has(name) &&
      !['type', 'anyOf', '$ref', 'properties'].some((key) => schema && key in schema),
  );
  expect(empty.map(([name]) => name)).toEqual([]);
});

describe('what the server answers is what its schema says', () => {
  const check = (schema: TSchema, answer: unknown): void => {
    expect([...Value.Errors(schema, answer)].slice(0, 3)).toEqual([]);
    expect(Value.Check(schema, answer)).toBe(true);
  };

  test.each([
    ['/api/folder', answers.FolderAnswer],
    ['/api/board', answers.BoardAnswer],
    ['/api/line', answers.EditableAnswer({ type: 'object', required: ['schema', 'sections'] })],
    ['/api/products', answers.ListedDocuments],
    ['/api/drives', answers.ListedDocuments],
    ['/api/recordings', answers.RecordingsAnswer],
    ['/api/recordings/pull-roll.as-found', answers.TraceAnswer],
  ] as const)('%s', async (path, schema) => check(schema, await server.json(path)));

  test('a dropped file, a job, its result, and what follows from it', async () => {
    const proposed = await server.json<{ upload: string }>('/api/recordings?name=pull-roll.later.csv', 201, {
      method: 'POST',
      headers: { 'content-type': 'application/octet-stream' },
      body: exportText(),
    });
    check(answers.ProposalAnswer, proposed);
    const jobs: [string, object][] = [
      [`/api/recordings/${proposed.upload}/import`, { name: 'pull-roll.later' }],
      [
        '/api/identifications',
        { recording: 'pull-roll.as-found', drive: 'pull-roll', store: true, visit: 'as-found' },
      ],
      [
        '/api/identifications',
        { recording: 'pull-roll.as-found', drive: 'pull-roll', store: true, visit: 'as-left' },
      ],
    ];
    for (const [path, body] of jobs) {
      const { job } = await server.json<{ job: string }>(path, 202, post(body));
      const ended = await server.ended(job);
      expect(ended.state).toBe('done');
      check(answers.JobAnswer, ended);
    }
    check(answers.ResultsAnswer, await server.json('/api/identifications'));
    check(answers.ResultAnswer, await server.json('/api/identifications/pull-roll.as-found'));
    check(
      answers.FeedForwardAnswer,
      await server.json('/api/identifications/pull-roll.as-found/feedforward'),
    );
    check(
      answers.PlayedAnswer,
      await server.json(
        '/api/identifications/pull-roll.as-found/feedforward/play?recording=pull-roll.as-found',
      ),
    );
    check(
      answers.ComparisonAnswer,
      await server.json(
        '/api/compare',
        200,
        post({ earlier: 'pull-roll.as-found', later: 'pull-roll.as-left' }),
      ),
    );
  });

  test('a check that fails is seen', () =>
    expect(() => check(answers.FolderAnswer, { name: 'x', invented: 'yes' })).toThrow());
});
