import { describe, expect, it } from 'vitest';
import { checkLine } from '../../../src/engine/line/check/lineCheck.js';
import { carriageForce, dancerTension } from '../../../src/engine/line/check/loads.js';
import { stepBeforeSlip } from '../../../src/engine/line/tug/grip.js';
import { tugBudget } from '../../../src/engine/line/tug/tugBudget.js';
import type { SectionDocument } from '../../../src/engine/project/line/lineDocument.js';
import { toLine } from '../../../src/engine/project/line/toLine.js';

const radians = (x: number): number => (x * Math.PI) / 180;
const lineOf = (sections: SectionDocument[]) =>
  toLine({
    schema: 'tautline/line@1',
    name: 'test (invented)',
    web_width_m: 2,
    speed: { top_m_per_s: 5, acceleration_m_per_s2: 0.5 },
    sections,
  });
const around = (
  middle: Partial<SectionDocument>,
  after: number | undefined = undefined,
): SectionDocument[] => [
  {
    name: 'unwind',
    kind: 'unwind',
    centre_m: [0, 0],
    diameter_m: 0.2,
    turns: 'clockwise',
    tension_N_per_m: 75,
  },
  // Equal rollers of one sense: spans run parallel to the lines of centres, so the web turns by exactly 90 degrees.
  {
    name: 'm',
    kind: 'load-cell',
    centre_m: [0, 2],
    diameter_m: 0.2,
    turns: 'clockwise',
    ...middle,
    ...(after !== undefined && { tension_N_per_m: after }),
  },
  { name: 'winder', kind: 'winder', type: 'centre', centre_m: [2, 2], diameter_m: 0.2, turns: 'clockwise' },
];

describe('loads that follow from tension', () => {
  it('press a load cell with the vector sum: 150 N over 90 degrees is 212.132 N', () => {
    expect(checkLine(lineOf(around({}))).loads).toEqual([
      { section: 'm', kind: 'load cell', force: expect.closeTo(212.132, 3), tension: 150 },
    ]);
  });

  it('give the tension that a dancer holds, the inverse of it', () => {
    expect(dancerTension(212.132034, radians(90))).toBeCloseTo(150, 5);
    expect(dancerTension(300, Math.PI)).toBeCloseTo(150, 12);
    const [load] = checkLine(lineOf(around({ kind: 'dancer', force_N: 212.132034 }))).loads;
    expect(load).toMatchObject({ kind: 'dancer', tension: expect.closeTo(150, 5) });
  });

  it('hold a carriage: 10 strands of 200 N and 250 kg take 4451.66 N', () => {
    expect(carriageForce(10, 200, 250, 3)).toBeCloseTo(4451.66, 2);
    // hanging below, the weight helps
    expect(carriageForce(10, 200, 250, -3)).toBeCloseTo(2000 - 2451.66, 2);
    const accumulator: SectionDocument = {
      name: 'store',
      kind: 'accumulator',
      centre_m: [1, 0],
      diameter_m: 0.1,
      pitch_m: 0.2,
      strands: 10,
      carriage_height_m: 3,
      carriage_mass_kg: 250,
    };
    const [load] = checkLine(
      lineOf([
        { name: 'u', kind: 'unwind', tension_N_per_m: 100 },
        accumulator,
        { name: 'w', kind: 'winder', type: 'centre' },
      ]),
    ).loads;
    expect(load).toMatchObject({ kind: 'carriage', force: expect.closeTo(4451.66, 2), tension: 200 });
  });

  it('are left out where tension, force or wrap is not stated', () => {
    const [unwind, ...rest] = around({});
    expect(checkLine(lineOf([{ ...unwind, tension_N_per_m: undefined }, ...rest])).loads).toEqual([]);
    expect(checkLine(lineOf(around({ kind: 'dancer' }))).loads).toEqual([]);
  });
});

