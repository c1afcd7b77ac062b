import { describe, expect, test } from 'vitest';
import {
  accumulatorCircles,
  storedLength,
  strandLength,
} from '../../../../src/engine/line/path/accumulator.js';
import { gapBetween, type PathCircle } from '../../../../src/engine/line/path/circle.js';
import {
  circlesAtRadius,
  pathOverBuild,
  type RollMove,
  wrapOver,
} from '../../../../src/engine/line/path/overBuild.js';
import { webPath } from '../../../../src/engine/line/path/webPath.js';
import { circle } from './support.js';

const named = (circles: readonly PathCircle[], name: string): PathCircle => {
  const found = circles.find((c) => c.name === name);
  if (!found) throw new Error(name);
  return found;
};
const radii = Array.from({ length: 21 }, (_, i) => 0.05 + 0.03 * i);

describe('a roll that stays', () => {
  const line = [
    circle('unwind', 0, 0, 0.4, -1),
    circle('idler 1', 1.5, 0.2, 0.1, 1),
    circle('load cell', 2.3, 0.6, 0.05, -1),
    circle('end', 3.2, 0.1, 0.05, 1),
  ];
  const build = pathOverBuild(line, 0, radii, { moves: 'none' });

  test('the first span is √(d² - (R + R1)²), the wrap of the first idler changes by dθ = asin(k/d), nothing else moves', () => {
    const d = Math.hypot(1.5, 0.2);
    for (const [i, R] of radii.entries()) {
      expect(build.spans[0]?.length[i]).toBeCloseTo(Math.sqrt(d * d - (R + 0.1) ** 2), 12);
      const turned = Math.asin(-(R + 0.1) / d) - Math.asin(-(0.05 + 0.1) / d);
      const wrap = wrapOver(build, 'idler 1');
      expect(wrap?.[i]).toBeCloseTo((wrap?.[0] as number) - turned, 12);
      expect(wrapOver(build, 'load cell')?.[i]).toBeCloseTo(wrapOver(build, 'load cell')?.[0] as number, 12);
    }
    expect(build.problems).toEqual([]);
    expect(wrapOver(build, 'unwind')).toBeUndefined();
  });

  test('a roll that grows into the next roller says from which radius on', () => {
    const { problems } = pathOverBuild(line, 0, [0.4, 1.4, 1.45, 1.5], { moves: 'none' });
    const impossible = problems.filter((p) => p.problem.kind === 'impossible-tangent');
    expect(impossible.map((p) => p.radius)).toEqual([1.45]); // d = 1.5133, so R + 0.1 fits until 1.4133
  });
});

describe('a nip roller that gives way', () => {
  const line = [
    circle('a', 0, 0.6, 0.1, 1),
    circle('rider', 2, 0, 0.1, -1),
    circle('roll', 2.3, 0.3, 0.3, 1),
  ];
  const open = gapBetween(line[1] as PathCircle, line[2] as PathCircle);
  const move: RollMove = { moves: 'roller', nipWith: ['rider'] };

  test('keeps the gap that is drawn, on its line of centres, and the roll stays', () => {
    for (const R of radii) {
      const { circles } = circlesAtRadius(line, 2, R, move);
      const [rider, roll] = [named(circles, 'rider'), named(circles, 'roll')];
      expect(roll.centre).toEqual({ x: 2.3, y: 0.3 });
      expect(gapBetween(rider, roll)).toBeCloseTo(open, 12);
      expect(Math.atan2(roll.centre.y - rider.centre.y, roll.centre.x - rider.centre.x)).toBeCloseTo(
        Math.PI / 4,
        12,
      );
    }
  });

  test('so do two rollers, each along its own line of centres', () => {
    const second = circle('drum', 2.3, -0.3, 0.3, -1); // in contact, below the roll
    const { circles, beside } = circlesAtRadius(line, 2, 0.5, {
      moves: 'roller',
      nipWith: ['rider', 'drum'],
      beside: [second],
    });
    expect(gapBetween(named(circles, 'rider'), named(circles, 'roll'))).toBeCloseTo(open, 12);
    expect(named(beside, 'drum').centre.x).toBeCloseTo(2.3, 12);
    expect(named(beside, 'drum').centre.y).toBeCloseTo(0.3 - 0.5 - 0.3, 12);
  });

  test('a drawn overlap closes to contact', () => {
    const deep = line.map((c) => (c.name === 'roll' ? { ...c, radius: 0.3243 } : c));
    const { circles } = circlesAtRadius(deep, 2, 0.2, move);
    expect(gapBetween(named(circles, 'rider'), named(circles, 'roll'))).toBeCloseTo(0, 12);
  });

  test('in contact the last span has length 0 at every radius', () => {
    const closed = line.map((c) => (c.name === 'roll' ? { ...c, radius: Math.hypot(0.3, 0.3) - 0.1 } : c));
    const build = pathOverBuild(closed, 2, radii, { ...move, contacts: [['rider', 'roll']] });
    expect(build.problems).toEqual([]);
    for (const l of build.spans[1]?.length ?? []) expect(l).toBeCloseTo(0, 7);
    expect(build.spans[1]?.length).toHaveLength(radii.length);
  });
});

