import { TautlineError } from '../errors.js';
import type { Ratio, TensionPerWidth } from '../units/quantity.js';

/** Whether a coefficient was measured on this winder with this web, or is a starting value. Shown wherever the result is. */
export type Provenance = 'measured' | 'default';

export interface Coefficient {
  readonly value: number;
  readonly provenance: Provenance;
}

/** What the wound-on tension of a winder depends on beside its forces. No theory gives them: they are measured on site. */
export interface WoundOnCoefficients {
  /** Slope of nip-induced tension over nip force at light nips [1]. */
  readonly nipCoefficient: Coefficient;
  /** Nip-induced tension that heavier nips do not exceed, of one nip [N/m]; Infinity when none is known. */
  readonly nipTensionMax: Coefficient;
  /** Two drums: how far the lap is locked to the roll under the front nip, 0 (slides) to 1 (locked) [1]. */
  readonly lambda: Coefficient;
}

/** Where a value can lie. */
export interface WoundOnBounds {
  readonly lower: TensionPerWidth;
  readonly upper: TensionPerWidth;
}

/**
 * λ where none was measured: the lap locked to the roll under the front nip, ours, no source. That nip has to pass on the front drum's share alone,
 * which is far below its grip, so the lap has little reason to slide; and common practice (no source) is that more torque on the front drum winds
 * tighter, which λ near 0 denies. {@link twoDrumBounds} covers 0 to 1.
 */
export const defaultLambda = 1;

/**
 * Coefficients to start from, all marked as default: nip coefficient = kinetic friction of web on web [1], no saturation, λ =
 * {@link defaultLambda}. The slope is near the friction for film and paper and was far below it for a nonwoven, so measure it.
 * @throws TautlineError argument_invalid
 * Source: slope for film, paper and a nonwoven: Balaji and Good, "Wound-in-tension in a non-woven web" (abstract [R]).
 */
export function defaultCoefficients(friction: Ratio): WoundOnCoefficients {
  const guessed = (value: number): Coefficient => ({ value, provenance: 'default' });
  return checkCoefficients({
    nipCoefficient: guessed(friction),
    nipTensionMax: guessed(Number.POSITIVE_INFINITY),
    lambda: guessed(defaultLambda),
  });
}

/** The coefficients as they are, once they make sense. @throws TautlineError argument_invalid */
export function checkCoefficients(coefficients: WoundOnCoefficients): WoundOnCoefficients {
  const { nipCoefficient, nipTensionMax, lambda } = coefficients;
  const check = (name: string, value: number, good: boolean, next: string): void => {
    if (good) return;
    throw new TautlineError('argument_invalid', { [name]: value }, `${name} is ${value}`, next);
  };
  const slope = nipCoefficient.value;
  check('nipCoefficient', slope, slope >= 0 && Number.isFinite(slope), 'state a finite value of at least 0');
  check('nipTensionMax', nipTensionMax.value, nipTensionMax.value >= 0, 'state a tension of at least 0 N/m');
  check('lambda', lambda.value, lambda.value >= 0 && lambda.value <= 1, 'state a share from 0 to 1');
  return coefficients;
}

/** True when every coefficient that enters was measured: a result from defaults compares programs, it does not predict. */
export const isMeasured = (coefficients: WoundOnCoefficients, twoDrum: boolean): boolean =>
  coefficients.nipCoefficient.provenance === 'measured' &&
  coefficients.nipTensionMax.provenance === 'measured' &&
  (!twoDrum || coefficients.lambda.provenance === 'measured');

/**
 * Tension that one nip induces in the lap passing under it, min(μe·N, NITmax) [N/m], 0 without contact. N nip force per width [N/m], μe
 * slope [1], NITmax saturation [N/m]. Valid: nip rolling without macroscopic slip, steady.
 * Source: Balaji and Good (abstract [R]): proportional at light nips, independent of the nip at heavy ones.
 */
