import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { isTautlineError } from '../../../src/engine/errors.js';
import { readDrive } from '../../../src/node/documents/readDrive.js';

let base: string;
beforeAll(() => {
  base = mkdtempSync(join(tmpdir(), 'tautline-drive-'));
});
afterAll(() => rmSync(base, { recursive: true, force: true }));

let count = 0;
function read(text: string | Uint8Array) {
  const path = join(base, `drive${count++}.yaml`);
  writeFileSync(path, text);
  return readDrive(path);
}

const head = 'schema: tautline/drive@1\nname: helper 3\nelement: driven-idler\n';
const failure = (text: string | Uint8Array): Promise<unknown> =>
  read(text).then(
    () => 'accepted',
    (e: unknown) => e,
  );

describe('drive file', () => {
  it('reads what an engineer types, in the units of the keys', async () => {
    expect(
      await read(`# nameplate
schema: tautline/drive@1
name: helper 3
element: driven-idler
rated_torque_Nm: 15.5
gear_ratio: 2.5            # motor speed / roller speed
roller_diameter_m: 0.178
roller_width_m: 2.2
max_motor_speed_rad_per_s: 152
motor_inertia_kgm2: 0.0043
torque_limit_percent: 150
web:
  width_m: 2.2
`),
    ).toMatchObject({
      name: 'helper 3',
      element: 'driven-idler',
      ratedTorque: 15.5,
      gearRatio: 2.5,
      rollerRadius: 0.089,
      rollerWidth: 2.2,
      maxMotorSpeed: 152,
      motorInertia: 0.0043,
      torqueLimit: 1.5,
      web: { width: 2.2 },
    });
  });

  it('fills nothing in that was not typed', async () => {
    const drive = await read(`${head}gear_ratio: 2\n`);
    expect(
      Object.entries(drive)
        .filter(([, v]) => v !== undefined)
        .map(([k]) => k)
        .sort(),
    ).toEqual(['element', 'gearRatio', 'name']);
  });

  it.each([
    ['a key with a slip', `${head}gear_ration: 2\n`, 'document_unknown_key', 4, 'gear_ratio'],
    ['a key within web', `${head}web:\n  width: 2\n  width_m: 2\n`, 'document_unknown_key', 5, 'width_m'],
    ['a ratio of 0', `${head}gear_ratio: 0\n`, 'document_schema', 4, ''],
    ['a number as text', `${head}\nrated_torque_Nm: 15,5\n`, 'document_schema', 5, ''],
    [
      'an element that does not exist',
      head.replace('driven-idler', 'idle'),
      'document_schema',
      3,
      'pull-roll',
    ],
    ['another version', head.replace('@1', '@9'), 'document_version', 1, 'tautline/drive@1'],
    [
      'a roller diameter on a winder',
      `${head.replace('driven-idler', 'winder')}roller_diameter_m: 1\n`,
      'document_schema',
      undefined,
      'core_diameter_m',
    ],
    ['a key twice', `${head}gear_ratio: 2\ngear_ratio: 3\n`, 'document_syntax', 5, ''],
    ['broken YAML', `${head}web: { width_m: 2\n`, 'document_syntax', undefined, ''],
    ['infinity', `${head}gear_ratio: .inf\n`, 'document_schema', 4, ''],
    ['not a number', `${head}gear_ratio: .nan\n`, 'document_schema', 4, ''],
    ['a prototype', `${head}__proto__: { gear_ratio: 3 }\n`, 'document_unknown_key', 4, ''],
    ['nothing', '', 'document_schema', 1, ''],
    ['a list', '- 1\n- 2\n', 'document_schema', 1, ''],
    ['two documents', `${head}---\n${head}`, 'document_syntax', undefined, ''],
  ])('refuses %s', async (_, text, code, line, next) => {
    const e = await failure(text);
    expect(e).toMatchObject({
      code,
      next: expect.stringContaining(next),
      where: { file: expect.stringMatching(/^drive/) },
    });
    if (line !== undefined) expect(e).toMatchObject({ where: { line } });
  });

  it('refuses what would unfold into too much or lies too deep', async () => {
    const bomb = `${head}a0: &a0 [x, x, x, x, x, x, x, x, x]\n${Array.from({ length: 9 }, (_, i) => `a${i + 1}: &a${i + 1} [${Array(9).fill(`*a${i}`).join(', ')}]\n`).join('')}`;
    expect(await failure(bomb)).toMatchObject({ code: 'document_too_large' });
    const merges = `${head}m0: &m0 { a: 1 }\n${Array.from({ length: 60 }, (_, i) => `m${i + 1}: &m${i + 1} { <<: [${Array(9).fill(`*m${i}`).join(', ')}] }\n`).join('')}`;
    expect(isTautlineError(await failure(merges))).toBe(true);
    expect(isTautlineError(await failure(`${head}web: ${'['.repeat(200_000)}\n`))).toBe(true);
    expect(
      isTautlineError(await failure(`${head}web: ${'{a: '.repeat(50_000)}1${'}'.repeat(50_000)}\n`)),
    ).toBe(true);
    expect(await failure(`${head}notes: ${'x'.repeat(1024 * 1024)}\n`)).toMatchObject({
      code: 'document_too_large',
    });
  }, 20_000);

  it('names a file that is not there', async () => {
    await expect(readDrive(join(base, 'none.yaml'))).rejects.toMatchObject({ code: 'file_not_found' });
    await expect(readDrive(base)).rejects.toMatchObject({ code: 'file_not_found' });
  });

  it('answers any bytes with a drive or a coded error', async () => {
    const piece = fc.oneof(
      fc.constantFrom(
        head,
        'gear_ratio: ',
        'web: ',
        '&a ',
        '*a ',
        '<<: ',
        '- ',
        '{',
        '}',
        '[',
        ']',
        '\n',
        '  ',
        '!!binary ',
        '"',
        '2.5',
      ),
      fc.string({ maxLength: 5 }),
    );
    await fc.assert(
      fc.asyncProperty(fc.array(piece, { maxLength: 12 }), async (pieces) => {
        const result = await read(pieces.join('')).catch((e: unknown) => e);
        expect(isTautlineError(result) || (result as { gearRatio: number }).gearRatio > 0).toBe(true);
      }),
      { numRuns: 300, seed: 11 },
    );
  });
});
