import { TautlineError } from '../../errors.js';
import type { Caliper, Length, Modulus, Ratio, TensionPerWidth } from '../../units/quantity.js';
import { cothTerm, sinhTerm } from './cellTerms.js';
import type { StackModulus } from './stackModulus.js';

/** How the radial modulus of a lap is taken while the next lap is wound on. */
export type StressUpdate =
  /** At the pressure in the middle of the increment: second order in the lap's pressure. */
  | 'mid-increment'
  /** As before, each lap solved twice, the second time with its own increments: the reference for the first. */
  | 'corrected'
  /** At the pressure before it, as the model was first published: low by up to a few percent in soft stacks. */
  | 'explicit';

/** A roll to be wound, SI. */
export interface WindingInput {
  readonly laps: number;
  readonly caliper: Caliper;
  /** Outer radius of the core. */
  readonly coreRadius: Length;
  /** Modulus along the web. */
  readonly modulus: Modulus;
  /** Poisson cross term of radial and hoop direction [1]. */
  readonly poisson: Ratio;
  readonly stack: StackModulus;
  /** Pressure over radial strain of the core's surface; Infinity for a rigid core. */
  readonly coreStiffness: Modulus;
  /** Wound-on tension of lap k (0 the innermost) per width. */
  readonly woundOn: (lap: number, radius: Length) => TensionPerWidth;
  readonly update?: StressUpdate;
}

/** What is in the roll. Entry i of each array belongs to the interface under lap i + 1, at radius rc + i·h; hoop stress is that of the lap. */
export interface WoundRoll {
  readonly radius: Float64Array;
  readonly pressure: Float64Array;
  readonly hoopStress: Float64Array;
  readonly woundOn: Float64Array;
}

function requireInput(input: WindingInput): void {
  const { laps, caliper, coreRadius, modulus, coreStiffness, poisson } = input;
  if (
    Number.isInteger(laps) &&
    laps >= 1 &&
    caliper > 0 &&
    coreRadius > 0 &&
    modulus > 0 &&
    coreStiffness > 0 &&
    Number.isFinite(caliper + coreRadius + modulus + poisson)
  )
    return;
  throw new TautlineError(
    'argument_invalid',
    { laps, caliper, coreRadius, modulus, coreStiffness, poisson },
    `no roll of ${laps} laps of ${caliper} m on a core of ${coreRadius} m with modulus ${modulus} Pa and core stiffness ${coreStiffness} Pa`,
    'state a whole number of laps, and everything else above 0',
  );
}

/**
 * Winds a roll lap by lap: the incremental orthotropic model with a radial modulus that follows the pressure (Hakiel, TAPPI J. 70(5), 1987, from
 * memory; re-derived in docs/models/wound-roll.md) in the form Q = r·dP, x = ln r:
 *
 *   Q″ = g²·Q, g² = E_t/E_r(P);   core: Q′ = (E_t/E_c + ν)·Q;   surface: Q = wound-on tension of the new lap
 *
 * for the increment that each lap adds below it; pressures [Pa], stresses [Pa], tension [N/m], lengths [m]. Between two interfaces Q is taken
 * as the exact solution for the cell's own g, so that a constant modulus is solved to rounding. Hoop stress follows from equilibrium,
 * σ_t = −d(r·P)/dr, over each lap, so r_c·P_core = Σ σ_t·h holds to rounding.
 *
 * Valid: concentric rings, infinitesimal strain, constant E_t, no slip, uniform over the width. Cost N²/2 cells. @throws TautlineError argument_invalid
 */
export function windRoll(input: WindingInput): WoundRoll {
  requireInput(input);
  const { laps, caliper, coreRadius } = input;
  const radius = Float64Array.from({ length: laps }, (_, i) => coreRadius + i * caliper);
  const woundOn = Float64Array.from({ length: laps }, (_, k) => input.woundOn(k, radius[k] as number));
  const pressure = new Float64Array(laps);
  const winding = startWinding(input, radius, pressure);
  const isTwice = input.update === 'corrected';
  for (let k = 0; k < laps; k++) {
    if (isTwice) foreseeLap(winding, k, woundOn[k] as number);
    addLap(winding, k, woundOn[k] as number);
  }
  return { radius, pressure, woundOn, hoopStress: hoopStress(radius, pressure, caliper) };
}

/**
 * Mean hoop stress of each lap from the pressures at its two sides, σ_t = (r_i·P_i − r_{i+1}·P_{i+1})/h [Pa], with no pressure at the outside.
 * Radii [m], pressures [Pa], caliper h [m]. Source: equilibrium, σ_t = −d(r·P)/dr.
 */
