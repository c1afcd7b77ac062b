import type { Caliper, Density, Length, Modulus } from '../../units/quantity.js';
import type { StackModulus } from './stackModulus.js';

/** Size of a wound roll with its layers compressed. */
export interface CompressedRoll {
  readonly outerRadius: Length;
  /** Mass over volume of the web on the core; undefined without the density of the web. */
  readonly density?: Density;
}

/**
 * Outer radius of a roll whose laps are as thin as their pressure makes them, R = rc·(1 − P_c/E_c) + Σ h·(1 − ε(P)) [m], and its density ρ·Σ h·r/Σ h·(1 − ε)·r [kg/m³]. ε strain of the stack at
 * the mean pressure of each lap [1], h caliper [m], E_c stiffness of the core [Pa]; `air` what is left of air above each interface [m] comes on top. A first correction for large deformation: radii and density are those of the compressed roll, pressures stay those of
 * the model of small strain. It is not a model of large deformation. Valid: ε from the stack law, within its test.
 * Source: geometry; docs/models/wound-roll.md.
 */
export function compressedRoll(
  pressure: Float64Array,
  caliper: Caliper,
  coreRadius: Length,
  coreStiffness: Modulus,
  stack: StackModulus,
  density?: Density,
  air?: Float64Array,
): CompressedRoll {
  const n = pressure.length;
  let radius = coreRadius * (1 - (pressure[0] as number) / coreStiffness);
  let [web, space] = [0, 0];
  for (let i = 0; i < n; i++) {
    const outside = i + 1 < n ? (pressure[i + 1] as number) : 0;
    const thickness =
      caliper * (1 - stack.strain(0.5 * ((pressure[i] as number) + outside))) + (air?.[i] ?? 0);
    const middle = radius + 0.5 * thickness;
    web += caliper * middle;
    space += thickness * middle;
    radius += thickness;
  }
  return { outerRadius: radius, ...(density !== undefined && { density: (density * web) / space }) };
}
