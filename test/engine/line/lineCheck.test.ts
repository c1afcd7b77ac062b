import { describe, expect, it } from 'vitest';
import { checkLine } from '../../../src/engine/line/check/lineCheck.js';
import { toLineCheckDocument } from '../../../src/engine/project/line/lineCheckDocument.js';
import type { LineDocument, SectionDocument } from '../../../src/engine/project/line/lineDocument.js';
import { toLine } from '../../../src/engine/project/line/toLine.js';

const document = (sections: readonly SectionDocument[]): LineDocument => ({
  schema: 'tautline/line@1',
  name: 'test line (invented)',
  sections,
});
const roller = (
  name: string,
  centre: readonly [number, number],
  diameter: number,
  turns: 'clockwise' | 'counter-clockwise',
  more: Partial<SectionDocument> = {},
): SectionDocument => ({ name, kind: 'idler', centre_m: centre, diameter_m: diameter, turns, ...more });
const check = (sections: readonly SectionDocument[]) => checkLine(toLine(document(sections)));
const codes = (sections: readonly SectionDocument[]): string[] =>
  check(sections)
    .findings.filter((f) => f.severity !== 'info')
    .map((f) => f.code);

const five = [
  roller('unwind', [0, 0], 0.8, 'clockwise', { kind: 'unwind' }),
  roller('idler 1', [1.5, 0.2], 0.2, 'counter-clockwise'),
  roller('idler 2', [2.3, 0.6], 0.1, 'clockwise'),
  roller('idler 3', [3.2, 0.1], 0.1, 'counter-clockwise'),
  roller('winder', [4.2, 0.5], 0.24, 'clockwise', { kind: 'winder', type: 'centre' }),
];

describe('check of a line', () => {
  it('gives spans, wraps and path length of the worked line', () => {
    const line = toLine(document(five));
    const result = toLineCheckDocument(line, checkLine(line));
    const degrees = (rad: number): number => (rad * 180) / Math.PI;
    // Worked example computed independently of this code (common tangents of circles, k = s1·R1 − s2·R2)
    const lengths = [1.428285686, 0.881759604, 1.024695077, 1.063531852];
    for (const [k, length] of lengths.entries()) expect(result.spans[k].length_m).toBeCloseTo(length, 8);
    const headings = [-11.698977, 36.219467, -34.62845, 30.883014];
    for (const [k, h] of headings.entries()) expect(degrees(result.spans[k].heading_rad)).toBeCloseTo(h, 5);
    const wraps = [47.918443, 70.847916, 65.511464];
    for (const [k, w] of wraps.entries()) expect(degrees(result.wraps[k].wrap_rad)).toBeCloseTo(w, 5);
    expect(result.wraps.map((w) => w.section)).toEqual(['idler 1', 'idler 2', 'idler 3']);
    expect(result.pathLength_m).toBeCloseTo(4.600901687, 8);
  });

  it('says in one remark whose inertia and drag are not known, and nothing else', () => {
    const { findings } = check(five);
    expect(findings.map((f) => f.code)).toEqual(['mechanics_missing']);
    expect(findings[0].message).toMatch(/inertia of idler 1, idler 2, idler 3/);
  });

  it('follows wraps while rolls build and unwind', () => {
    const rolls = five.map((s) =>
      s.kind === 'unwind' || s.kind === 'winder' ? { ...s, core_diameter_m: 0.1, full_diameter_m: 0.8 } : s,
    );
    const { overBuild } = check(rolls);
    expect(overBuild.map((o) => o.section)).toEqual(['unwind', 'winder']);
    const first = overBuild[0].path.wraps.find((w) => w.name === 'idler 1')?.wrap as Float64Array;
    // With the roll at 0.1 m the first span runs as a tangent between rollers of radius 0.05 (clockwise) and 0.1.
    const heading = Math.atan2(0.2, 1.5) + Math.asin(-0.15 / Math.hypot(1.5, 0.2));
    expect(first[0]).toBeCloseTo((36.219467 * Math.PI) / 180 - heading, 6);
  });

  it.each([
    [
      'rollers too close for the sides',
      [roller('a', [0, 0], 0.2, 'clockwise'), roller('b', [0.15, 0], 0.2, 'counter-clockwise')],
      'web_path_impossible',
    ],
    [
      'a roller on the wrong side',
      [
        roller('a', [0, 0], 0.2, 'clockwise'),
        roller('b', [1, 0.5], 0.2, 'counter-clockwise'),
        roller('c', [2, 0], 0.2, 'clockwise'),
      ],
      'wrap_too_large',
    ],
    [
      'a roller in the way',
      [
        roller('a', [0, 0], 0.2, 'clockwise'),
        roller('b', [2, 0], 0.2, 'clockwise'),
        roller('c', [1, 0.1], 0.1, 'clockwise'),
      ],
      'web_path_blocked',
    ],
    [
      'rollers inside each other',
      [roller('a', [0, 0], 0.4, 'clockwise'), roller('b', [0.3, 0], 0.3, 'clockwise')],
      'rollers_overlap',
    ],
    [
      'a web that crosses itself',
      [
        roller('a', [0, 0], 0.1, 'clockwise'),
        roller('b', [2, 2], 0.1, 'clockwise'),
        roller('c', [2, 0], 0.1, 'clockwise'),
        roller('d', [0, 2], 0.1, 'clockwise'),
      ],
      'web_path_crossing',
    ],
    [
      'a roller without a place',
      [roller('a', [0, 0], 0.4, 'clockwise'), { name: 'b', kind: 'idler', diameter_m: 1 } as SectionDocument],
      'geometry_missing',
    ],
    [
      'a winder that grows into a roller',
      [
        roller('a', [0, 0], 0.1, 'clockwise'),
        roller('b', [1, 1], 0.1, 'clockwise'),
        roller('w', [1.5, 0], 0.2, 'clockwise', {
          kind: 'winder',
          type: 'centre',
          core_diameter_m: 0.1,
          full_diameter_m: 2.4,
        }),
      ],
      'rollers_overlap',
    ],
  ])('refuses %s', (_name, sections, code) => {
    expect(codes(sections)).toContain(code);
  });

  it('lets a drum touch its roll, with the front drum beside the path', () => {
    const drum = { diameter_m: 0.5, turns: 'counter-clockwise' as const };
    const sections = [
      roller('idler', [-1, 0], 0.1, 'clockwise'),
      roller('winder', [0, 0.6], 2 * (Math.hypot(0.35, 0.6) - 0.25), 'clockwise', {
        kind: 'winder',
        type: 'two-drum',
        core_diameter_m: 0.3,
        full_diameter_m: 1.2,
        rear_drum: { ...drum, centre_m: [-0.35, 0] },
        front_drum: { diameter_m: 0.5, centre_m: [0.35, 0] },
      }),
    ];
    expect(codes(sections)).toEqual([]);
    const { path } = check(sections);
    expect(path?.spans.map((s) => [s.from, s.to])).toEqual([
      ['idler', 'winder rear drum'],
      ['winder rear drum', 'winder'],
    ]);
    expect(path?.spans[1].length).toBeCloseTo(0, 6);
  });
});
