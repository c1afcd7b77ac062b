import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { isTautlineError, type TautlineError } from '../../../src/engine/errors.js';
import { drivenRollers, type Winder, webRollers } from '../../../src/engine/line/line.js';
import { readLine } from '../../../src/node/lineFolder/readLine.js';

let base: string;
beforeAll(() => {
  base = mkdtempSync(join(tmpdir(), 'tautline-line-'));
});
afterAll(() => rmSync(base, { recursive: true, force: true }));

let count = 0;
function folder(files: Record<string, string>): string {
  const root = join(base, `line${count++}`);
  for (const [path, text] of Object.entries(files)) {
    mkdirSync(join(root, path, '..'), { recursive: true });
    writeFileSync(join(root, path), text);
  }
  return join(root, 'line.yaml');
}
const head = 'schema: tautline/line@1\nname: test line (invented)\nweb_width_m: 1\nsections:\n';
const read = (sections: string, files: Record<string, string> = {}) =>
  readLine(folder({ 'line.yaml': head + sections, ...files }));
const refusal = async (sections: string, files: Record<string, string> = {}): Promise<TautlineError> => {
  const error = await read(sections, files).then(
    () => new Error('accepted'),
    (e: unknown) => e,
  );
  if (!isTautlineError(error)) throw error;
  return error;
};

const motor =
  'schema: tautline/drive@1\nname: pull roll\nelement: pull-roll\nrated_torque_Nm: 40\ngear_ratio: 5\nmotor_inertia_kgm2: 0.02\n';
const identification = (coulomb: number, verdict = 'identified', findings: object[] = []) =>
  JSON.stringify({
    schema: 'tautline/identification@1',
    verdict,
    findings,
    estimates: {
      inertia_kgm2: { value: 0.12, standardError: 0.001, interval95: [0.118, 0.122] },
      coulomb_Nm: { value: coulomb, standardError: 0.01, interval95: [coulomb - 0.02, coulomb + 0.02] },
      viscous_Nms: { value: 0.01, standardError: 0.0001, interval95: [0.0098, 0.0102] },
      breakaway_Nm: { value: 2, standardError: 0.1, interval95: [1.8, 2.2] },
    },
  });

const webOn = { code: 'web_on', severity: 'warn', message: 'web on', where: {}, next: 'record it without' };

describe('line.yaml', () => {
  it('becomes radii, senses and SI, in US units as well', async () => {
    const { line } = await read(`
  - { name: unwind, kind: unwind, centre_ft: [0, 2], diameter_in: 40, turns: clockwise, core_diameter_in: 4 }
  - { name: idler, kind: idler, centre_m: [1.5, 0.2], diameter_mm: 200, turns: counter-clockwise, tension_pli: 1 }
`);
    const [unwind, idler] = webRollers(line);
    expect(unwind).toMatchObject({ name: 'unwind', radius: 0.508, sense: -1, centre: { x: 0, y: 0.6096 } });
    expect(idler).toMatchObject({ radius: 0.1, sense: 1, drag: { known: 'unknown' }, grooved: false });
    expect(line.sections[0]).toMatchObject({ kind: 'unwind', coreRadius: 0.0508 });
    expect(line.sections[1].tensionAfter).toBeCloseTo(4.4482216152605 / 0.0254, 9);
  });

  it('computes an inertia from a shell: tubes with known values', async () => {
    // Al 2700, 100/90 mm, 1.5 m: 0.0136737; steel 7850, 150/130 mm, 2 m: 0.3400821 kg·m² (computed by hand, J = π/2·ρ·L·(R⁴ − r⁴))
    const { line } = await read(`
  - { name: a, kind: idler, diameter_m: 0.1, shell: { wall_mm: 5, material: aluminium, length_m: 1.5 } }
  - { name: b, kind: idler, diameter_m: 0.15, face_width_m: 2, shell: { inner_diameter_m: 0.13, density_kgm3: 7850 } }
  - { name: c, kind: idler, like: b }
  - { name: d, kind: idler, like: c, face_width_m: 4 }
`);
    const [a, b, c, d] = webRollers(line).map((r) => r.inertia?.value);
    expect(a).toBeCloseTo(0.0136737, 7);
    expect(b).toBeCloseTo(0.3400821, 7);
    expect(c).toBe(b);
    expect(d).toBeCloseTo(2 * (b as number), 12);
  });

  it('takes inertia, drag and breakaway from the latest identification, to the roller through the gear', async () => {
    const section =
      '  - { name: pull roll, kind: pull-roll, diameter_m: 0.3, drive: drives/pull-roll.yaml }\n';
    const { line } = await read(section, {
      'drives/pull-roll.yaml': motor,
      'identifications/pull-roll.as-found.json': identification(1),
      'identifications/pull-roll.as-left.json': identification(0.5),
      'identifications/pull-roll.as-left-2.json': identification(0.6),
      'identifications/pull-roll.2027-01-15.json': identification(9, 'refused'),
      // an apparent drag, with what the web pulled in it
      'identifications/pull-roll.2027-01-16.json': identification(8, 'identified', [webOn]),
      'identifications/pull-roll-2.as-left.json': identification(7),
    });
    const [roller] = webRollers(line);
    // i = 5: torque × 5, torque per speed × 25, inertia (0.12 − 0.02) × 25
    expect(roller.drag).toMatchObject({
      known: 'measured',
      source: 'pull-roll.as-left-2.json',
      law: { coulomb: expect.closeTo(3, 12), viscous: expect.closeTo(0.25, 12) },
    });
    expect(roller.inertia?.value).toBeCloseTo(2.5, 12);
    expect(roller.breakaway).toBeCloseTo(10, 12);
    const stated = await read(
      section.replace(' }', ', identification: identifications/pull-roll.as-found.json }'),
      {
        'drives/pull-roll.yaml': motor,
        'identifications/pull-roll.as-found.json': identification(1),
        'identifications/pull-roll.as-left.json': identification(0.5),
      },
    );
    expect(webRollers(stated.line)[0].drag).toMatchObject({ law: { coulomb: 5 } });
  });

  it('knows the parts of a two-drum winder, of an S-wrap and of an accumulator', async () => {
    const { line } = await read(`
  - name: s-wrap
    kind: pull-roll
    centre_m: [0, 0]
    diameter_m: 0.2
    turns: clockwise
    rollers: [{ centre_m: [0.1, 0.3], diameter_m: 0.2, turns: counter-clockwise }]
  - { name: store, kind: accumulator, centre_m: [1, 0], diameter_m: 0.1, pitch_m: 0.15, strands: 4, carriage_height_m: 2 }
  - name: winder
    kind: winder
    type: two-drum
    centre_m: [4, 1]
    diameter_m: 0.5
    turns: clockwise
    rear_drum: { centre_m: [3.7, 0.5], diameter_m: 0.5, turns: counter-clockwise, drive: { rated_torque_Nm: 100 } }
    front_drum: { centre_m: [4.3, 0.5], diameter_m: 0.5, drive: { rated_torque_lbft: 100, gear_efficiency: 0.95 } }
`);
    expect(webRollers(line).map((r) => r.name)).toEqual([
      's-wrap 1',
      's-wrap 2',
      'store fixed 1',
      'store carriage 1',
      'store fixed 2',
      'store carriage 2',
      'store fixed 3',
      'winder rear drum',
      'winder',
    ]);
    expect((line.sections[2] as Winder).frontDrum?.name).toBe('winder front drum');
    expect([...drivenRollers(line)].map((d) => [d.roller.name, d.drive.drive.ratedTorque])).toEqual([
      ['winder rear drum', 100],
      ['winder front drum', expect.closeTo(135.58179483314004, 10)],
    ]);
  });
});

