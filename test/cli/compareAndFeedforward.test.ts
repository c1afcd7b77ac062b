import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { ComparisonDocument } from '../../src/engine/project/comparison.js';
import type { DriveDocument } from '../../src/engine/project/drive.js';
import type { FeedForwardDocument } from '../../src/engine/project/feedforward.js';
import type { PlayedDocument } from '../../src/engine/project/feedforwardPlay.js';
import {
  type IdentificationDocument,
  toIdentificationDocument,
} from '../../src/engine/project/identification.js';
import { buildProgram, tautline } from '../support/cli.js';
import { staircase } from '../support/profiles.js';
import { roller, type Stated, stated } from '../support/statedIdentification.js';

const driveDocument: DriveDocument = {
  schema: 'tautline/drive@1',
  name: 'INVENTED helper',
  element: 'driven-idler',
  rated_torque_Nm: 10,
  gear_ratio: 2.5,
  roller_diameter_m: 0.2,
  max_motor_speed_rad_per_s: 150,
  torque_limit_percent: 150,
};

let folder: string;
let found: string;
let left: string;

function write(name: string, content: unknown): string {
  const path = join(folder, name);
  writeFileSync(path, typeof content === 'string' ? content : JSON.stringify(content, null, 2));
  return path;
}

const document = (values: Stated, sha: string, drive = driveDocument): IdentificationDocument =>
  toIdentificationDocument(
    stated(values, { inputs: { file: `${sha}.csv`, sha256: sha.repeat(64), rows: 9 } }),
    drive,
  );

beforeAll(() => {
  buildProgram();
  folder = mkdtempSync(join(tmpdir(), 'tautline-pair-'));
  found = write('found.json', document(roller, 'a'));
  left = write('left.json', document({ ...roller, coulomb: [0.4, 0.005] }, 'b'));
}, 180_000);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('compare', () => {
  it('prints one JSON document with the keys of the contract', () => {
    const run = tautline(['compare', found, left, '--running-tension', '200', '--json']);
    expect(run).toMatchObject({ code: 0, err: '' });
    const c = JSON.parse(run.out) as ComparisonDocument;
    expect(c).toMatchObject({ schema: 'tautline/comparison@1', verdict: 'warned', tolerance_percent: 5 });
    const coulomb = c.changes.find((x) => x.name === 'coulomb_Nm')!;
    expect(coulomb).toMatchObject({ earlier: 0.6, later: 0.4, verdict: 'changed' });
    expect(coulomb.ratio).toBeCloseTo(2 / 3, 9);
    expect(coulomb.ratioInterval95).toHaveLength(2);
    expect(c.dragCurves[0]).toEqual({
      speed_rad_per_s: expect.any(Number),
      earlier_Nm: expect.any(Number),
      later_Nm: expect.any(Number),
      differenceInterval95_Nm: [expect.any(Number), expect.any(Number)],
    });
    // 0.2 N·m at the motor, times 2.5 over 0.1 m.
    expect(c.tugChange_N).toBeCloseTo(5, 6);
    expect(c.tugChange_percent).toBeCloseTo(2.5, 6);
    expect(c.findings.map((f) => f.code)).toEqual(['pair_change']);
  });

  it('prints tables for people in both systems of units', () => {
    const si = tautline(['compare', found, left, '--running-tension', '200']);
    expect(si.code).toBe(0);
    expect(si.out).toMatch(/Coulomb drag +0\.6000 N·m +0\.4000 N·m +0\.6667 .* changed/);
    expect(si.out).toMatch(/largest change of web tug: 5\.00 N .*2\.5 % of the running tension/);
    // 5 N are 1.124 lbf (4.4482216152605 N a pound-force, exact by definition).
    expect(tautline(['compare', found, left, '--units', 'us']).out).toMatch(/web tug: 1\.12 lbf/);
  });

  it('takes a tolerance in percent', () => {
    const wide = tautline(['compare', found, left, '--tolerance', '60', '--json']);
    const c = JSON.parse(wide.out) as ComparisonDocument;
    expect(c.tolerance_percent).toBe(60);
    expect(c.changes.find((x) => x.name === 'coulomb_Nm')!.verdict).toBe('unchanged');
    expect(c.findings).toEqual([]);
  });

  it('ends with 1 when the pair is refused', () => {
    const geared = write('geared.json', document(roller, 'c', { ...driveDocument, gear_ratio: 4 }));
    const run = tautline(['compare', found, geared, '--json']);
    expect(run.code).toBe(1);
    const c = JSON.parse(run.out) as ComparisonDocument;
    expect(c).toMatchObject({ verdict: 'refused', changes: [], dragCurves: [] });
    expect(c.findings[0]).toMatchObject({ code: 'pair_mismatch', severity: 'refuse' });
  });

  it('ends with 2, a code, the place and no stack trace on what it cannot read', () => {
    const broken = write('broken.json', '{ "schema": ');
    const wrong = JSON.parse(readFileSync(found, 'utf8')) as {
      estimates: { coulomb_Nm: { value: unknown } };
    };
    wrong.estimates.coulomb_Nm.value = 'much';
    const cases = [
      [['compare', found, join(folder, 'none.json')], 'file_not_found'],
      [['compare', broken, left], 'document_syntax'],
      [['compare', write('wrong.json', wrong), left], 'document_schema'],
      [['compare', found], 'usage'],
      [['compare', found, left, '--tolerance', '-3'], 'usage'],
      [['compare', found, left, '--running-tension', 'much'], 'usage'],
    ] as const;
    for (const [args, code] of cases) {
      const run = tautline([...args, '--json']);
      expect(run.code, code).toBe(2);
      expect(JSON.parse(run.out)).toMatchObject({ schema: 'tautline/error@1', error: { code } });
      expect(run.err).not.toMatch(/\n\s+at /);
    }
  });
});