export function hoopStress(radius: Float64Array, pressure: Float64Array, caliper: Caliper): Float64Array {
  const n = radius.length;
  const stress = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const outside = i + 1 < n ? (radius[i + 1] as number) * (pressure[i + 1] as number) : 0;
    stress[i] = ((radius[i] as number) * (pressure[i] as number) - outside) / caliper;
  }
  return stress;
}

/** Increments below this share of the lap's own are no longer followed towards the core: they cannot change a double. */
const negligible = 1e-18;

/** What the laps before have left, and what does not change from lap to lap. */
interface Winding {
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

function startWinding(
  { laps, caliper, modulus, poisson, coreStiffness, stack, update = 'mid-increment' }: WindingInput,
  radius: Float64Array,
  pressure: Float64Array,
): Winding {
  const square = new Float64Array(laps);
  const inverse = new Float64Array(laps);
  const perRadius = new Float64Array(laps);
  for (let i = 0; i < laps; i++) {
    // ln(r_{i+1}/r_i) by log1p: the difference of two logarithms would lose digits on thin webs.
    const dx = Math.log1p(caliper / (radius[i] as number));
    square[i] = modulus * dx * dx;
    inverse[i] = 1 / dx;
    perRadius[i] = 1 / (radius[i] as number);
  }
  return {
    pressure,
    square,
    inverse,
    perRadius,
    ratio: new Float64Array(laps),
    increment: new Float64Array(laps),
    core: modulus / coreStiffness + poisson,
    slope: stack.linear?.slope ?? 0,
    atZero: stack.linear?.atZero ?? 0,
    general: stack.linear === undefined ? stack : undefined,
    share: update === 'explicit' ? 0 : 0.5,
    from: 0,
    attenuation: 0,
  };
}

/**
 * Winds lap k on: adds its increments to the pressures. One forward sweep from the core makes the ratios ρ_i = Q_i/Q_{i+1}, one backward
 * sweep from the surface the increments. Where increments have died away the modulus has not changed, so neither have the ratios, and the
 * next sweep starts there.
 */
function addLap(winding: Winding, lap: number, tension: number): void {
  const { pressure, perRadius, ratio, increment } = winding;
  const surface = tension * (perRadius[lap] as number);
  sweepOutwards(winding, lap, surface);
  increment[lap] = surface;
  pressure[lap] = surface;
  let q = tension;
  let i = lap - 1;
  const smallest = negligible * tension;
  for (; i >= 0 && q > smallest; i--) {
    q *= ratio[i] as number;
    const change = q * (perRadius[i] as number);
    increment[i] = change;
    pressure[i] = (pressure[i] as number) + change;
  }
  winding.from = Math.max(0, i);
  winding.attenuation = lap === 0 ? 0 : (ratio[lap - 1] as number);
}

/** Solves a lap without adding it, so that the next solution of the same lap takes the modulus at its own increments. */
function foreseeLap(winding: Winding, lap: number, tension: number): void {
  const { perRadius, ratio, increment } = winding;
  winding.from = 0;
  sweepOutwards(winding, lap, tension * (perRadius[lap] as number));
  let q = tension;
  for (let i = lap - 1; i >= 0; i--) {
    q *= ratio[i] as number;
    increment[i] = q * (perRadius[i] as number);
  }
  winding.from = 0;
  winding.attenuation = 1;
}

/** Ratios of all cells below a new lap, from the innermost that may have changed. */
function sweepOutwards(winding: Winding, lap: number, surface: number): void {
  const { pressure, square, inverse, perRadius, ratio, increment, core, slope, atZero, general, share } =
    winding;
  const guess = share * winding.attenuation;
  let i = winding.from;
  // The cell before the first one is made once more: its two coefficients are not kept.
  let offBelow = 0;
  let diagonalBelow = core;
  let below = 0;
  if (i > 0) {
    const mean = 0.5 * ((pressure[i - 1] as number) + (pressure[i] as number));
    const q =
      (square[i - 1] as number) /
      (general === undefined ? slope * mean + atZero : general.at(mean, 1 / (perRadius[i - 1] as number)));
    offBelow = (inverse[i - 1] as number) * sinhTerm(q);
    diagonalBelow = (inverse[i - 1] as number) * cothTerm(q);
    below = ratio[i - 1] as number;
  }
  let inner = lap === 0 ? 0 : (pressure[i] as number) + guess * (increment[i] as number);
  const last = lap - 1;
  for (; i < lap; i++) {
    // Pressure at the outer side of the cell in the middle of the increment; a lap that was laid before sees less of this one.
    const outer =
      i === last ? share * surface : (pressure[i + 1] as number) + guess * (increment[i + 1] as number);
    const mean = 0.5 * (inner + outer);
    const q =
      (square[i] as number) /
      (general === undefined ? slope * mean + atZero : general.at(mean, 1 / (perRadius[i] as number)));
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
