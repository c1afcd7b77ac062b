import type { Length, TensionPerWidth } from '../../units/quantity.js';
import { cothTerm, sinhTerm } from './cellTerms.js';
import type { StackModulus } from './stackModulus.js';
import type { WindingInput } from './windingInput.js';

/** Increments below this share of the lap's own are no longer followed towards the core: they cannot change a double. */
const negligible = 1e-18;

/** Interfaces that are followed, from the core outwards: every lap, or fewer where a window thinned them. What the laps before have left. */
export interface Winding {
  /** How many are followed now. */
  nodes: number;
  /** Lap above each, counted from the core, and its radius [m]. */
  readonly lapAt: Float64Array;
  readonly radius: Float64Array;
  readonly pressure: Float64Array;
  /** E_t·(Δx)² [Pa], 1/Δx and 1/r [1/m] of each cell or interface. */
  readonly square: Float64Array;
  readonly inverse: Float64Array;
  readonly perRadius: Float64Array;
  /** ρ_i = Q_i/Q_{i+1} of the last lap. */
  readonly ratio: Float64Array;
  /** Pressure that the last lap added. */
  readonly increment: Float64Array;
  /** Q′/Q at the core. */
  readonly core: number;
  readonly caliper: number;
  readonly modulus: number;
  readonly slope: number;
  readonly atZero: number;
  readonly general: StackModulus | undefined;
  /** Share of an increment at which the modulus is taken. */
  readonly share: number;
  /** Innermost cell whose modulus may have changed since its ratio was made. */
  from: number;
  /** How much less of a lap reaches inwards than of the lap before it. */
  attenuation: number;
}

/** A core without laps [Pa, m]. `capacity` the most interfaces that are followed at a time. Source: docs/models/wound-roll.md. */
export function startWinding(
  { caliper, modulus, poisson, coreStiffness, stack, update = 'mid-increment' }: WindingInput,
  capacity: number,
): Winding {
  return {
    nodes: 0,
    lapAt: new Float64Array(capacity),
    radius: new Float64Array(capacity),
    pressure: new Float64Array(capacity),
    square: new Float64Array(capacity),
    inverse: new Float64Array(capacity),
    perRadius: new Float64Array(capacity),
    ratio: new Float64Array(capacity),
    increment: new Float64Array(capacity),
    core: modulus / coreStiffness + poisson,
    caliper,
    modulus,
    slope: stack.linear?.slope ?? 0,
    atZero: stack.linear?.atZero ?? 0,
    general: stack.linear === undefined ? stack : undefined,
    share: update === 'explicit' ? 0 : 0.5,
    from: 0,
    attenuation: 0,
  };
}

/** Sets what the cell between node i and the next one has to know of its size, E_t·Δx² [Pa] and 1/Δx, x = ln r [1]. Source: docs/models/wound-roll.md. */
export function sizeCell(winding: Winding, i: number): void {
  const { lapAt, radius, caliper, modulus, square, inverse } = winding;
  // ln(r_{i+1}/r_i) by log1p: the difference of two logarithms would lose digits on thin webs.
  const dx = Math.log1p(((lapAt[i + 1] - lapAt[i]) * caliper) / radius[i]);
  square[i] = modulus * dx * dx;
  inverse[i] = 1 / dx;
}

/** Lays a lap at a radius [m], without any pressure yet. Source: docs/models/wound-roll.md. */
export function layLap(winding: Winding, lap: number, radius: Length): void {
  const node = winding.nodes++;
  winding.lapAt[node] = lap;
  winding.radius[node] = radius;
  winding.perRadius[node] = 1 / radius;
  if (node > 0) sizeCell(winding, node - 1);
}

/**
 * Pulls the lap that was just laid tight [N/m]: adds its increments to the pressures. One forward sweep from the core makes the ratios
 * ρ_i = Q_i/Q_{i+1}, one backward sweep from the surface the increments. Where increments have died away the modulus has not changed, so neither
 * have the ratios, and the next sweep starts there; with a constant modulus they never change. Source: docs/models/wound-roll.md.
 */
export function pullTight(winding: Winding, tension: TensionPerWidth): void {
  const { pressure, perRadius, ratio, increment } = winding;
  const last = winding.nodes - 1;
  const surface = tension * perRadius[last];
  sweepOutwards(winding, last, surface);
  increment[last] = surface;
  pressure[last] = surface;
  let q = tension;
  let i = last - 1;
  const smallest = negligible * tension;
  for (; i >= 0 && q > smallest; i--) {
    q *= ratio[i];
    const change = q * perRadius[i];
    increment[i] = change;
    pressure[i] += change;
  }
  winding.from = winding.general === undefined && winding.slope === 0 ? last : Math.max(0, i);
  winding.attenuation = last === 0 ? 0 : ratio[last - 1];
}

/** Solves the lap that was just laid [N/m] without adding it, so that its next solution takes the modulus at its own increments. Source: docs/models/wound-roll.md. */
export function foreseeLap(winding: Winding, tension: TensionPerWidth): void {
  const { perRadius, ratio, increment } = winding;
  const last = winding.nodes - 1;
  winding.from = 0;
  sweepOutwards(winding, last, tension * perRadius[last]);
  let q = tension;
  for (let i = last - 1; i >= 0; i--) {
    q *= ratio[i];
    increment[i] = q * perRadius[i];
  }
  winding.from = 0;
  winding.attenuation = 1;
}

/** Ratios of all cells below a new lap, from the innermost that may have changed. */
function sweepOutwards(winding: Winding, lap: number, surface: number): void {
  const { radius, pressure, square, inverse, ratio, increment, core, slope, atZero, general, share } =
    winding;
  const guess = share * winding.attenuation;
  let i = winding.from;
  // The cell before the first one is made once more: its two coefficients are not kept.
  let offBelow = 0;
  let diagonalBelow = core;
  let below = 0;
  if (i > 0) {
    const mean = 0.5 * (pressure[i - 1] + pressure[i]);
    const q =
      square[i - 1] / (general === undefined ? slope * mean + atZero : general.at(mean, radius[i - 1]));
    offBelow = inverse[i - 1] * sinhTerm(q);
    diagonalBelow = inverse[i - 1] * cothTerm(q);
    below = ratio[i - 1] as number;
  }
  let inner = lap === 0 ? 0 : pressure[i] + guess * increment[i];
  const last = lap - 1;
  for (; i < lap; i++) {
    // Pressure at the outer side of the cell in the middle of the increment; a lap that was laid before sees less of this one.
    const outer = i === last ? share * surface : pressure[i + 1] + guess * increment[i + 1];
    const mean = 0.5 * (inner + outer);
    const q = square[i] / (general === undefined ? slope * mean + atZero : general.at(mean, radius[i]));
    const scale = inverse[i] as number;
    const off = scale * sinhTerm(q);
    const diagonal = scale * cothTerm(q);
    below = off / (diagonalBelow + diagonal - offBelow * below);
    ratio[i] = below;
    offBelow = off;
    diagonalBelow = diagonal;
    inner = outer;
  }
}
