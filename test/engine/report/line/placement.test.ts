import { describe, expect, test } from 'vitest';
import { createRandom } from '../../../../src/engine/numerics/random.js';
import {
  covers,
  crossesBox,
  type Disc,
  overlap,
  placeLabels,
  type Segment,
} from '../../../../src/engine/report/line/placement.js';

describe('crossesBox', () => {
  const box = { left: 0, top: 0, right: 10, bottom: 5 };
  const segment = (x1: number, y1: number, x2: number, y2: number): Segment => ({ x1, y1, x2, y2 });
  test.each<[string, Segment, boolean]>([
    ['through', segment(-5, 2, 15, 3), true],
    ['inside', segment(2, 2, 3, 3), true],
    ['ending inside', segment(-5, 2, 3, 3), true],
    ['over a corner', segment(-1, 1, 1, -0.5), true],
    ['past a corner', segment(-1, 1, 1, -1.5), false],
    ['short of it', segment(-5, 2, -1, 3), false],
    ['along the edge', segment(0, 0, 10, 0), false],
    ['above', segment(-5, -1, 15, -1), false],
  ])('%s', (_, s, expected) => expect(crossesBox(s, box)).toBe(expected));
});

test('covers: a disc at a corner covers the box only if it reaches the corner', () => {
  const box = { left: 0, top: 0, right: 10, bottom: 5 };
  expect(covers(box, { x: -3, y: -4, r: 5.01 })).toBe(true);
  expect(covers(box, { x: -3, y: -4, r: 4.99 })).toBe(false);
  expect(covers(box, { x: 5, y: 2, r: 0.1 })).toBe(true);
});

describe('placeLabels', () => {
  /** Discs in a row with lines between them, crowded as asked. */
  function crowd(count: number, pitch: number, isUpright: boolean) {
    const random = createRandom(count);
    const discs: Disc[] = Array.from({ length: count }, (_, i) => ({
      x: 40 + pitch * i,
      y: 100 + 60 * random.uniform(),
      r: 3 + 6 * random.uniform(),
    }));
    const lines = discs.slice(1).map((d, i): Segment => {
      const a = discs[i] as Disc;
      return { x1: a.x, y1: a.y, x2: d.x, y2: d.y };
    });
    const sheet = { left: 0, right: 80 + pitch * count, discs, lines, boxes: [] };
    const size = isUpright ? { width: 13, height: 70, isUpright } : { width: 70, height: 13 };
    return {
      sheet,
      placed: placeLabels(
        discs.map((anchor) => ({ anchor, ...size })),
        sheet,
      ),
    };
  }

  test.each([
    [8, 90, false],
    [60, 60, false],
    [60, 20, false],
    [60, 19, true],
    [200, 19, true],
  ])(
    '%d labels, one every %d units, upright %s: all placed, none on another, on a disc or off the sheet',
    (count, pitch, isUpright) => {
      const { sheet, placed } = crowd(count, pitch, isUpright);
      expect(placed).toHaveLength(count);
      for (const [i, { box }] of placed.entries()) {
        expect(box.left).toBeGreaterThanOrEqual(sheet.left);
        expect(box.right).toBeLessThanOrEqual(sheet.right);
        expect(sheet.discs.filter((d) => covers(box, d))).toEqual([]);
        expect(placed.slice(i + 1).filter((other) => overlap(other.box, box))).toEqual([]);
      }
    },
  );

  test('a leader runs from the rim of its disc to its label and through no other label', () => {
    const { sheet, placed } = crowd(60, 30, false); // more than twice the width of the sheet
    const withLeader = placed.flatMap((p, i) => (p.leader ? [{ ...p, leader: p.leader, i }] : []));
    expect(withLeader.length).toBeGreaterThan(10);
    for (const { leader, box, i } of withLeader) {
      const disc = sheet.discs[i] as Disc;
      expect(Math.hypot(leader.x1 - disc.x, leader.y1 - disc.y)).toBeCloseTo(disc.r, 9);
      expect(
        overlap(
          { left: leader.x2 - 1, right: leader.x2 + 1, top: leader.y2 - 1, bottom: leader.y2 + 1 },
          box,
        ),
      ).toBe(true);
      for (const [k, other] of placed.entries())
        if (k !== i) expect(crossesBox(leader, other.box)).toBe(false);
    }
  });

  test('alone on the sheet a label stands right at its disc, without a leader', () => {
    const disc = { x: 100, y: 100, r: 20 };
    const [placed] = placeLabels([{ anchor: disc, width: 50, height: 13 }], {
      left: 0,
      right: 200,
      discs: [disc],
      lines: [],
      boxes: [],
    });
    expect(placed?.leader).toBeUndefined();
    expect(placed?.box.left).toBeCloseTo(75, 9);
    expect(placed?.box.bottom).toBeCloseTo(77, 9);
  });
});
