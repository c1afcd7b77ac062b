import type { Caliper, Length, Modulus, Pressure, Torque } from '../../units/quantity.js';

/** A roll while it is wound: pressure and interface torque under each of its laps. */
export interface WindingStage {
  readonly laps: number;
  readonly pressure: Float64Array;
  /** Torque that each interface passes on, in winding direction [N·m]. */
  readonly torque: Float64Array;
}

/** What a line on the side of a roll is shifted in. */
export interface LinedRoll {
  readonly coreRadius: Length;
  readonly caliper: Caliper;
  readonly width: Length;
  /** Shear modulus G_rθ of the stack over pressure [Pa]. */
  readonly shearModulus: (pressure: Pressure, radius: Length) => Modulus;
}

/**
 * Elastic hook of a radial line (J-line) that was struck on the side of a roll at the first stage, as it stands at the last one: how far each lap has moved along its circumference against the lap that was outermost when the line was
 * struck, in winding direction, d(r) = r·∫ᵣ^R₀ Σ ΔM/(2π·W·G·r′³) dr′ [m], ΔM what each stage adds to the torque of an interface [N·m], G at the pressure in the middle of the stage [Pa], W width [m]. Index 0 is the innermost lap; one entry for
 * each lap that the line was struck over.
 * Valid: axisymmetric and elastic, so it goes back with the torque; laps do not slip (a slip is a step, see slipArc). Each lap is sheared by the torque of the interface under it. Winding more laps moves none along its circumference by itself, since a
 * ring's hoop strain is its radial displacement over its radius.
 * Source: shear of a thin ring, derived in docs/models/j-line.md; lines on the side of a roll as a test: Lucas, "Internal gearing in a roll of paper", TAPPI 1974 (from memory).
 */
export function elasticHook(
  { coreRadius, caliper, width, shearModulus }: LinedRoll,
  stages: readonly WindingStage[],
): Float64Array {
  const struck = stages[0]?.laps ?? 0;
  const shift = new Float64Array(struck);
  let angle = 0;
  for (let i = struck - 1; i >= 0; i--) {
    const r = coreRadius + i * caliper;
    const outer = r + caliper;
    // ∫ dr/r³ over the lap
    const over = (0.5 * (outer - r) * (outer + r)) / (r * r * outer * outer);
    for (let k = 1; k < stages.length; k++) {
      const [before, after] = [stages[k - 1] as WindingStage, stages[k] as WindingStage];
      const change = (after.torque[i] as number) - (before.torque[i] as number);
      const pressure = 0.5 * ((before.pressure[i] as number) + (after.pressure[i] as number));
      angle += (change * over) / (2 * Math.PI * width * shearModulus(pressure, r));
    }
    shift[i] = r * angle;
  }
  return shift;
}

/**
 * Shear modulus of a stack from one torque step, G = ΔM/(4π·W)·(1/r² − 1/R₀²)·r/d [Pa]: ΔM change of the torque at the core while the outside is held [N·m], W width [m], d how far the line moved at radius r along the circumference against the
 * outermost lap, of radius R₀ [m]. Valid: 0 < r < R₀, d and ΔM of one sign, G uniform: a mean over the roll. Source: {@link elasticHook} with one G and one torque.
 */
export const shearModulusFromTorqueStep = (
  torqueChange: Torque,
  width: Length,
  r: Length,
  outerRadius: Length,
  shift: Length,
): Modulus =>
  ((torqueChange / (4 * Math.PI * width)) * (1 / (r * r) - 1 / (outerRadius * outerRadius)) * r) / shift;