describe('line.yaml that cannot be', () => {
  const idler = (rest: string) => `  - { name: a, kind: idler }\n  - { name: b, kind: idler, ${rest} }\n`;
  it.each([
    ['an unknown key', idler('diametre_m: 1'), 'document_unknown_key', 6, 'diameter_m'],
    ['a key of another kind', idler('type: centre'), 'document_unknown_key', 6, 'kind'],
    [
      'a unit that a diameter does not have',
      idler('diameter_kg: 1'),
      'document_unknown_key',
      6,
      'diameter_mm',
    ],
    ['an unknown kind', idler('diameter_m: 1').replaceAll('idler', 'idle'), 'document_schema', 5, 'idler'],
    [
      'two sections of one name',
      idler('like: a').replace('name: b', 'name: a'),
      'document_duplicate_name',
      6,
      'name',
    ],
    ['a diameter of zero', idler('diameter_m: 0'), 'document_schema', 6, ''],
    ['a negative inertia in US units', idler('inertia_lbft2: -1'), 'document_schema', 6, ''],
    [
      'a shell thicker than its roller',
      idler('diameter_m: 0.1, shell: { wall_m: 0.06, material: steel, length_m: 1 }'),
      'document_value',
      6,
      'diameters',
    ],
    [
      'a shell of no material',
      idler('diameter_m: 0.1, shell: { wall_m: 0.01, length_m: 1 }'),
      'document_value',
      6,
      'material',
    ],
    ['an unknown reference', idler('like: c'), 'document_reference', 6, 'write'],
    [
      'a circle of references',
      '  - { name: a, kind: idler, like: b }\n  - { name: b, kind: idler, like: a }\n',
      'document_reference',
      5,
      'mechanics',
    ],
    ['a reference to itself', idler('like: b'), 'document_reference', 6, 'mechanics'],
    [
      'a core larger than the roll',
      '  - { name: u, kind: unwind, diameter_m: 0.2, core_diameter_m: 0.3 }\n',
      'document_value',
      5,
      'core',
    ],
    ['a gearbox that makes power', idler('drive: { gear_efficiency: 1.1 }'), 'document_schema', 6, ''],
    ['a gearbox that passes nothing on', idler('drive: { gear_efficiency: 0 }'), 'document_schema', 6, ''],
    ['a winder without a type', '  - { name: w, kind: winder }\n', 'document_value', 5, 'two-drum'],
    [
      'a drum at a centre winder',
      '  - { name: w, kind: winder, type: centre, drum: x }\n',
      'document_unknown_key',
      5,
      '',
    ],
    [
      'a drum that comes after the winder',
      '  - { name: w, kind: winder, type: surface, drum: d }\n  - { name: d, kind: drum }\n',
      'document_reference',
      5,
      'before',
    ],
    [
      'an odd number of strands',
      '  - { name: s, kind: accumulator, strands: 3, pitch_m: 0.2, carriage_height_m: 1 }\n',
      'document_value',
      5,
      'even',
    ],
    ['a drive file that is not there', idler('drive: drives/none.yaml'), 'file_not_found', undefined, ''],
    ['a drive outside the folder', idler('drive: ../none.yaml'), 'path_outside_folder', undefined, ''],
    [
      'an alias that holds itself',
      '  - &a { name: a, kind: idler, drive: *a }\n',
      'document_reference',
      undefined,
      'alias',
    ],
  ])('refuses %s with its line and the next step', async (_name, sections, code, line, next) => {
    const error = await refusal(sections);
    expect(error.code).toBe(code);
    if (line !== undefined) expect(error.where).toMatchObject({ file: 'line.yaml', line });
    expect(error.next).toContain(next);
    expect(error.next.length).toBeGreaterThan(5);
  });
});
