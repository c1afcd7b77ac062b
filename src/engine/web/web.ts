import type {
  BasisWeight,
  Caliper,
  Density,
  Length,
  Modulus,
  Pressure,
  Ratio,
  Tension,
  TensionPerWidth,
} from '../units/quantity.js';

/**
 * How a stack of the web carries pressure: its radial modulus over pressure.
 * exponential: P = K1·(exp(K2·ε) − 1), K1 [Pa], K2 [1]. constant: modulus [Pa]. polynomial: E = Σ cₖ·Pᵏ, cₖ [Pa^(1−k)]. saturating: E rises from `atRest`
 * towards `highest` [Pa] with the pressure `scale` [Pa].
 */
export type StackLaw = (
  | { readonly law: 'exponential'; readonly k1: Pressure; readonly k2: Ratio }
  | { readonly law: 'constant'; readonly modulus: Modulus }
  | { readonly law: 'polynomial'; readonly coefficients: readonly number[] }
  | {
      readonly law: 'saturating';
      readonly atRest: Modulus;
      readonly highest: Modulus;
      readonly scale: Pressure;
    }
) & {
  /** Highest pressure of the test that the law was fitted to. */
  readonly testedTo?: Pressure;
};

/** The material that runs over the line. What was not stated is undefined and never filled in. */
export interface Web {
  readonly width: Length;
  readonly caliper: Caliper;
  /** Modulus along the web. */
  readonly modulus?: Modulus;
  /** Poisson cross term of radial and hoop direction [1]. */
  readonly poisson?: Ratio;
  readonly density?: Density;
  /** Kinetic friction of web on web [1]. */
  readonly friction?: Ratio;
  /** Friction of web on roller [1]. */
  readonly frictionOnRoller?: Ratio;
  /** Root mean square roughness of the web's surface. */
  readonly roughness?: Length;
  /** True for a web that lets air through, such as uncoated paper: no air film is then taken between web and roller. */
  readonly permeable?: boolean;
  /** Force per width at which the web yields or breaks. */
  readonly strength?: TensionPerWidth;
  readonly stack?: StackLaw;
}

/** Force per unit strain of the whole web, EA = E·h·W [N]. E modulus [Pa], h caliper [m], W width [m]. Source: Hooke. */
export const axialStiffness = (modulus: Modulus, caliper: Caliper, width: Length): Tension =>
  modulus * caliper * width;

/** Mass per area of the web, ρ·h [kg/m²]. ρ density [kg/m³], h caliper [m]. Source: definition. */
export const basisWeight = (density: Density, caliper: Caliper): BasisWeight => density * caliper;
