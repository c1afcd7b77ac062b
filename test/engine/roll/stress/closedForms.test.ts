import { describe, expect, test } from 'vitest';
import { createSchedule } from '../../../../src/engine/program/schedule/schedule.js';
import { stackModulus } from '../../../../src/engine/roll/stress/stackModulus.js';
import { windRoll } from '../../../../src/engine/roll/stress/windRoll.js';

// First for a matched core, c = E_t/E_c + ν = g, so B = 0: r·P = r^g·∫ σ_w·s^−g ds from r to R, with lengths in core radii and s₀ = 1.
// Hyperbolic taper, σ_w = 1 − t·(1 − 1/s): r·P = r^g·{(1 − t)·[r^(1−g) − R^(1−g)]/(g − 1) + t·[r^−g − R^−g]/g}.
const pressureOf = (g: number, t: number, R: number) => (r: number) =>
  (r ** g * (((1 - t) * (r ** (1 - g) - R ** (1 - g))) / (g - 1) + (t * (r ** -g - R ** -g)) / g)) / r;

const modulus = 4e9;
/** Pressures at x = 1, 1.5, 2, 2.5 for wound-on stress σ(x), of laps without thickness: extrapolated from 4000 and 8000 laps. */
function wound(g: number, R: number, sigma: (x: number) => number): number[] {
  const at = (laps: number): number[] => {
    const caliper = (R - 1) / laps;
    const { pressure } = windRoll({
      laps,
      caliper,
      coreRadius: 1,
      modulus,
      poisson: 0,
      stack: stackModulus({ law: 'constant', modulus: modulus / g ** 2 }),
      coreStiffness: modulus / g,
      woundOn: (_lap, r) => caliper * sigma(r),
    });
    return [0, 0.5, 1, 1.5].map((x) => pressure[Math.round((x / (R - 1)) * laps)] as number);
  };
  const [thick, thin] = [at(4000), at(8000)] as [number[], number[]];
  return thin.map((p, k) => 2 * p - (thick[k] as number));
}
// A lap counts with its first power, which the extrapolation takes out; (g·h/r)²/12 is left, 2e-7 at g = 8.
const close = (got: readonly number[], want: readonly number[]): void =>
  got.forEach((p, k) => {
    expect(Math.abs(p - (want[k] as number)), `place ${k}`).toBeLessThan(1e-6);
  });

describe('a roll on a matched core with a constant radial modulus', () => {
  test('of constant wound-on stress, g = 2, R/r_c = 3: 2/3, 1/2, 1/3, 1/6 of it', () => {
    close(
      wound(2, 3, () => 1),
      [2 / 3, 1 / 2, 1 / 3, 1 / 6],
    );
  });

  test('of constant torque, σ = 1/x: P = [1 − (r/R)^g]/(g·r)', () => {
    for (const g of [2, 8])
      close(
        wound(g, 3, (x) => 1 / x),
        [1, 1.5, 2, 2.5].map((r) => (1 - (r / 3) ** g) / (g * r)),
      );
    // by hand for g = 2: 4/9, 1/4, 5/36, 11/180
    close([1, 1.5, 2, 2.5].map(pressureOf(2, 1, 3)), [4 / 9, 1 / 4, 5 / 36, 11 / 180]);
  });

  test.each([0.25, 0.5, 0.75])('of hyperbolic taper %d is between the two, as the closed form says', (t) => {
    for (const g of [2, 8])
      close(
        wound(g, 3, (x) => 1 - t * (1 - 1 / x)),
        [1, 1.5, 2, 2.5].map(pressureOf(g, t, 3)),
      );
  });

  test('wound by the hyperbolic schedule itself has the pressures of the closed form', () => {
    const schedule = createSchedule(
      { law: 'hyperbolic', start: 300, taper: 0.6 },
      { core: 2, full: 6 },
      { name: 'tension' },
    );
    close(
      wound(4, 3, (x) => schedule.at(2 * x) / 300),
      [1, 1.5, 2, 2.5].map(pressureOf(4, 0.6, 3)),
    );
  });
});

