import { describe, expect, test } from 'vitest';
import { type DriveDocument, toDrive } from '../../../../src/engine/project/drive.js';
import { makeFormat } from '../../../../src/engine/report/format.js';
import { renderHtml } from '../../../../src/engine/report/html.js';
import type { Block, ReportTree } from '../../../../src/engine/report/reportTree.js';
import { sheetCautions } from '../../../../src/engine/report/testSheet/sheetWords.js';
import { testsFor } from '../../../../src/engine/report/testSheet/testFor.js';
import { sheetTests } from '../../../../src/engine/report/testSheet/testPlan.js';
import { testSheet } from '../../../../src/engine/report/testSheet/testSheet.js';

const unwind = toDrive({
  schema: 'tautline/drive@1',
  name: 'unwind <1>',
  element: 'unwind',
  rated_torque_Nm: 70,
  gear_ratio: 4,
  core_diameter_m: 0.1,
  max_motor_speed_rad_per_s: 420,
  motor_inertia_kgm2: 0.11,
} satisfies DriveDocument);
const bare = toDrive({ schema: 'tautline/drive@1', name: 'bare', element: 'pull-roll' });

const sheet = (
  drive = unwind,
  name: (typeof sheetTests)[number] = 'designed',
  system: 'si' | 'us' = 'si',
): ReportTree => testSheet({ drive, test: name, format: makeFormat(system), invented: false });
const blocks = (tree: ReportTree, id: string): readonly Block[] =>
  tree.sections.find((s) => s.id === id)?.blocks ?? [];
const text = (tree: ReportTree, id: string): string => JSON.stringify(blocks(tree, id));

describe('the sheet for a finding', () => {
  test('is there for what another recording would put right, once each, and for nothing that it would not', () => {
    expect(testsFor(['one_speed_only', 'no_breakaway_test', 'low_speed_only'])).toEqual([
      'staircase',
      'breakaway',
    ]);
    expect(testsFor(['units_missing', 'layers_slip', 'duplicate_timestamps'])).toEqual([]);
  });
});

describe('a test sheet', () => {
  test.each(sheetTests)(
    '%s has the same cautions in the same place, before anything that is to be done',
    (name) => {
      const [first] = sheet(unwind, name).sections;
      expect(first?.id).toBe('cautions');
      expect(first?.blocks).toEqual([{ kind: 'cautions', items: sheetCautions }]);
      const all = sheetCautions.join(' ');
      for (const words of [
        /local codes/,
        /risk assessment/,
        /licence/,
        /safety function/,
        /never writes to a drive/,
      ])
        expect(all).toMatch(words);
    },
  );

  test('states speeds of this drive: 5 % of 420 rad/s is 201 rpm, and on the core of 0.1 m behind a gear of 4 15.75 m/min', () => {
    const steps = text(sheet(unwind, 'staircase'), 'steps');
    // 0.05 * 420 * 60 / (2 pi) = 200.5 rpm; 0.05 * 420 / 4 * 0.05 m = 0.2625 m/s = 15.75 m/min
    expect(steps).toContain('{"text":"201"},{"text":"15.75"}');
    expect(steps).toContain('4011');
    expect(text(sheet(unwind, 'staircase', 'us'), 'steps')).toContain('51.67'); // 0.2625 m/s / 0.00508 fpm
  });

  test('raises torque by half a percent of rated a second: 0.35 N·m of 70', () => {
    expect(text(sheet(unwind, 'breakaway'), 'steps')).toContain('0.35 N·m a second');
    expect(text(sheet(unwind, 'breakaway'), 'steps')).toContain('5 times');
  });

  test('of an unwind asks for an empty core, of a test with web for the web', () => {
    expect(text(sheet(), 'machine')).toMatch(/Empty core/);
    expect(text(sheet(bare), 'machine')).not.toMatch(/Empty core/);
    expect(text(sheet(bare, 'web-on'), 'machine')).toMatch(/Web threaded/);
  });

  test('of a drive of which nothing is stated stands in percent and says what is missing', () => {
    expect(text(sheet(bare), 'machine')).toMatch(/Not stated.*max_motor_speed.*rated_torque/);
    expect(text(sheet(bare), 'steps')).toContain('% of top');
    expect(text(sheet(bare), 'steps')).not.toMatch(/NaN|undefined/);
  });

  test('prints as one file whose texts are escaped', () => {
    const html = renderHtml(sheet());
    expect(html).toContain('unwind &lt;1&gt;');
    expect(html).not.toContain('unwind <1>');
    expect(html).not.toMatch(/NaN|undefined|<script/);
  });
});
