import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildProgram, tautline } from '../support/cli.js';

let folder: string;
beforeAll(() => {
  buildProgram();
  folder = mkdtempSync(join(tmpdir(), 'tautline-check-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

let count = 0;
function line(sections: string): string {
  const path = join(folder, `line${count++}.yaml`);
  writeFileSync(path, `schema: tautline/line@1\nname: test line (invented)\nsections:\n${sections}`);
  return path;
}
const two = `  - { name: left, kind: unwind, centre_m: [0, 0], diameter_m: 0.2, turns: counter-clockwise }
  - { name: right, kind: winder, type: centre, centre_m: [1, 0], diameter_m: 0.2, turns: clockwise }
`;

describe('tautline check', () => {
  it('prints spans as one JSON document and draws the line', () => {
    const svg = join(folder, 'side view.svg');
    const run = tautline(['check', line(two), '--json', '--svg', svg]);
    expect(run.code).toBe(0);
    const result = JSON.parse(run.out);
    expect(result).toMatchObject({ schema: 'tautline/line-check@1', wraps: [], overBuild: [] });
    // k = 0.1 + 0.1, L = √(1 − 0.2²), heading = asin(0.2)
    expect(result.spans).toEqual([
      {
        from: 'left',
        to: 'right',
        length_m: expect.closeTo(0.9797958971, 9),
        heading_rad: expect.closeTo(Math.asin(0.2), 9),
      },
    ]);
    expect(result.pathLength_m).toBe(result.spans[0].length_m);
    expect(readFileSync(svg, 'utf8')).toMatch(/^<svg[\s\S]*left[\s\S]*<\/svg>\s*$/);
  });

  it('takes a line in feet and inches for the same line, and prints feet', () => {
    const us = two
      .replace('[0, 0]', '[0, 0]')
      .replaceAll('centre_m: [1, 0]', `centre_ft: [${1 / 0.3048}, 0]`)
      .replaceAll('diameter_m: 0.2', `diameter_in: ${0.2 / 0.0254}`);
    expect(JSON.parse(tautline(['check', line(us), '--json']).out).spans[0].length_m).toBeCloseTo(
      0.9797958971,
      9,
    );
    expect(tautline(['check', line(us), '--units', 'us']).out).toMatch(/3\.215 ft/);
  });

  it('refuses a web that cannot run, at its line, and still prints the rest', () => {
    const path = line(
      `${two}  - { name: beyond, kind: idler, centre_m: [1.1, 0], diameter_m: 0.2, turns: counter-clockwise }\n`,
    );
    const run = tautline(['check', path, '--json']);
    expect(run.code).toBe(1);
    const result = JSON.parse(run.out);
    expect(result.spans).toHaveLength(1);
    expect(result.findings[0]).toMatchObject({
      code: 'web_path_impossible',
      severity: 'refuse',
      where: { line: 6, section: 'beyond' },
    });
    expect(tautline(['check', path]).out).toMatch(/web_path_impossible: .*\[line 6\]/);
  });

  it('refuses what is no line, with the place and the next step', () => {
    const run = tautline(['check', line(two.replace('diameter_m', 'diametre_m')), '--json']);
    expect(run.code).toBe(2);
    expect(JSON.parse(run.out).error).toMatchObject({
      code: 'document_unknown_key',
      where: { line: 4, key: 'diametre_m' },
    });
    expect(run.err).not.toMatch(/\n\s+at /);
  });
});
