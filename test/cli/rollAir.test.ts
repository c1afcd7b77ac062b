import { describe, expect, it } from 'vitest';
import { predictRoll } from '../../src/engine/program/roll/predictRoll.js';
import { rollBand } from '../../src/engine/program/roll/rollBand.js';
import { type RollDocument, rollSchema, toRollInput } from '../../src/engine/project/roll/rollDocument.js';
import { type RollResultDocument, toRollResult } from '../../src/engine/project/roll/rollResultDocument.js';
import { stackModulus } from '../../src/engine/roll/stress/stackModulus.js';
import { windRoll } from '../../src/engine/roll/stress/windRoll.js';
import { parsePlacedDocument } from '../../src/node/documents/yamlDocument.js';

const film = `schema: tautline/roll@1
web:  { width_m: 1.0, caliper_m: 25e-6, modulus_Pa: 4.5e9, poisson: 0.01, density_kgm3: 1390, friction: 0.3, roughness_um: 0.5,
        stack: { law: exponential, K1_Pa: 3000, K2: 120 } }
core: { outer_diameter_m: 0.089, stiffness_Pa: 1.11979e10 }
wind: { laps: 600, tension: { law: constant, start_N_per_m: 125 }, nip_N_per_m: 0, method: centre, air: { film_share: 0.1 } }
speed_m_per_s: 2
stop: { deceleration_m_per_s2: 2, braked_at: core }
after_winding: { creep: { shares: [0.05], times_s: [3600] }, steps: [{ time_s: 3600 }] }
`;
const result = (text: string): RollResultDocument => {
  const { data } = parsePlacedDocument(text, 'roll.yaml', rollSchema);
  return toRollResult('roll', predictRoll(toRollInput(data as RollDocument)));
};
const codes = (r: RollResultDocument): string[] => r.findings.map((f) => `${f.severity} ${f.code}`);
const mean = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0) / values.length;

