import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Value } from 'typebox/value';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { annotationsSchema, annotationsText } from '../../src/engine/project/annotations.js';
import { MaybeEditableAnswer } from '../../src/server/schemas/answers.js';
import { startServer, type TestServer } from './support.js';

let server: TestServer;
beforeAll(async () => {
  server = await startServer();
}, 60_000);
afterAll(() => server.stop());

const path = '/api/recordings/pull-roll.as-found/annotations';
const put = (text: string, condition: Record<string, string>): RequestInit => ({
  method: 'PUT',
  headers: { 'content-type': 'application/json', ...condition },
  body: JSON.stringify({ text }),
});
const note = annotationsText([{ from_s: 12.5, to_s: 20, text: 'belt: "slipped"', noted: '2026-11-28' }]);
interface Answer {
  readonly version?: string;
  readonly document?: { readonly stretches: readonly { readonly text: string }[] };
  readonly error?: { readonly code: string };
}

describe('notes on the stretches of a recording', () => {
  test('begin with none, lie beside the recording, and are saved only on what was seen', async () => {
    const none = await server.json<Answer>(path);
    expect(none).toEqual({ text: '', findings: [] });
    const saved = await server.json<Answer>(path, 200, put(note, { 'if-none-match': '*' }));
    expect(Value.Check(MaybeEditableAnswer(annotationsSchema), saved)).toBe(true);
    expect(saved.document?.stretches[0]?.text).toBe('belt: "slipped"');
    expect(readFileSync(join(server.folder, 'exports/pull-roll.as-found.csv.annotations.yaml'), 'utf8')).toBe(
      note,
    );
    expect(await server.json<Answer>(path)).toEqual(saved);
    // as new once more, or on another version: somebody else was there
    await server.json(path, 409, put(note, { 'if-none-match': '*' }));
    await server.json(path, 409, put(note, { 'if-match': `"${'0'.repeat(64)}"` }));
    await server.json(path, 400, put(note, {}));
    const empty = await server.json<Answer>(
      path,
      200,
      put(annotationsText([]), { 'if-match': `"${saved.version}"` }),
    );
    expect(empty.document?.stretches).toEqual([]);
  });

  test('do not make another recording of it, nor one of themselves', async () => {
    const trace = await server.json<{ key: string }>('/api/recordings/pull-roll.as-found');
    const before = await server.json<Answer>(path);
    await server.json(path, 200, put(note, { 'if-match': `"${before.version}"` }));
    expect((await server.json<{ key: string }>('/api/recordings/pull-roll.as-found')).key).toBe(trace.key);
    const listed = await server.json<{ name: string }[]>('/api/recordings');
    expect(listed.filter((r) => r.name.includes('annotations'))).toEqual([]);
  });

  test('that are no stretch are refused with their line; a recording that is not there has none', async () => {
    const { version } = await server.json<Answer>(path);
    const wrong = note.replace('to_s: 20', 'to_s: 2');
    expect(await server.json(path, 400, put(wrong, { 'if-match': `"${version}"` }))).toMatchObject({
      error: { code: 'document_value', where: { line: 3 } },
    });
    await server.json('/api/recordings/nothing/annotations', 404);
    await server.json('/api/recordings/nothing/annotations', 404, put(note, { 'if-none-match': '*' }));
    expect(existsSync(join(server.folder, 'exports/nothing.annotations.yaml'))).toBe(false);
  });

  test('that somebody made unreadable are told, not overwritten as if there were none', async () => {
    const { version } = await server.json<Answer>(path);
    writeFileSync(join(server.folder, 'exports/pull-roll.as-found.csv.annotations.yaml'), 'stretches: [');
    const broken = await server.json<Answer>(path);
    expect(broken.error?.code).toBe('document_syntax');
    expect(broken.version).toBeDefined();
    await server.json(path, 409, put(note, { 'if-match': `"${version}"` }));
  });
});
