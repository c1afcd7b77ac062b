import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import type { TautlineError } from '../../../src/engine/errors.js';
import type { DriveDocument } from '../../../src/engine/project/drive.js';
import {
  fromIdentificationDocument,
  type IdentificationDocument,
  toIdentificationDocument,
} from '../../../src/engine/project/identification.js';
import { readIdentification } from '../../../src/node/documents/readIdentification.js';
import { runPlant } from '../../support/plantRecording.js';

const folder = mkdtempSync(join(tmpdir(), 'tautline-'));
const { plant, identification } = runPlant('full-test', 5);
const good = toIdentificationDocument(identification, plant.drive as DriveDocument);

function file(content: string): string {
  const path = join(folder, 'found.json');
  writeFileSync(path, content);
  return path;
}

/** The good document with one thing changed, one key a line as the command prints it. */
function changed(change: (d: Record<string, unknown>) => void): string {
  const document = JSON.parse(JSON.stringify(good));
  change(document);
  return JSON.stringify(document, null, 2);
}

async function failure(content: string): Promise<TautlineError> {
  try {
    await readIdentification(file(content));
  } catch (error) {
    return error as TautlineError;
  }
  throw new Error('the document was accepted');
}

test('reads what the program writes', async () => {
  const read = await readIdentification(file(JSON.stringify(good)));
  expect(read).toEqual(JSON.parse(JSON.stringify(good)));
  expect(fromIdentificationDocument(read).estimates.inertia?.value).toBe(good.estimates.inertia_kgm2?.value);
});

test('a key that a later program may add is no error', async () => {
  await expect(
    readIdentification(file(changed((d) => Object.assign(d, { temperature_degC: 41 })))),
  ).resolves.toBeDefined();
});

test('no file, and a folder', async () => {
  await expect(readIdentification(join(folder, 'none.json'))).rejects.toMatchObject({
    code: 'file_not_found',
  });
  await expect(readIdentification(folder)).rejects.toMatchObject({ code: 'file_not_found' });
});

test('a document that was cut short', async () => {
  const text = JSON.stringify(good, null, 2);
  for (const part of ['', text.slice(0, 1), text.slice(0, 200), text.slice(0, -2)])
    expect((await failure(part)).code).toBe('document_syntax');
});

test('a mistake in the syntax is named with its line', async () => {
  const lines = JSON.stringify(good, null, 2).split('\n');
  lines[3] = `${lines[3]} oops`;
  expect((await failure(lines.join('\n'))).where).toMatchObject({ file: 'found.json', line: 4 });
});

test('another kind of document, another version, no document', async () => {
  for (const content of [
    'null',
    '3',
    '[]',
    '{}',
    '{"schema":"tautline/comparison@1"}',
    '{"schema":"tautline/identification@2"}',
  ])
    expect((await failure(content)).code, content).toBe('document_version');
});

test.each<[string, (d: Record<string, unknown>) => void, string]>([
  [
    'a number as text',
    (d) =>
      Object.assign((d.estimates as IdentificationDocument['estimates']).inertia_kgm2!, { value: '0.02' }),
    'estimates.inertia_kgm2.value',
  ],
  [
    'a null',
    (d) =>
      Object.assign((d.estimates as IdentificationDocument['estimates']).coulomb_Nm!, {
        standardError: null,
      }),
    'estimates.coulomb_Nm.standardError',
  ],
  [
    'a negative standard error',
    (d) =>
      Object.assign((d.estimates as IdentificationDocument['estimates']).coulomb_Nm!, { standardError: -1 }),
    'estimates.coulomb_Nm.standardError',
  ],
  [
    'half an interval',
    (d) =>
      Object.assign((d.estimates as IdentificationDocument['estimates']).coulomb_Nm!, { interval95: [1] }),
    'estimates.coulomb_Nm.interval95',
  ],
  [
    'an interval beside its value',
    (d) =>
      Object.assign((d.estimates as IdentificationDocument['estimates']).coulomb_Nm!, {
        interval95: [-2, -1],
      }),
    'estimates.coulomb_Nm.interval95',
  ],
  [
    'a covariance of another size',
    (d) => Object.assign(d.covariance as object, { matrix: [[1]] }),
    'covariance.matrix',
  ],
  ['a wrong verdict', (d) => Object.assign(d, { verdict: 'fine' }), 'verdict'],
])('%s is refused at its place', async (_, change, key) => {
  const content = changed(change);
  const error = await failure(content);
  expect(error.code).toBe('document_schema');
  expect(error.where).toMatchObject({ file: 'found.json', key });
  expect(error.next.length).toBeGreaterThan(10);
  // The line is that of the value: the key stands on it or just above.
  const { line } = error.where as { line?: number };
  if (line !== undefined) {
    const near = content
      .split('\n')
      .slice(Math.max(0, line - 2), line)
      .join(' ');
    expect(near).toContain(`"${key.split('.').at(-1)}"`);
  }
});