describe('an isotropic roll', () => {
  // P = ½·(1 − a²/r²)·ln[(R² − a²)/(r² − a²)] with a core of the web's material and a bore of a; printed digits from Lamé rings summed.
  test.each([
    ['a solid core', 0, '1.0986123 0.6931472 0.4054651 0.1823216'],
    ['a core with a bore of half its radius', 0.5, '0.9212759 0.6559585 0.3971709 0.1811012'],
  ])('on %s', (_name, bore, printed) => {
    const closed = [1, 1.5, 2, 2.5].map(
      (r) => 0.5 * (1 - (bore / r) ** 2) * Math.log((9 - bore ** 2) / (r * r - bore ** 2)),
    );
    expect(closed.map((p) => p.toFixed(7)).join(' ')).toBe(printed);
    // E_w/((b² + a²)/(b² − a²) − ν) with ν = 0.3, written here anew; c = (b² + a²)/(b² − a²), free of ν
    const nu = 0.3;
    const at = (laps: number): number[] => {
      const { pressure } = windRoll({
        laps,
        caliper: 2 / laps,
        coreRadius: 1,
        modulus: 1,
        poisson: nu,
        stack: stackModulus({ law: 'constant', modulus: 1 }),
        coreStiffness: 1 / ((1 + bore ** 2) / (1 - bore ** 2) - nu),
        woundOn: () => 2 / laps,
      });
      return [0, 0.25, 0.5, 0.75].map((s) => pressure[s * laps] as number);
    };
    const [thick, thin] = [at(4000), at(8000)] as [number[], number[]];
    close(
      thin.map((p, k) => 2 * p - (thick[k] as number)),
      closed,
    );
  });
});

// Any core: φ(x) = x^g + B·x^−g with B = (g − c)/(g + c), c = E_t/E_c + ν.
describe('a roll on a core of any stiffness with a constant radial modulus', () => {
  const nu = 0.05;
  const R = 3;
  const windOn = (g: number, c: number, laps: number, sigma: (x: number) => number) =>
    windRoll({
      laps,
      caliper: (R - 1) / laps,
      coreRadius: 1,
      modulus,
      poisson: nu,
      stack: stackModulus({ law: 'constant', modulus: modulus / g ** 2 }),
      coreStiffness: modulus / (c - nu),
      woundOn: (_lap, r) => ((R - 1) / laps) * sigma(r),
    });
  const phiOf = (g: number, c: number) => {
    const b = (g - c) / (g + c);
    return {
      phi: (x: number): number => x ** g + b * x ** -g,
      slope: (x: number): number => g * (x ** (g - 1) - b * x ** (-g - 1)),
    };
  };
  const cores = [
    [5, 0.7],
    [5, 12],
    [1.5, 0.4],
    [9, 60],
  ] as const;

  test.each(cores)('one lap more adds T/r·φ(r)/φ(s): g = %d, c = %d', (g, c) => {
    const laps = 400;
    const h = (R - 1) / laps;
    const { phi } = phiOf(g, c);
    const [before, after] = [laps - 1, laps].map((n) => {
      const { pressure } = windRoll({
        laps: n,
        caliper: h,
        coreRadius: 1,
        modulus,
        poisson: nu,
        stack: stackModulus({ law: 'constant', modulus: modulus / g ** 2 }),
        coreStiffness: modulus / (c - nu),
        woundOn: () => 200,
      });
      return pressure;
    }) as [Float64Array, Float64Array];
    const s = R - h;
    for (const i of [0, 1, 100, 200, 398, 399]) {
      const r = 1 + i * h;
      const added = (after[i] as number) - (before[i] ?? 0);
      // where little is added it is the difference of two large pressures: rounding of the size of the pressure there
      expect(Math.abs(added - ((200 / r) * phi(r)) / phi(s))).toBeLessThan(
        1e-12 * (after[i] as number) + 1e-9,
      );
    }
  });

  test.each(cores)('pressure and hoop stress are the integrals over the build: g = %d, c = %d', (g, c) => {
    const sigma = (x: number): number => 1 - 0.5 * (1 - 1 / x);
    const { phi, slope } = phiOf(g, c);
    /** ∫ σ_w/φ ds from r to R by Simpson's rule. */
    const integral = (r: number): number => {
      const n = 2000;
      let sum = 0;
      for (let k = 0; k <= n; k++) {
        const s = r + ((R - r) * k) / n;
        sum += ((k === 0 || k === n ? 1 : k % 2 === 1 ? 4 : 2) * sigma(s)) / phi(s);
      }
      return (sum * (R - r)) / n / 3;
    };
    const places = [0.25, 0.5, 0.75];
    const at = (laps: number): number[] => {
      const { pressure, hoopStress } = windOn(g, c, laps, sigma);
      return places.flatMap((share) => {
        const i = share * laps;
        // at an interface, half of the laps at its two sides
        return [pressure[i] as number, 0.5 * ((hoopStress[i - 1] as number) + (hoopStress[i] as number))];
      });
    };
    const [thick, thin] = [at(4000), at(8000)] as [number[], number[]];
    close(
      thin.map((p, k) => 2 * p - (thick[k] as number)),
      places.flatMap((share) => {
        const r = 1 + share * (R - 1);
        return [(phi(r) * integral(r)) / r, sigma(r) - slope(r) * integral(r)];
      }),
    );
  });
});
