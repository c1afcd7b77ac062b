import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { dragRise, inertiaRise } from '../../../../src/engine/line/idler.js';
import { type TugOptions, tugBudget } from '../../../../src/engine/line/tug/tugBudget.js';
import type { RollerTug } from '../../../../src/engine/line/tug/types.js';
import type { SectionDocument } from '../../../../src/engine/project/line/lineDocument.js';
import { airFilm } from '../../../../src/engine/web/airFilm.js';
import { capstanRatio, decelerationBeforeSlip } from '../../../../src/engine/web/traction.js';
import { zigzag } from '../../../support/zigzagLine.js';

const rollers = (line: ReturnType<typeof zigzag>, options: TugOptions = {}): readonly RollerTug[] =>
  tugBudget(line, options)?.zones.flatMap((z) => z.rollers) ?? [];
const at = (acceleration: number, stop: number) => ({
  speed: { top_m_per_s: 5, acceleration_m_per_s2: acceleration, stop_m_per_s2: stop },
});

describe('a stop', () => {
  it('is lost where the fall of tension reaches the grip', () => {
    const d = decelerationBeforeSlip(0.2, 1, 150, 0.1, 0.05, 0.02);
    const after = 150 + dragRise(0.1, 0.05) + inertiaRise(0.02, -d, 0.05);
    expect(150 / after).toBeCloseTo(capstanRatio(0.2, 1), 12);
    // without friction the drag alone slows the roller
    expect(decelerationBeforeSlip(0, 1, 150, 0.1, 0.05, 0.02)).toBeCloseTo((0.1 * 0.05) / 0.02, 12);
  });

  it('is judged when it is harder than speeding up', () => {
    const [soft] = rollers(zigzag([{}], 150, at(0.5, 0.4)));
    expect(soft.worstWhen).toBe('speeding up');
    const [hard] = rollers(zigzag([{}], 150, at(0.5, 2)));
    // 16 N given back less 2.1 N of drag
    expect(hard.worstWhen).toBe('stopping');
    expect(hard.stopping?.low).toBeCloseTo(-16, 9);
    expect(hard.frictionNeeded).toBeCloseTo(Math.log(150 / 136.1) / (hard.wrap as number), 9);
  });

  it('is worst for a roller that turns easily, since drag helps to slow it', () => {
    const bearings = { bore_m: 0.025, outer_diameter_m: 0.052, kinematic_viscosity_m2_per_s: 1e-4 };
    const [r] = rollers(zigzag([{ drag: undefined, bearings }], 150, at(0.1, 2)));
    const drag = r.drag?.low as number;
    expect(r.frictionNeeded).toBeCloseTo(Math.log(150 / (150 + drag - 16)) / (r.wrap as number), 9);
  });

  it('slips where it is said to', () => {
    const [r] = rollers(zigzag([{}]));
    const stop = r.decelerationBeforeSlip as number;
    const [limit] = rollers(zigzag([{}], 150, at(0.01, stop)));
    expect(limit).toMatchObject({ worstWhen: 'stopping', verdict: 'needs a helper drive' });
    expect(limit.reserve).toBeCloseTo(1, 9);
  });

  it('counts against a quarter of the tension too, and is named', () => {
    // J·d/R² = 8·d: 37.5 N at 4.6875 m/s²
    const verdict = (stop: number) => rollers(zigzag([{ friction: 3 }], 150, at(0.5, stop)))[0];
    expect(verdict(4.68).verdict).toBe('carried by the web');
    const hard = verdict(4.8);
    expect(hard.verdict).toBe('needs a helper drive');
    expect(hard.reasons.join()).toMatch(/stopping gives back/);
  });

  it('that takes all the tension leaves the web slack', () => {
    const [slack] = rollers(zigzag([{ friction: 3 }], 150, at(0.5, 20)));
    expect(slack).toMatchObject({ verdict: 'needs a helper drive', reserve: 0 });
    expect(slack.frictionNeeded).toBeUndefined();
    expect(slack.reasons.join()).toMatch(/goes slack at it while the line stops/);
  });
});

describe('air and the momentum of the web', () => {
  it('make the film from the tension that presses', () => {
    // 2 kg/m² at 5 m/s: 50 N of 150 N do not press
    const web = { roughness: 50e-6, density: 1000, caliper: 2e-3 } as TugOptions['web'];
    const smooth: Partial<SectionDocument> = { roughness_m: 1e-6 };
    const [r] = rollers(zigzag([smooth]), { web });
    expect(r.film).toBeCloseTo(airFilm(0.05, 5, 5, 100), 12);
    // T − 50 on both sides
    expect(r.frictionNeeded).toBeCloseTo(Math.log(106.1 / 100) / (r.wrap as number), 9);
    const [grooved] = rollers(zigzag([{ ...smooth, grooved: true }]), { web });
    expect(grooved.film).toBe(0);
    expect(rollers(zigzag([{}]), { web })[0].film).toBeUndefined();
  });
});

describe('the whole budget', () => {
  it('never gives more grip for more drag, more speed of the line, or less tension', () => {
    const web = { roughness: 3e-6 } as TugOptions['web'];
    const reserve = (drag: number, top: number, tension: number): number => {
      const line = zigzag([{ drag: { coulomb_Nm: drag }, roughness_m: 3e-6 }], tension, {
        speed: { top_m_per_s: top, acceleration_m_per_s2: 0.5 },
      });
      return rollers(line, { web })[0].reserve as number;
    };
    const more = fc.double({ min: 1, max: 2, noNaN: true });
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 0.5, noNaN: true }),
        fc.double({ min: 0.5, max: 5, noNaN: true }),
        fc.double({ min: 50, max: 500, noNaN: true }),
        more,
        (drag, top, tension, factor) => {
          const base = reserve(drag, top, tension);
          expect(reserve(drag * factor, top, tension)).toBeLessThanOrEqual(base);
          expect(reserve(drag, top * factor, tension)).toBeLessThanOrEqual(base);
          expect(reserve(drag, top, tension / factor)).toBeLessThanOrEqual(base);
        },
      ),
      { numRuns: 25 },
    );
  });

  it('is the same for a line in feet and pounds', () => {
    // 6.1 N over one idler: 1.3713 lbf = 0.105 N·m over 50 mm and WK² 0.47461 lb·ft² at 1.6404 ft/s², computed with 32.174049 ft/s²
    const [r] = rollers(
      zigzag(
        [
          {
            diameter_m: 2 * 0.16404199 * 0.3048,
            inertia_kgm2: 0.4746072 * 0.0421401101,
            drag: { coulomb_Nm: 0.077444 * 1.3558179 },
          },
        ],
        150,
      ),
    );
    const lbf = ((r.drag?.low as number) + (r.inertia?.low as number)) / 4.4482216;
    const byHand = 0.077444 / 0.16404199 + (0.4746072 * 1.6404199) / 32.174049 / 0.16404199 ** 2;
    expect(byHand).toBeCloseTo(6.1 / 4.4482216, 4);
    expect(lbf).toBeCloseTo(byHand, 5);
  });
});
