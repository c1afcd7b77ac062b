import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { readIdentification } from '../../../src/node/documents/readIdentification.js';

const folder = mkdtempSync(join(tmpdir(), 'tautline-minimal-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

test('a document with the keys of the contract and nothing more is read; what it leaves out is empty, not made up', async () => {
  const path = join(folder, 'a.json');
  const estimate = { value: 1, standardError: 0.01, interval95: [0.98, 1.02] };
  writeFileSync(
    path,
    JSON.stringify({
      schema: 'tautline/identification@1',
      verdict: 'identified',
      findings: [],
      channels: [],
      segments: [
        { kind: 'plateau', from_s: 0, to_s: 1, why: 'steady' },
        { kind: 'excluded', from_s: 1, to_s: 2, why: 'gap' },
      ],
      estimates: { coulomb_Nm: estimate },
      notEstimated: [],
      inputs: { file: 'a.csv', sha256: '00', rows: 10 },
    }),
  );
  const document = await readIdentification(path);
  expect(document.estimates.coulomb_Nm).toEqual(estimate);
  expect(document.segments.map((s) => s.used)).toEqual([true, false]);
  expect(document.drive).toEqual({ schema: 'tautline/drive@1', name: 'drive', element: 'driven-idler' });
  expect(document.drive.roller_diameter_m).toBeUndefined();
  expect(document.covariance).toBeUndefined();
});

test('without estimates there is nothing to read', async () => {
  const path = join(folder, 'b.json');
  writeFileSync(path, JSON.stringify({ schema: 'tautline/identification@1' }));
  await expect(readIdentification(path)).rejects.toMatchObject({ code: 'document_schema' });
});
