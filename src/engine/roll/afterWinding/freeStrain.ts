import { TautlineError } from '../../errors.js';
import { solveTridiagonal } from '../../numerics/tridiagonal.js';
import type { Caliper, Length, Modulus, Ratio } from '../../units/quantity.js';
import { neighbourTerm, ownTerm } from '../stress/cellTerms.js';
import type { StackModulus } from '../stress/stackModulus.js';

/** What a wound roll is made of, as its stresses change after winding. */
export interface RollBody {
  /** Of each interface, rc + i·h; the outside of the last lap is one caliper further. */
  readonly radius: Float64Array;
  readonly caliper: Caliper;
  readonly modulus: Modulus;
  readonly poisson: Ratio;
  readonly stack: StackModulus;
  readonly coreStiffness: Modulus;
}

/** Strain that the material would take on if it were free, by lap; of the core at its surface. */
export interface FreeStrain {
  /** Along the web. */
  readonly along: Float64Array;
  /** Through its thickness. */
  readonly through: Float64Array;
  readonly core: Ratio;
}

/** Passes over the modulus at the mean pressure, fewer once a pass changes nothing that counts: this share of the largest pressure. */
const mostPasses = 3;
const settled = 1e-6;

/** Free strains beyond which the model of small strain says nothing. */
const largestFreeStrain = 0.02;

/**
 * Pressure that a small free strain adds at each interface of a wound roll [Pa], with the stack modulus at the mean of the pressures before and after:
 *
 *   Q″ − g²·Q = E_t·r·[d(r·e_t)/dr − e_r];   core: Q′ = (E_t/E_c + ν)·Q + E_t·r_c·(e_t − e_c);   outside: Q = 0
 *
 * with Q = r·dP and x = ln r as in winding; e_t, e_r free strain along and through the web [1], e_c of the core's surface [1]. Cells as in winding, sources over the volume of
 * each interface, so that a strain that is the same everywhere changes nothing.
 * Valid: free strains up to 2 %, concentric rings, no slip, stack modulus of loading also where pressure falls (a stack unloads stiffer: losses of pressure come out too small).
 * @throws TautlineError argument_invalid. Source: docs/models/after-winding.md.
 */
export function pressureFromFreeStrain(
  { radius, caliper, modulus, poisson, stack, coreStiffness }: RollBody,
  pressure: Float64Array,
  { along, through, core }: FreeStrain,
): Float64Array {
  requireSmall(along, through, core);
  const n = radius.length;
  const below = new Float64Array(n);
  const diagonal = new Float64Array(n);
  const above = new Float64Array(n);
  const source = new Float64Array(n);
  // E_t·Δx² and 1/Δx of each cell, x = ln r: they do not change with the pressure.
  const square = new Float64Array(n);
  const inverse = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const r = radius[i] as number;
    const outer = (r + 0.5 * caliper) * (along[i] as number);
    const inner = i === 0 ? r * core : (r - 0.5 * caliper) * (along[i - 1] as number);
    const thick = i === 0 ? (through[0] as number) : (through[i] as number) + (through[i - 1] as number);
    source[i] = modulus * (outer - inner - 0.5 * caliper * thick);
    const dx = Math.log1p(caliper / r);
    square[i] = modulus * dx * dx;
    inverse[i] = 1 / dx;
  }
  // g² at the pressure before, then at the mean of before and after; its last entry is the outside.
  const mean = new Float64Array(n + 1);
  let change: Float64Array = new Float64Array(n);
  for (let pass = 0; pass < mostPasses; pass++) {
    for (let i = 0; i < n; i++) mean[i] = Math.max(0, (pressure[i] as number) + 0.5 * (change[i] as number));
    diagonal.fill(0);
    diagonal[0] = -(modulus / coreStiffness + poisson);
    for (let i = 0; i < n; i++) {
      const at = 0.5 * ((mean[i] as number) + (mean[i + 1] as number));
      const q = (square[i] as number) / stack.at(at, radius[i]);
      const off = neighbourTerm(q) * (inverse[i] as number);
      const own = ownTerm(q) * (inverse[i] as number);
      diagonal[i] = (diagonal[i] as number) - own;
      if (i + 1 >= n) continue;
      diagonal[i + 1] = (diagonal[i + 1] as number) - own;
      above[i] = off;
      below[i + 1] = off;
    }
    const next = solveTridiagonal(below, diagonal, above, source);
    let [moved, largest] = [0, 0];
    for (let i = 0; i < n; i++) {
      next[i] = (next[i] as number) / (radius[i] as number);
      moved = Math.max(moved, Math.abs((next[i] as number) - (change[i] as number)));
      largest = Math.max(largest, pressure[i] as number);
    }
    change = next;
    if (moved <= settled * largest) break;
  }
  return change;
}

function requireSmall(along: Float64Array, through: Float64Array, core: Ratio): void {
  for (const strains of [along, through, [core]])
    for (const strain of strains)
      if (!(Math.abs(strain) <= largestFreeStrain))
        throw new TautlineError(
          'argument_invalid',
          { strain },
          `a free strain of ${strain} is beyond what the model of small strain bears (${largestFreeStrain})`,
          'check changes of temperature and moisture, and the coefficients of expansion',
        );
}

/** Where pressure between laps is gone: the innermost such radius [m], undefined when it holds everywhere. Pressures [Pa]. Source: definition. */
export function loosensAt(radius: Float64Array, pressure: Float64Array): Length | undefined {
  const i = pressure.findIndex((p) => !(p > 0));
  return i < 0 ? undefined : (radius[i] as number);
}