describe('a section that holds a step of tension', () => {
  it('holds by wrap and nip', () => {
    // 100 N, 0.3 over 180 degrees: 100·(exp(0.3·π) − 1); nip 0.3 × 1500 N/m × 2 m = 900 N
    expect(stepBeforeSlip(100, 0.3 * Math.PI, 0, 0, 2)).toBeCloseTo(100 * (Math.exp(0.3 * Math.PI) - 1), 9);
    expect(stepBeforeSlip(100, 0, 0.3, 1500, 2)).toBeCloseTo(900, 9);
  });

  it('is refused where it cannot, and not judged where friction is not stated', () => {
    const drive = { rated_torque_Nm: 10 };
    const codes = (m: Partial<SectionDocument>, after: number) =>
      tugBudget(lineOf(around({ kind: 'pull-roll', drive, ...m }, after)))?.findings.map((f) => f.code);
    // from 150 N over 90 degrees with 0.3: up to 150·exp(0.3·π/2) = 240.3 N, 120.1 N/m
    expect(codes({ friction: 0.3 }, 120)).toEqual([]);
    expect(codes({ friction: 0.3 }, 121)).toEqual(['pull_roll_slips']);
    expect(codes({ friction: 0.3, nip_force_N_per_m: 500, nip_friction: 0.2 }, 121)).toEqual([]);
    expect(codes({}, 300)).toEqual([]);
    const finding = tugBudget(lineOf(around({ kind: 'pull-roll', drive, friction: 0.3 }, 121)))?.findings[0];
    expect(finding).toMatchObject({ severity: 'refuse', where: { section: 'm', pointer: 'sections.1' } });
  });

  it('holds the step from the tension that comes to it, with what the rollers before it ask', () => {
    const drive = { rated_torque_Nm: 10 };
    const [unwind, m, winder] = around({ kind: 'pull-roll', drive, friction: 0.3 }, 100);
    const idler: SectionDocument = {
      name: 'idler',
      kind: 'idler',
      centre_m: [-1, 1],
      diameter_m: 0.1,
      turns: 'counter-clockwise',
      inertia_kgm2: 0.02,
      drag: { coulomb_Nm: 0.105 },
    };
    const [grip] = tugBudget(lineOf([unwind, idler, m, winder]))?.grips ?? [];
    // 150 N and 2.1 N of drag come to it while the line runs, 156.1 N while it speeds up; 200 N are held behind it: the most it has to hold is 47.9 N
    expect(grip.step).toBeCloseTo(200 - 152.1, 9);
  });

  it('lets an air film take the grip of a wrap, not that of a nip', () => {
    const drive = { rated_torque_Nm: 10 };
    const web = { roughness: 1e-6, frictionOnRoller: 0.3 };
    const grip = (more: Partial<SectionDocument>) =>
      tugBudget(lineOf(around({ kind: 'pull-roll', drive, roughness_m: 2e-6, ...more }, 80)), { web })
        ?.grips[0].grip as number;
    // R = 0.1 m, 75 N/m at 5 m/s: the film is far beyond three roughnesses
    expect(grip({})).toBe(0);
    expect(grip({ grooved: true })).toBeCloseTo(150 * Math.expm1(0.3 * 0.5 * Math.PI), 9);
    expect(grip({ nip_force_N_per_m: 500, nip_friction: 0.2 })).toBeCloseTo(
      150 * Math.expm1(0.3 * 0.5 * Math.PI) + 0.2 * 500 * 2,
      9,
    );
    // without a friction of its own the nip has the roller's
    expect(grip({ nip_force_N_per_m: 500 })).toBeCloseTo(
      150 * Math.expm1(0.3 * 0.5 * Math.PI) + 0.3 * 500 * 2,
      9,
    );
    expect(
      tugBudget(lineOf(around({ kind: 'pull-roll', drive, roughness_m: 2e-6 }, 80)), { web })?.findings.map(
        (f) => f.code,
      ),
    ).toEqual(['pull_roll_slips']);
  });
});
