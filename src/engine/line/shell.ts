import { TautlineError } from '../errors.js';
import type { Density, Inertia, Length, Mass } from '../units/quantity.js';
import { cylinderInertia, cylinderMass } from './inertia.js';

/**
 * Densities of what roller shells are made of [kg/m³]. Steel and aluminium: handbook values; the
 * others from memory, to be replaced by the maker's value. Composite shells vary by 10 % with their layup.
 */
export const shellDensities = {
  steel: 7850,
  'stainless-steel': 7950,
  'cast-iron': 7200,
  aluminium: 2700,
  'carbon-composite': 1600,
} as const satisfies Record<string, Density>;
export type ShellMaterial = keyof typeof shellDensities;

/** A roller shell: a tube with two end plates, SI. */
export interface Shell {
  readonly outerRadius: Length;
  /** 0 for a solid roller. */
  readonly innerRadius: Length;
  readonly length: Length;
  /** Density or a known material; density counts when both are stated. */
  readonly density?: Density;
  readonly material?: ShellMaterial;
  /** Both end plates together, taken as solid discs of the inner radius; a solid disc of the outer one for a solid roller. */
  readonly endsMass?: Mass;
}

/**
 * Mass [kg] and inertia about its own axis [kg·m²] of a shell with its end plates: tube as `cylinderInertia`, ends as discs, ½·m·r².
 * Valid: uniform wall; journals, which add little inertia, are left out. @throws TautlineError argument_invalid
 * Source: geometry.
 */
export function shellOf(shell: Shell): { mass: Mass; inertia: Inertia } {
  const { outerRadius, innerRadius, length, endsMass = 0 } = shell;
  const density = shell.density ?? densityOf(shell.material);
  if (!(endsMass >= 0))
    throw new TautlineError(
      'argument_invalid',
      { endsMass },
      `end plates cannot have a mass of ${endsMass} kg`,
      'state a mass of at least 0, or leave it out',
    );
  const endRadius = innerRadius > 0 ? innerRadius : outerRadius;
  return {
    mass: cylinderMass(density, length, outerRadius, innerRadius) + endsMass,
    inertia: cylinderInertia(density, length, outerRadius, innerRadius) + 0.5 * endsMass * endRadius ** 2,
  };
}

function densityOf(material: ShellMaterial | undefined): Density {
  if (material !== undefined) return shellDensities[material];
  throw new TautlineError(
    'argument_invalid',
    {},
    'the density of the shell is not stated',
    `state density_kgm3, or a material: ${Object.keys(shellDensities).join(', ')}`,
  );
}