describe('feedforward', () => {
  it('prints one JSON document: table, inertia, assist, what remains on the web', () => {
    const run = tautline(['feedforward', found, '--acceleration', '2', '--json']);
    expect(run).toMatchObject({ code: 0, err: '' });
    const f = JSON.parse(run.out) as FeedForwardDocument;
    expect(f).toMatchObject({
      schema: 'tautline/feedforward@1',
      verdict: 'identified',
      inertia_kgm2: { value: 0.02 },
      acceleration_m_per_s2: 2,
      acceleration_rad_per_s2: 50,
    });
    const top = f.rows.at(-1)!;
    // 0.6 + 0.003·150 + 1e-5·150² = 1.275 N·m; 12.75 % of 10 N·m; inertia asks for 0.02·50 = 1 N·m.
    expect(top.speed_rad_per_s).toBe(150);
    expect(top.torque_Nm).toBeCloseTo(1.275, 9);
    expect(top.torque_percent).toBeCloseTo(12.75, 9);
    expect(top.acceleratingTorque_Nm).toBeCloseTo(2.275, 9);
    expect(top.deceleratingTorque_Nm).toBeCloseTo(0.275, 9);
    expect(top.tugHalfWidth95_N).toBeGreaterThan(0);
    expect(f.rows[0]).toMatchObject({ speed_rad_per_s: 0, extrapolated: true });
    expect(f.breakawayAssist!.torque_Nm).toBeCloseTo(0.35, 9);
    expect(f.breakawayAssist!.torque_percent).toBeCloseTo(3.5, 9);
    expect(f.interpolationError_Nm!).toBeLessThanOrEqual(0.01 * 1.275);
  });

  it('makes a finer table for a smaller tolerance', () => {
    const rows = (percent: string): number =>
      (
        JSON.parse(
          tautline(['feedforward', found, '--tolerance', percent, '--json']).out,
        ) as FeedForwardDocument
      ).rows.length;
    expect(rows('0.1')).toBeGreaterThan(rows('1'));
  });

  it('takes another drive file instead of the drive inside the document', () => {
    const drive = write(
      'drive.yaml',
      'schema: tautline/drive@1\nname: INVENTED helper\nelement: driven-idler\nrated_torque_Nm: 20\nmax_motor_speed_rad_per_s: 300\n',
    );
    const f = JSON.parse(
      tautline(['feedforward', found, '--drive', drive, '--json']).out,
    ) as FeedForwardDocument;
    expect(f.rows.at(-1)!.torque_percent).toBeCloseTo(6.375, 9);
    expect(f.rows.at(-1)!.tugHalfWidth95_N).toBeUndefined();
    expect(f.notFilled_rad_per_s).toEqual([150, 300]);
    expect(f.findings.map((x) => x.code)).toEqual(['low_speed_only']);
    const run = tautline(['feedforward', found, '--drive', drive, '--acceleration', '1', '--json']);
    expect(run.code).toBe(2);
    expect(run.err).toContain('roller_diameter_m');
  });

  it('prints tables for people and warns of the torque limit', () => {
    const run = tautline(['feedforward', found, '--acceleration', '40']);
    expect(run.code).toBe(0);
    expect(run.out).toMatch(/150\.0 rad\/s +1\.275 N·m +12\.75 %/);
    expect(run.out).toMatch(
      /! torque_limit: while speeding up at 150 rad\/s .* 21\.3 N·m; the torque limit is 15\.0 N·m/,
    );
    expect(run.out).toMatch(/0 rad\/s .* extrapolated/);
    // 1.275 N·m are 0.9404 lb·ft (1.3558179483314004 N·m a lb·ft, exact by definition).
    expect(tautline(['feedforward', found, '--units', 'us']).out).toMatch(/0\.9404 lb·ft/);
  });

  it('plays a recording through it: a tenth of the inertia missing leaves a tenth of its force', () => {
    // plateaus at 20, 60 and 100 rad/s, ramps at 25 rad/s², and a torque that holds an inertia of 0.02/0.9 kg·m²
    const { time, value, slope } = staircase([20, 60, 100], 3, 25, 0.01);
    const lines = Array.from(time, (t, i) => {
      const w = value[i]!;
      const torque = (0.02 / 0.9) * slope[i]! + 0.6 + 0.003 * w + 1e-5 * w * w;
      return `${t.toFixed(2)},${w.toFixed(6)},${torque.toFixed(8)}`;
    });
    const csv = write('played.csv', `Time [s],Speed act [rad/s],Torque act [N.m]\n${lines.join('\n')}\n`);
    const fine = ['feedforward', found, '--tolerance', '0.01', '--play', csv, '--average', '0.2'];
    const { play } = JSON.parse(tautline([...fine, '--json']).out) as { play: PlayedDocument };
    expect(play).toMatchObject({ schema: 'tautline/feedforward-play@1', forcePerTorque_per_m: 25 });
    const ramp = play.summary.find((s) => s.kind === 'ramp')!;
    // 0.1·J·α·i/r = 0.1·0.02222·25·25 N; windows that reach over a corner hold less, and up to the 0.021 N·m of the trapezoidal rule more
    expect(ramp.with.peak_N!).toBeGreaterThan(1.38);
    expect(ramp.with.peak_N!).toBeLessThan(1.389 + 0.53);
    expect(ramp.without.peak_N!).toBeGreaterThan(25 * (0.02222 * 25 + 0.6 + 0.003 * 60));
    expect(play).not.toHaveProperty('trace');
    const run = tautline(fine);
    expect(run.code).toBe(0);
    expect(run.out).toMatch(/2 × change of speed .* N /);
    expect(run.out).toMatch(/means over 0\.20 s/);
    const refused = tautline([
      'feedforward',
      found,
      '--play',
      csv,
      '--channel',
      'motor-torque=nothing',
      '--json',
    ]);
    expect(refused.code).toBe(2);
  });

  it('ends with 1 and fills nothing in when inertia or drag is missing', () => {
    const { inertia: _, ...without } = roller;
    const drag = tautline(['feedforward', write('drag.json', document(without, 'd')), '--json']);
    expect(drag.code).toBe(1);
    expect(drag.out).not.toContain('inertia_kgm2');
    const inertia = write('inertia.json', document({ inertia: roller.inertia }, 'e'));
    const run = tautline(['feedforward', inertia, '--json']);
    expect(run.code).toBe(1);
    const f = JSON.parse(run.out) as FeedForwardDocument;
    expect(f.rows).toEqual([]);
    expect(f.findings[0]).toMatchObject({ code: 'no_designed_test', severity: 'refuse' });
  });
});

