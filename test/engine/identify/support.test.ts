import { describe, expect, test } from 'vitest';
import type { Stretch } from '../../../src/engine/identify/stretch.js';
import { dragSupport, plateauLevels } from '../../../src/engine/identify/support.js';
import type { WindowRow } from '../../../src/engine/identify/windows.js';
import { scalesFor } from '../../support/profiles.js';
import { helperDrive } from '../../support/staircaseDrive.js';

const plateau = (level: number, used = true): Stretch => ({
  kind: 'plateau',
  start: 0,
  end: 100,
  level,
  slope: 0,
  used,
  why: '',
});

const window = (speed: number, acceleration = 0, coasting = false): WindowRow => ({
  start: 0,
  end: 10,
  time: 0,
  duration: 1,
  stretch: 0,
  coasting,
  direction: speed > 0 ? 1 : -1,
  acceleration,
  speed,
  speedSquared: speed * Math.abs(speed),
  torque: 1,
});

/** What plateaus at these speeds support, on a recording that reached `range`. */
const byPlateaus = (levels: number[], range = 100) =>
  dragSupport(
    levels.map((w) => window(w)),
    levels.map((w) => plateau(w)),
    1,
    helperDrive,
    scalesFor(range, 10),
  );

describe('plateau speeds', () => {
  test('repeats and near neighbours count once, unused ones and the other direction not at all, in ascending order', () => {
    const list = [80, 20, 21, 20.5, 50].map((w) => plateau(w));
    expect(plateauLevels([...list, plateau(-35), plateau(65, false)], 1, 100)).toEqual([20, 50, 80]);
    expect(plateauLevels([plateau(-35), plateau(35)], -1, 100)).toEqual([35]);
    expect(plateauLevels([], 1, 100)).toEqual([]);
  });

  test('the order of the plateaus does not matter', () => {
    const speeds = [5, 7.9, 11, 30, 32.9, 36, 90];
    const forward = plateauLevels(
      speeds.map((w) => plateau(w)),
      1,
      100,
    );
    expect(
      plateauLevels(
        speeds.toReversed().map((w) => plateau(w)),
        1,
        100,
      ),
    ).toEqual(forward);
  });
});

describe('what plateaus support: one unknown more asks for more speeds', () => {
  test.each([
    [[50], false, false],
    [[50, 52], false, false],
    [[20, 90], true, false],
    [[20, 50, 90], true, false],
    [[20, 40, 60, 90], true, true],
    [[10, 20, 30, 40], true, false],
    [[70, 72, 75, 80], false, false],
  ] as const)('%j rad/s of 100', (levels, viscous, quadratic) => {
    const support = byPlateaus([...levels]);
    expect([support.viscous, support.quadratic]).toEqual([viscous, quadratic]);
    expect(support.lowest).toBe(Math.min(...levels));
    expect(support.highest).toBe(Math.max(...levels));
    const refused = support.refused.map((r) => r.name);
    expect(refused.includes('viscous')).toBe(!viscous);
    expect(refused.includes('quadratic')).toBe(!quadratic);
    for (const r of support.refused) expect(r.next.length).toBeGreaterThan(10);
  });

  test('another plateau never takes a term away', () => {
    const all = [90, 20, 60, 40, 10, 75, 30];
    let before = byPlateaus(all.slice(0, 1));
    for (let k = 2; k <= all.length; k++) {
      const now = byPlateaus(all.slice(0, k));
      expect(Number(now.viscous)).toBeGreaterThanOrEqual(Number(before.viscous));
      expect(Number(now.quadratic)).toBeGreaterThanOrEqual(Number(before.quadratic));
      before = now;
    }
  });

  test('windage needs half of the top speed that the drive file states, and the reason says how far it went', () => {
    const drive = { ...helperDrive, maxMotorSpeed: 300 };
    const levels = [20, 40, 60, 90];
    const support = dragSupport(
      levels.map((w) => window(w)),
      levels.map((w) => plateau(w)),
      1,
      drive,
      scalesFor(90, 10),
    );
    expect(support.quadratic).toBe(false);
    expect(support.refused.find((r) => r.name === 'quadratic')?.why).toMatch('90.0 of 300 rad/s');
  });
});

describe('what sweeps support', () => {
  const sweep = (acceleration: number, coasting = false): WindowRow[] =>
    [10, 22, 35, 48, 60, 72, 85, 97].map((w) => window(w, acceleration, coasting));
  const of = (rows: WindowRow[]) => dragSupport(rows, [], 1, helperDrive, scalesFor(100, 10));

  test('a coast-down from top speed carries the whole curve', () => {
    expect(of(sweep(-5, true))).toMatchObject({ viscous: true, quadratic: true });
  });

  test('ramps up and down do, ramps one way only do not: drag and inertia would be one', () => {
    expect(of([...sweep(5), ...sweep(-5)])).toMatchObject({ viscous: true, quadratic: true });
    expect(of(sweep(5))).toMatchObject({ viscous: false, quadratic: false });
    expect(of(sweep(-5))).toMatchObject({ viscous: false, quadratic: false });
  });

  test('in reverse the same: what speeds up is what grows in magnitude', () => {
    const mirrored = [...sweep(5), ...sweep(-5)].map((r) => ({
      ...r,
      speed: -r.speed,
      acceleration: -r.acceleration,
      direction: -1 as const,
    }));
    expect(dragSupport(mirrored, [], -1, helperDrive, scalesFor(100, 10))).toMatchObject({
      viscous: true,
      quadratic: true,
    });
  });
});
