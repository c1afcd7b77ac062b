import { TautlineError } from '../errors.js';
import type { Angle, Ratio, TensionPerWidth } from '../units/quantity.js';

/**
 * Two motors at one roll: the sum of their forces at the surface of the roll is the web tension, their difference is a knob of its
 * own. All forces per width, net of inertia and drag. Share 1 is the roll's own motor (centre-surface) or the front drum (two-drum),
 * share 2 the drum or the rear drum; differential = share 1 − share 2, so that more of it winds tighter.
 */
export interface Shares {
  readonly share1: TensionPerWidth;
  readonly share2: TensionPerWidth;
}

/**
 * The larger share, (T + |d|)/2 [N/m]. The other one is T minus this: that subtraction is exact while T/2 <= larger <= 2·T (Sterbenz), that
 * is for |d| <= 3·T, so the shares then add up to T to the last bit. Beyond, a double cannot always hold such a pair, and
 * the sum is off by at most half a unit in the last place of the smaller share.
 */
const larger = (tension: TensionPerWidth, differential: TensionPerWidth): TensionPerWidth =>
  (tension + Math.abs(differential)) / 2;

/**
 * Share of the roll's own motor or the front drum, (T + d)/2 [N/m]. T web tension, d torque differential [N/m], T >= 0.
 * With {@link share2} it adds up to T exactly for |d| <= 3·T. Source: s₁ + s₂ = T, s₁ − s₂ = d.
 */
export const share1 = (tension: TensionPerWidth, differential: TensionPerWidth): TensionPerWidth =>
  differential >= 0 ? larger(tension, differential) : tension - larger(tension, differential);

/**
 * Share of the drum or the rear drum, (T − d)/2 [N/m]. T web tension, d torque differential [N/m], T >= 0.
 * With {@link share1} it adds up to T exactly for |d| <= 3·T. Source: s₁ + s₂ = T, s₁ − s₂ = d.
 */
export const share2 = (tension: TensionPerWidth, differential: TensionPerWidth): TensionPerWidth =>
  differential >= 0 ? tension - larger(tension, differential) : larger(tension, differential);

/** What one share may be [N/m], forward positive, and what sets either end. */
export interface ForceRange {
  readonly lower: TensionPerWidth;
  readonly upper: TensionPerWidth;
}

/**
 * Force that a drum can pass to web and roll before it slips, per width [N/m]. Driving (it pulls the web forward): μ·N + T·(1 − exp(−μ·β));
 * holding back: μ·N + T·(exp(μ·β) − 1), as a negative lower end. μ friction of web on drum [1], N nip force per width [N/m], T tension of the
 * web that comes to the drum [N/m], β wrap of the web on the drum before the nip [rad], 0 when it runs straight into the nip.
 *
 * The two differ because T is the tension before the drum: a drum that drives makes the tension fall along the wrap, and it cannot fall below
 * T·exp(−μ·β). Valid: Coulomb friction, no air film, stiff thin web. @throws TautlineError argument_invalid
 * Source: Euler-Eytelwein and Coulomb; derived in docs/models/torque-differential.md.
 */
export function drumTraction(
  friction: Ratio,
  nip: TensionPerWidth,
  tension: TensionPerWidth,
  wrap: Angle,
): ForceRange {
  if (
    !(
      friction >= 0 &&
      nip >= 0 &&
      tension >= 0 &&
      wrap >= 0 &&
      Number.isFinite(friction + nip + tension + wrap)
    )
  )
    throw new TautlineError(
      'argument_invalid',
      { friction, nip, tension, wrap },
      `no drum traction for friction ${friction}, nip ${nip} N/m, tension ${tension} N/m and wrap ${wrap} rad`,
      'state finite values of at least 0',
    );
  const grip = friction * nip;
  return {
    lower: -(grip + tension * Math.expm1(friction * wrap)),
    upper: grip - tension * Math.expm1(-friction * wrap),
  };
}

/** What bounds the two shares: the motor behind each, and the grip of the drum that passes it to the web. */
export interface ShareLimits {
  /** Force that motor 1 can make at the surface, net of inertia and drag. */
  readonly motor1: ForceRange;
  readonly motor2: ForceRange;
  /** Grip of what passes share 1 on: the front drum of a two-drum winder. Left out for a motor on the roll's own shaft. */
  readonly traction1?: ForceRange;
  /** Grip of the drum, or the rear drum. */
  readonly traction2?: ForceRange;
}

export type ShareLimit = keyof ShareLimits;

export interface DifferentialRange extends ForceRange {
  /** What stops the differential from being lower, and higher. */
  readonly lowerBy: ShareLimit;
  readonly upperBy: ShareLimit;
}

const finite = (limit: ShareLimit, range: ForceRange): ForceRange => {
  if (range.lower <= range.upper) return range;
  throw new TautlineError(
    'argument_invalid',
    { limit, lower: range.lower, upper: range.upper },
    `the limits of ${limit} are ${range.lower} to ${range.upper} N/m`,
    'state the lower limit first',
  );
};

/**
 * The torque differentials that motors and drums allow at a tension [N/m], and which limit binds at either end. A share s₁ within
 * [a, b] asks for 2·a − T <= d <= 2·b − T, a share s₂ within [a, b] for T − 2·b <= d <= T − 2·a. T web tension [N/m]. When lower exceeds
 * upper no differential does: the tension itself is out of reach of the two, and the names say of which.
 * @throws TautlineError argument_invalid for a limit whose lower end is above its upper one or not a number
 * Source: s₁ + s₂ = T, s₁ − s₂ = d.
 */
export function differentialRange(tension: TensionPerWidth, limits: ShareLimits): DifferentialRange {
  let lower = Number.NEGATIVE_INFINITY;
  let upper = Number.POSITIVE_INFINITY;
  let lowerBy: ShareLimit = 'motor1';
  let upperBy: ShareLimit = 'motor1';
  const narrow = (limit: ShareLimit, from: number, to: number): void => {
    if (from > lower) [lower, lowerBy] = [from, limit];
    if (to < upper) [upper, upperBy] = [to, limit];
  };
  for (const limit of ['motor1', 'traction1'] as const) {
    const range = limits[limit];
    if (range === undefined) continue;
    const { lower: a, upper: b } = finite(limit, range);
    narrow(limit, 2 * a - tension, 2 * b - tension);
  }
  for (const limit of ['motor2', 'traction2'] as const) {
    const range = limits[limit];
    if (range === undefined) continue;
    const { lower: a, upper: b } = finite(limit, range);
    narrow(limit, tension - 2 * b, tension - 2 * a);
  }
  return { lower, upper, lowerBy, upperBy };
}