describe('the demonstration line', () => {
  const root = new URL('../../demo/', import.meta.url).pathname;
  const identified = (visit: string): string => {
    const run = tautline([
      'identify',
      join(root, `exports/bowed-roller-helper.${visit}.csv`),
      '--drive',
      join(root, 'drives/bowed-roller-helper.yaml'),
      '--json',
    ]);
    expect(run.code).toBe(0);
    return write(`${visit}.json`, run.out);
  };
  interface Truth {
    readonly drives: readonly {
      readonly export: string;
      readonly truth: Readonly<Record<string, number>>;
    }[];
  }
  const truthOf = (visit: string): Readonly<Record<string, number>> => {
    const { drives } = JSON.parse(readFileSync(join(root, 'truth.json'), 'utf8')) as Truth;
    return drives.find((d) => d.export.endsWith(`bowed-roller-helper.${visit}.csv`))!.truth;
  };
  /** Drag of the INVENTED truth without its Stribeck excess, which has decayed at the speeds looked at. */
  const trueDrag = (t: Readonly<Record<string, number>>, w: number): number =>
    t.coulomb_Nm! + t.viscous_Nms! * w + t.quadratic_Nms2! * w * w;

  it('shows what the repair changed and what it did not, and a table that meets the truth', () => {
    const [earlier, later] = [identified('as-found'), identified('as-left')];
    const [before, after] = [truthOf('as-found'), truthOf('as-left')];
    const c = JSON.parse(tautline(['compare', earlier, later, '--json']).out) as ComparisonDocument;
    for (const x of c.changes) {
      const same = before[x.name] === after[x.name];
      // A change that was not made must not be claimed, and the large ones that were made must be seen.
      if (same) expect(x.verdict, x.name).not.toBe('changed');
      else expect(x.verdict, x.name).toBe('changed');
    }
    expect(c.dragCurveVerdict).toBe('changed');
    const speed = c.tugChangeSpeed_rad_per_s!;
    const tug = ((trueDrag(before, speed) - trueDrag(after, speed)) * 2.5) / 0.075;
    expect(c.tugChange_N! / tug).toBeCloseTo(1, 1);

    const f = JSON.parse(tautline(['feedforward', later, '--json']).out) as FeedForwardDocument;
    for (const r of f.rows.filter((x) => !x.extrapolated && x.speed_rad_per_s > 10)) {
      const allowed = 0.025 * trueDrag(after, r.speed_rad_per_s);
      expect(Math.abs(r.torque_Nm - trueDrag(after, r.speed_rad_per_s))).toBeLessThan(allowed);
    }
    expect(f.inertia_kgm2!.value / after.inertia_kgm2!).toBeCloseTo(1, 2);
  });
});
