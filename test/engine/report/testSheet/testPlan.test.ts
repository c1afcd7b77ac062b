import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { demoDrives } from '../../../../demo/line.js';
import { identify } from '../../../../src/engine/identify/identify.js';
import type { Drive } from '../../../../src/engine/line/drive.js';
import { type DriveDocument, toDrive } from '../../../../src/engine/project/drive.js';
import { mapChannels } from '../../../../src/engine/recording/mapChannels.js';
import {
  sheetTests,
  showsQuadraticDrag,
  type TestPlan,
  testPlan,
} from '../../../../src/engine/report/testSheet/testPlan.js';
import { record } from '../../../support/plant/plant.js';
import { Random } from '../../../support/plant/random.js';
import { buildRig, dragTruth } from '../../../support/plant/rig.js';
import type { Phase } from '../../../support/plant/run.js';
import { plantTable } from '../../../support/plantRecording.js';

const bare: Drive = { name: 'x', element: 'pull-roll', gearRatio: 1 };

describe('the plan of a test', () => {
  test('takes the top speed of the drive, else of the line by v·i/R, else says none', () => {
    expect(testPlan({ drive: { ...bare, maxMotorSpeed: 300 }, test: 'ramps', lineTop: 5 })).toMatchObject({
      top: 300,
      topFrom: 'drive',
    });
    // 5 m/s on a roller of 0.1 m behind a gearbox of 4: 5 * 4 / 0.1 = 200 rad/s
    expect(
      testPlan({ drive: { ...bare, gearRatio: 4, rollerRadius: 0.1 }, test: 'ramps', lineTop: 5 }),
    ).toMatchObject({ top: 200, topFrom: 'line' });
    expect(testPlan({ drive: bare, test: 'ramps' }).top).toBeUndefined();
  });

  test('ramps as the line does, slower where the rotor alone would take the torque', () => {
    const drive = { ...bare, maxMotorSpeed: 200, motorInertia: 0.1, ratedTorque: 10, torqueLimit: 1.5 };
    // 5 m/s at 0.25 m/s²: 20 s; the rotor needs 0.1 * 200 / 20 = 1 N·m of the allowed 6
    expect(testPlan({ drive, test: 'ramps', lineTop: 5, lineAcceleration: 0.25 })).toMatchObject({
      rampTime: 20,
      rampFrom: 'line',
    });
    const quick = testPlan({ drive, test: 'ramps', lineTop: 5, lineAcceleration: 5 });
    expect(quick.rampFrom).toBe('torque');
    // what is left of it takes just two fifths of the limit: 0.1 kg·m² * 200 rad/s / t = 0.4 * 1.5 * 10 N·m
    expect((0.1 * 200) / quick.rampTime).toBeCloseTo(6, 12);
    expect(testPlan({ drive: bare, test: 'ramps' })).toMatchObject({ rampTime: 10, rampFrom: 'usual' });
  });

  test('stays within the top speed, begins and ends where the next step can follow, and lasts as long as its steps', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...sheetTests),
        fc.record({
          gearRatio: fc.double({ min: 0.2, max: 60, noNaN: true }),
          maxMotorSpeed: fc.option(fc.double({ min: 5, max: 1500, noNaN: true }), { nil: undefined }),
          motorInertia: fc.option(fc.double({ min: 1e-4, max: 20, noNaN: true }), { nil: undefined }),
          ratedTorque: fc.option(fc.double({ min: 0.5, max: 3000, noNaN: true }), { nil: undefined }),
        }),
        (name, keys) => {
          const plan = testPlan({ drive: { ...bare, ...keys }, test: name });
          let sum = 0;
          for (const s of plan.steps) {
            if (s.kind === 'speed') {
              expect(s.to).toBeGreaterThanOrEqual(0);
              expect(s.to).toBeLessThanOrEqual(1);
              expect(s.ramp).toBeGreaterThan(0);
              sum += s.ramp + s.hold;
            } else if (s.kind === 'start') sum += s.dwell + s.most / s.rate;
          }
          expect(plan.duration).toBeCloseTo(sum, 9);
          // at standstill or coasting in the end
          const last = plan.steps.at(-1);
          expect(last?.kind === 'coast' || (last?.kind === 'speed' && last.to === 0)).toBe(true);
        },
      ),
    );
  });

  test('whose plateaus are enough for drag that grows with speed squared is that of the staircase', () => {
    expect(sheetTests.filter((t) => showsQuadraticDrag(testPlan({ drive: bare, test: t })))).toEqual([
      'designed',
      'staircase',
    ]);
  });
});

/** The plan as the invented plant runs it. */
const phasesOf = ({ steps, top = 0 }: TestPlan, ratedTorque: number): Phase[] =>
  steps.map((s): Phase => {
    if (s.kind === 'coast') return { mode: 'off', least: 1, most: 300 };
    if (s.kind === 'speed') return { mode: 'speed', to: s.to * top, ramp: s.ramp, hold: s.hold };
    return {
      mode: 'torque',
      dwell: s.dwell,
      rate: s.rate * ratedTorque,
      stopSpeed: s.stopSpeed * top,
      most: s.most * ratedTorque,
      timeout: s.most / s.rate,
    };
  });

describe('a recording made by the designed plan, on invented machines', () => {
  test.each(demoDrives.map((d) => [d.file, d] as const))(
    '%s gives inertia, drag and breakaway',
    (_, demo) => {
      const drive = toDrive(demo.drive as DriveDocument);
      const visit = demo.visits[0];
      if (visit === undefined) throw new Error('no visit');
      const rig = buildRig(new Random(demo.file, 7), demo.drive, demo.inertia, visit.friction, demo.rampTime);
      const plan = testPlan({ drive, test: 'designed' });
      const random = new Random(`sheet ${demo.file}`, 7);
      const plant = record(
        'sheet',
        7,
        { rig, phases: phasesOf(plan, rig.ratedTorque), layout: demo.layout, expects: {} },
        random,
      );
      const found = identify(mapChannels(plantTable(plant), drive), drive);
      expect(found.verdict).not.toBe('refused');
      const truth = dragTruth(visit.friction);
      // as the server's own test asks of an imported recording of such a plant (test/server/api.test.ts)
      expect(Math.abs((found.estimates.inertia?.value ?? Number.NaN) / demo.inertia - 1)).toBeLessThan(0.02);
      expect(Math.abs((found.estimates.coulomb?.value ?? Number.NaN) / truth.coulomb_Nm - 1)).toBeLessThan(
        0.1,
      );
      expect(found.estimates.breakaway).toBeDefined();
      expect(found.notEstimated.map((n) => n.name)).not.toContain('quadratic');
    },
  );
});