export const nipInducedTension = (
  coefficients: WoundOnCoefficients,
  nip: TensionPerWidth,
): TensionPerWidth =>
  nip > 0 ? Math.min(coefficients.nipCoefficient.value * nip, coefficients.nipTensionMax.value) : 0;

/**
 * Wound-on tension of a winder with one nip, Fc + NIT(N) [N/m]. Fc force through the roll's own motor at the surface, net of inertia and
 * drag [N/m]: the whole web tension T in a centre winder, 0 in a surface winder, (T + d)/2 in a centre-surface winder with torque
 * differential d. N nip force per width [N/m], 0 without nip. The part of the tension that the drum makes does not reach the lap.
 * Valid: steady winding, lap slips on the roll under the nip. Rises one to one with Fc, so half of the differential.
 * Source: balance of lap and roll, derived in docs/models/wound-on-tension.md; limits of centre and surface winding: Good, Hartwig and
 * Markum 1999 (first page [R]).
 */
export const woundOnTension = (
  coefficients: WoundOnCoefficients,
  coreForce: TensionPerWidth,
  nip: TensionPerWidth,
): TensionPerWidth => coreForce + nipInducedTension(coefficients, nip);

/**
 * What statics alone allow for {@link woundOnTension}, Fc ± μ·N and not below 0 [N/m]: the lap takes at most friction from the roll
 * under the nip, in either sense. Fc force through the roll's own motor [N/m], N nip force per width [N/m], μ kinetic friction of web on web [1].
 * Source: Coulomb and the balance of the lap.
 */
export function woundOnBounds(
  friction: Ratio,
  coreForce: TensionPerWidth,
  nip: TensionPerWidth,
): WoundOnBounds {
  const grip = friction * Math.max(0, nip);
  return { lower: Math.max(0, coreForce - grip), upper: Math.max(0, coreForce + grip) };
}

/** Nip forces of a two-drum winder per width [N/m]; rider 0 without one. */
export interface TwoDrumNips {
  readonly rear: TensionPerWidth;
  readonly front: TensionPerWidth;
  readonly rider: TensionPerWidth;
}

/**
 * Wound-on tension of a two-drum winder, λ·F + NIT(N₁) + (1 − λ)·NIT(N₂) + NIT(N₃) [N/m]. F share of the front drum, (T + d)/2 [N/m]; N₁ nip at
 * the rear drum, N₂ at the front drum, N₃ under the rider roller [N/m]; λ 1 when the lap is locked to the roll under the front nip, 0 when
 * it slides. Between the drums the lap has F + NIT(N₁).
 * Valid: steady, web in over the rear drum, no torque at the core. Rises with the differential by λ/2.
 * Source: balance of the lap at each nip, derived in docs/models/wound-on-tension.md; no published λ was found.
 */
export const twoDrumWoundOnTension = (
  coefficients: WoundOnCoefficients,
  frontForce: TensionPerWidth,
  nips: TwoDrumNips,
): TensionPerWidth => {
  const lambda = coefficients.lambda.value;
  return (
    lambda * frontForce +
    nipInducedTension(coefficients, nips.rear) +
    (1 - lambda) * nipInducedTension(coefficients, nips.front) +
    nipInducedTension(coefficients, nips.rider)
  );
};

/**
 * {@link twoDrumWoundOnTension} for all λ from 0 to 1, the other coefficients as they are [N/m]: what is known while λ was not measured.
 * F share of the front drum, N nips [N/m]. Linear in λ, so the ends are those of λ. Source: as there.
 */
export function twoDrumBounds(
  coefficients: WoundOnCoefficients,
  frontForce: TensionPerWidth,
  nips: TwoDrumNips,
): WoundOnBounds {
  const shared = nipInducedTension(coefficients, nips.rear) + nipInducedTension(coefficients, nips.rider);
  const sliding = shared + nipInducedTension(coefficients, nips.front);
  const locked = shared + frontForce;
  return { lower: Math.max(0, Math.min(sliding, locked)), upper: Math.max(0, sliding, locked) };
}