test('surface winder: the roll moves away from its drum', () => {
  const line = [
    circle('a', 0, 1, 0.1, -1),
    circle('drum', 1.5, 0, 0.25, 1),
    circle('roll', 1.8, 0, 0.05, -1),
  ];
  const build = pathOverBuild(line, 2, radii, {
    moves: 'roll',
    nipWith: ['drum'],
    contacts: [['drum', 'roll']],
  });
  expect(build.problems).toEqual([]);
  for (const R of radii) {
    const { circles } = circlesAtRadius(line, 2, R, { moves: 'roll', nipWith: ['drum'] });
    expect(named(circles, 'roll').centre.x).toBeCloseTo(1.5 + 0.25 + R, 12);
    expect(named(circles, 'roll').centre.y).toBeCloseTo(0, 12);
  }
  // The web reaches the drum and the nip where it always did.
  for (const w of wrapOver(build, 'drum') ?? [])
    expect(w).toBeCloseTo(wrapOver(build, 'drum')?.[0] as number, 6);
});

describe('two-drum winder', () => {
  const Rd = 0.25;
  const c = 0.55; // distance of the drums' centres
  const line = [
    circle('in', -1, -0.5, 0.1, -1),
    circle('rear', 0, 0, Rd, -1),
    circle('roll', c / 2, Math.sqrt((0.1 + Rd) ** 2 - (c / 2) ** 2), 0.1, 1),
  ];
  const roll = named(line, 'roll');
  const beside = [
    circle('front', c, 0, Rd, -1),
    circle('rider', roll.centre.x, roll.centre.y + 0.2, 0.1, -1),
  ];
  const move: RollMove = {
    moves: 'roll',
    nipWith: ['rear', 'front'],
    riders: ['rider'],
    beside,
    contacts: [
      ['rear', 'roll'],
      ['front', 'roll'],
      ['rider', 'roll'],
    ],
  };
  const sizes = radii.filter((R) => R >= 0.08);

  test('the roll rests on both: sin of half the angle at its centre is (c/2)/(R + Rd), the rider stays on top', () => {
    for (const R of sizes) {
      const { circles, beside: others } = circlesAtRadius(line, 2, R, move);
      const at = named(circles, 'roll');
      expect(at.centre.x).toBeCloseTo(c / 2, 12);
      expect(at.centre.y).toBeCloseTo((R + Rd) * Math.cos(Math.asin(c / 2 / (R + Rd))), 12);
      expect(gapBetween(at, named(others, 'front'))).toBeCloseTo(0, 12);
      expect(named(others, 'rider').centre.x).toBeCloseTo(c / 2, 12);
      expect(gapBetween(at, named(others, 'rider'))).toBeCloseTo(0, 12);
    }
    expect(pathOverBuild(line, 2, sizes, move).problems).toEqual([]);
  });

  test('drums of unlike radius: in contact with both, on the side on which it is drawn', () => {
    for (const side of [1, -1]) {
      const unlike = [
        circle('rear', 0, 0, 0.3, -1),
        circle('roll', 0.25, side * Math.sqrt(0.4 ** 2 - 0.25 ** 2), 0.1, 1),
      ];
      const front = circle('front', 0.6, -0.1, 0.2, -1);
      const start = unlike[1] as PathCircle;
      const gaps = [gapBetween(unlike[0] as PathCircle, start), gapBetween(front, start)];
      const { circles } = circlesAtRadius(unlike, 1, 0.4, {
        moves: 'roll',
        nipWith: ['rear', 'front'],
        beside: [front],
      });
      const at = named(circles, 'roll');
      expect(gapBetween(named(circles, 'rear'), at)).toBeCloseTo(Math.max(0, gaps[0] as number), 12);
      expect(gapBetween(front, at)).toBeCloseTo(Math.max(0, gaps[1] as number), 12);
      expect(Math.sign(at.centre.y)).toBe(side);
    }
  });

  test('a core that falls between the drums is a problem, not a number', () => {
    const { problems } = pathOverBuild(line, 2, [0.02, 0.1], move);
    expect(problems).toHaveLength(1);
    expect(problems[0]).toMatchObject({
      radius: 0.02,
      problem: { kind: 'roll-between-drums', roll: 'roll' },
    });
    const found = problems[0]?.problem;
    if (found?.kind === 'roll-between-drums') expect(found.missing).toBeCloseTo(c - 2 * (0.02 + Rd), 12);
  });
});

