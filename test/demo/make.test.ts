import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { demoFiles } from '../../demo/make.js';

const root = new URL('../../demo/', import.meta.url);
const files = new Map(demoFiles());

interface Section {
  readonly name: string;
  readonly centre_m: readonly [number, number];
  readonly diameter_m: number;
  readonly turns: 'clockwise' | 'counter-clockwise';
  readonly drive?: string;
  readonly like?: string;
}

/** Sections of the line; a roller that is built like another has its diameter. */
const sectionsOf = (text: string): readonly Section[] => {
  const { sections } = parse(text) as { sections: readonly Section[] };
  return sections.map((s) => ({ ...sections.find((o) => o.name === s.like), ...s }) as Section);
};

describe('the demonstration line', () => {
  it('stands in the repository as the script writes it', () => {
    for (const [path, text] of files)
      if (!path.startsWith('exports/')) expect(readFileSync(new URL(path, root), 'utf8'), path).toBe(text);
  });

  it('comes out the same every time', () => {
    for (const [path, text] of demoFiles()) expect(text === files.get(path), path).toBe(true);
  });

  it('is labelled invented in every document, and its exports are small', () => {
    for (const [path, text] of files) {
      if (!path.startsWith('exports/')) expect(text.slice(0, 100)).toMatch(/INVENTED/);
      else expect(text.length).toBeLessThan(3e6);
    }
  });

  it('has a drive file and an as-found export for every driven section, and one as-left visit', () => {
    const { sections } = parse(files.get('line.yaml')!) as { sections: readonly Section[] };
    const driven = sections.flatMap((s) => (s.drive === undefined ? [] : [s.drive]));
    expect(driven.length).toBeGreaterThanOrEqual(4);
    for (const drive of driven) {
      expect(parse(files.get(drive)!)).toMatchObject({ schema: 'tautline/drive@1' });
      const name = drive.replace(/^drives\/(.*)\.yaml$/, '$1');
      expect(files.has(`exports/${name}.as-found.csv`)).toBe(true);
    }
    expect([...files.keys()].filter((p) => p.endsWith('.as-left.csv'))).toHaveLength(1);
  });

  it('has a path that web can take: neighbours stand clear of each other and every wrap turns with its roller', () => {
    const sections = sectionsOf(files.get('line.yaml')!);
    const headings: number[] = [];
    for (let k = 1; k < sections.length; k++) {
      const a = sections[k - 1]!;
      const b = sections[k]!;
      const dx = b.centre_m[0] - a.centre_m[0];
      const dy = b.centre_m[1] - a.centre_m[1];
      const distance = Math.hypot(dx, dy);
      const touching = (a.diameter_m + b.diameter_m) / 2;
      expect(distance, `${a.name} and ${b.name}`).toBeGreaterThan(
        // The rider roller drives the surface of the winder's roll, so these two touch.
        a.name === 'rider roller' ? 0.999 * touching : touching,
      );
      // Common tangent: the web lies r to the left of a centre (clockwise +, else −), so sin(heading to line of centres) = (rb − ra)/d.
      const signed = (s: Section): number => (s.turns === 'clockwise' ? 1 : -1) * 0.5 * s.diameter_m;
      headings.push(Math.atan2(dy, dx) + Math.asin((signed(b) - signed(a)) / distance));
    }
    for (let k = 1; k < headings.length; k++) {
      const roller = sections[k]!;
      const turn = Math.atan2(
        Math.sin(headings[k]! - headings[k - 1]!),
        Math.cos(headings[k]! - headings[k - 1]!),
      );
      expect(Math.sign(turn), roller.name).toBe(roller.turns === 'clockwise' ? -1 : 1);
      expect(Math.abs(turn), roller.name).toBeGreaterThan(0.5);
    }
  });
});
