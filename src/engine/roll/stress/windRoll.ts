import { TautlineError } from '../../errors.js';
import type { Caliper } from '../../units/quantity.js';
import { everyLap, nodesAtMost, requireWindow, startThinned, thin } from './fineWindow.js';
import { foreseeLap, layLap, pullTight, settle, Winding } from './winding.js';
import type { PartRoll, WindingInput, WoundRoll } from './windingInput.js';

function requireInput(input: WindingInput): void {
  requireWindow(input.window);
  const { laps, caliper, coreRadius, modulus, coreStiffness, poisson, lookAt = [] } = input;
  if (
    Number.isInteger(laps) &&
    laps >= 1 &&
    caliper > 0 &&
    coreRadius > 0 &&
    modulus > 0 &&
    coreStiffness > 0 &&
    Number.isFinite(caliper + coreRadius + modulus + poisson) &&
    lookAt.every((wound) => Number.isInteger(wound) && wound >= 1 && wound <= laps)
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
 * With a window the newest laps are followed one by one and the older interfaces thinned; pressures between those that were kept are
 * interpolated. Cost N²/2 cells, with a window N·(fine + N/(2·thinning)); window.ts says how far that is off.
 *
 * Valid: concentric rings, infinitesimal strain, constant E_t, no slip, uniform over the width. @throws TautlineError argument_invalid
 */
export function windRoll(input: WindingInput): WoundRoll {
  requireInput(input);
  const { laps, caliper, coreRadius, window } = input;
  const radius = Float64Array.from({ length: laps }, (_, i) => coreRadius + i * caliper);
  const woundOn = Float64Array.from({ length: laps }, (_, k) => input.woundOn(k, radius[k]));
  const winding = new Winding(input, window === undefined ? laps : nodesAtMost(laps, window));
  const thinned = window && startThinned(laps, window);
  const isTwice = input.update === 'corrected';
  const looks = [...(input.lookAt ?? [])].sort((a, b) => a - b);
  const during: PartRoll[] = [];
  const pressureNow = (wound: number): Float64Array => {
    settle(winding);
    return window && thinned ? everyLap(winding, window, thinned, wound) : winding.pressure.slice(0, wound);
  };
  for (let k = 0; k < laps; k++) {
    layLap(winding, k, radius[k]);
    if (isTwice) foreseeLap(winding, woundOn[k]);
    pullTight(winding, woundOn[k]);
    while (looks[during.length] === k + 1) during.push({ laps: k + 1, pressure: pressureNow(k + 1) });
    if (window && thinned) thin(winding, window, thinned);
  }
  const pressure = pressureNow(laps);
  return { radius, pressure, woundOn, hoopStress: hoopStress(radius, pressure, caliper), during };
}

/**
 * Mean hoop stress of each lap from the pressures at its two sides, σ_t = (r_i·P_i − r_{i+1}·P_{i+1})/h [Pa], with no pressure at the outside.
 * Radii [m], pressures [Pa], caliper h [m]. Source: equilibrium, σ_t = −d(r·P)/dr.
 */
export function hoopStress(radius: Float64Array, pressure: Float64Array, caliper: Caliper): Float64Array {
  const n = radius.length;
  const stress = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const outside = i + 1 < n ? radius[i + 1] * pressure[i + 1] : 0;
    stress[i] = (radius[i] * pressure[i] - outside) / caliper;
  }
  return stress;
}