test('at the radius that is drawn every move gives the drawing', () => {
  const line = [circle('a', 0, 0.6, 0.1, 1), circle('n', 2, 0, 0.1, -1), circle('roll', 2.4, 0.1, 0.3, 1)];
  for (const moves of ['none', 'roller', 'roll'] as const) {
    const { circles } = circlesAtRadius(line, 2, 0.3, { moves, nipWith: moves === 'none' ? [] : ['n'] });
    for (const [i, c] of circles.entries()) {
      expect(c.centre.x).toBeCloseTo(line[i]?.centre.x as number, 12);
      expect(c.centre.y).toBeCloseTo(line[i]?.centre.y as number, 12);
    }
  }
});

test('what cannot be meant is refused', () => {
  const line = [circle('a', 0, 0.6, 0.1, 1), circle('roll', 2.4, 0.1, 0.3, 1)];
  expect(() => circlesAtRadius(line, 5, 0.3, { moves: 'none' })).toThrow(/number 5/);
  expect(() => circlesAtRadius(line, 1, 0.3, { moves: 'roll' })).toThrow(/nip/);
  expect(() => circlesAtRadius(line, 1, 0.3, { moves: 'roller', nipWith: ['roll'] })).toThrow(/nip/);
  expect(() => circlesAtRadius(line, 1, 0.3, { moves: 'none', nipWith: ['a'] })).toThrow(/nip/);
  const three = [...line, circle('b', 5, 0, 0.1, 1), circle('c', 0, 5, 0.1, 1)];
  expect(() => circlesAtRadius(three, 1, 0.3, { moves: 'roll', nipWith: ['a', 'b', 'c'] })).toThrow(/nip/);
  expect(() => circlesAtRadius(line, 1, 0.3, { moves: 'none', riders: ['b'] })).toThrow(/"b"/);
  expect(() => pathOverBuild(line, 1, [0.1, -0.1], { moves: 'none' })).toThrow(/radius -0.1/);
});

describe('accumulator', () => {
  const accumulator = {
    name: 'acc',
    entry: { x: 3, y: 1 },
    pitch: 0.25,
    strands: 8,
    fixedRadius: 0.1,
    carriageRadius: 0.08,
  };

  test.each([
    ['over to the right', 0.25, 1.5],
    ['under to the right', 0.25, -1.5],
    ['over to the left', -0.25, 1.5],
    ['under to the left', -0.25, -1.5],
  ])('%s: its web path has equal strands, no problem, and the stored length', (_, pitch, height) => {
    const a = { ...accumulator, pitch };
    const path = webPath(accumulatorCircles(a, height));
    expect(path.problems).toEqual([]);
    expect(path.spans).toHaveLength(8);
    for (const s of path.spans) expect(s.length).toBeCloseTo(strandLength(a, height), 12);
    expect(path.length).toBeCloseTo(storedLength(a, height), 12);
  });

  test('upright strands: N·h + half turns, by hand', () => {
    // A pitch of R1 + R2 makes the strands upright: L = h and every wrap is half a turn.
    const a = { ...accumulator, pitch: 0.18 };
    expect(strandLength(a, 1.5)).toBeCloseTo(1.5, 12);
    expect(storedLength(a, 1.5)).toBeCloseTo(8 * 1.5 + Math.PI * (4 * 0.08 + 3 * 0.1), 12);
    // 5 m/s more in than out lifts a carriage with 10 strands by 0.5 m/s: the length grows by N a metre of travel.
    const ten = { ...a, strands: 10 };
    expect((storedLength(ten, 2) - storedLength(ten, 1)) / 10).toBeCloseTo(1, 12);
  });

  test('a carriage that touches the fixed rollers stores nothing that could be told', () => {
    expect(storedLength(accumulator, 0)).not.toBeNaN(); // pitch 0.25 > 0.18: rollers pass each other
    expect(storedLength({ ...accumulator, pitch: 0.1 }, 0.1)).toBeNaN();
    expect(strandLength({ ...accumulator, pitch: 0.1 }, 0.1)).toBeNaN();
  });

  test('an odd number of strands and a pitch of 0 are refused', () => {
    for (const strands of [0, 1, 7, 2.5, Number.NaN])
      expect(() => accumulatorCircles({ ...accumulator, strands }, 1)).toThrow(/strands/);
    expect(() => accumulatorCircles({ ...accumulator, pitch: 0 }, 1)).toThrow(/pitch/);
  });
});