describe('a roll wound with air', () => {
  const dry = result(film.replace(', air: { film_share: 0.1 }', ''));
  const aired = result(film);

  it('states film and what is left of it by lap: 0.1 of the foil bearing’s, and Boyle’s law', () => {
    const { film_m, left_m, lapThickness_m } = aired.air as NonNullable<RollResultDocument['air']>;
    expect(film_m).toHaveLength(600);
    const viscosity = 1.81e-5;
    const pressing = 125 - 1390 * 25e-6 * 4;
    for (const i of [0, 300, 599]) {
      const r = aired.radius_m[i];
      const whole = 0.643 * r * ((12 * viscosity * 2) / pressing) ** (2 / 3);
      expect(film_m[i] / (0.1 * whole)).toBeCloseTo(1, 8);
      const absolute = 101325 + pressing / r;
      expect(left_m[i] / ((film_m[i] * absolute) / (aired.pressure_Pa[i] + 101325))).toBeCloseTo(1, 7);
    }
    expect(aired.radius_m[599]).toBeCloseTo(0.0445 + 599 * lapThickness_m, 9);
    // The thickness of a lap is found to 0.2 %.
    expect(lapThickness_m / (25e-6 + mean(left_m))).toBeCloseTo(1, 2);
    expect(Math.abs(lapThickness_m / (25e-6 + mean(left_m)) - 1)).toBeLessThan(2e-3);
    expect(dry.air).toBeUndefined();
    expect(codes(aired)).toContain('info air_in_roll');
  });

  it('is thicker and looser than without, more so at speed, and keeps r_c·P_core = Σ σ·h of the web', () => {
    const fast = result(film.replace('speed_m_per_s: 2', 'speed_m_per_s: 6'));
    expect(aired.pressure_Pa[300]).toBeLessThan(dry.pressure_Pa[300]);
    expect(fast.pressure_Pa[300]).toBeLessThan(aired.pressure_Pa[300]);
    expect(fast.air?.lapThickness_m).toBeGreaterThan(aired.air?.lapThickness_m as number);
    expect(aired.compressedRadius_m).toBeGreaterThan(dry.compressedRadius_m as number);
    for (const r of [aired, fast]) {
      const sum = r.hoopStress_Pa.reduce((a, s) => a + s * 25e-6, 0);
      expect(sum / (0.0445 * r.corePressure_Pa)).toBeCloseTo(1, 7);
    }
    // Friction: all of it up to a film of the combined roughness, 0.71 µm; none from three times that on
    const share = fast.air?.frictionShare as number[];
    fast.air?.left_m.forEach((left, i) => {
      const straight = (3 * Math.SQRT2 * 0.5e-6 - left) / (2 * Math.SQRT2 * 0.5e-6);
      expect(share[i]).toBeCloseTo(Math.max(0, Math.min(1, straight)), 8);
    });
    expect(Math.min(...share)).toBeLessThan(1);
    expect(fast.minimumSlipMargin?.value).toBeLessThan(dry.minimumSlipMargin?.value as number);
  });

  it('without a film is the roll without air', () => {
    const none = result(film.replace('film_share: 0.1', 'film_share: 0'));
    none.pressure_Pa.forEach((p, i) => {
      expect(p / dry.pressure_Pa[i]).toBeCloseTo(1, 8);
    });
    expect(none.minimumSlipMargin?.value).toBeCloseTo(dry.minimumSlipMargin?.value as number, 6);
    expect(none.after?.[0]?.corePressure_Pa).toBeCloseTo(dry.after?.[0]?.corePressure_Pa as number, 0);
    expect(none.compressedRadius_m).toBeCloseTo(dry.compressedRadius_m as number, 9);
  });

  it('says what is missing, what a nip leaves open, and where laps float', () => {
    const change = (from: string, to: string): string[] => codes(result(film.replace(from, to)));
    expect(change('roughness_um: 0.5', 'permeable: true')).toContain('info air_not_computed');
    expect(change('speed_m_per_s: 2\n', '')).toContain('warn air_not_computed');
    expect(change(', roughness_um: 0.5', '')).toContain('info air_not_computed');
    expect(
      change(
        'nip_N_per_m: 0, method: centre, air: { film_share: 0.1 }',
        'nip_N_per_m: 80, method: centre, air: {}',
      ),
    ).toContain('warn air_nip_unknown');
    expect(change('nip_N_per_m: 0', 'nip_N_per_m: 80')).not.toContain('warn air_nip_unknown');
    expect(change('air: { film_share: 0.1 }', 'air: {}')).toContain('warn air_floats_laps');
    expect(codes(aired)).not.toContain('warn air_floats_laps');
    expect(() => result(film.replace('film_share: 0.1', 'film_share: 1.5'))).toThrow(
      expect.objectContaining({ code: 'document_schema' }),
    );
    expect(() => result(film.replace('start_N_per_m: 125', 'start_N_per_m: 0.2'))).toThrow(
      expect.objectContaining({ code: 'argument_invalid' }),
    );
  });
});

it('the solver hands the radius of each cell to a stack law that asks for it', () => {
  const seen = new Set<number>();
  const plain = stackModulus({ law: 'exponential', k1: 3000, k2: 120 });
  const roll = windRoll({
    laps: 40,
    caliper: 1e-3,
    coreRadius: 0.1,
    modulus: 4.5e9,
    poisson: 0,
    coreStiffness: 1e10,
    woundOn: () => 100,
    stack: {
      at: (p, r) => {
        seen.add(Number((r as number).toFixed(9)));
        return plain.at(p);
      },
      strain: plain.strain,
    },
  });
  expect([...seen].sort()).toEqual(Array.from(roll.radius.subarray(0, 39), (r) => Number(r.toFixed(9))));
});

it('a band of rolls is wound with the air too', () => {
  const { data } = parsePlacedDocument(film, 'roll.yaml', rollSchema);
  const input = toRollInput(data as RollDocument);
  const none = { modulus: 0, stack: { pressure: 0, slope: 0 }, friction: 0 };
  const band = rollBand(input, { rolls: 3, uncertainty: none });
  const roll = predictRoll(input);
  const last = band.radius.length - 1;
  for (const k of [0, 5, last]) {
    const i = Math.round((band.radius[k] - roll.radius[0]) / (roll.radius[1] - roll.radius[0]));
    expect(band.pressure.middle[k]).toBeCloseTo(roll.pressure[i], 3);
    expect(band.hoopStress.middle[k]).toBeCloseTo(roll.hoopStress[i], 2);
  }
  const dry = rollBand({ ...input, air: undefined }, { rolls: 3, uncertainty: none });
  expect(dry.pressure.middle[5]).toBeGreaterThan(1.1 * band.pressure.middle[5]);
});
