import { TautlineError } from '../errors.js';
import type { Angle, Length, TensionPerWidth } from '../units/quantity.js';

/** A point in the side view [m], x to the right, y up. */
export type Point = readonly [x: Length, y: Length];

/**
 * Half angle θ at the roll between its two drums, sin θ = (c/2)/(R + Rd) [rad]. c distance of the drum centres, R roll radius, Rd radius of
 * both drums [m]. Valid: equal drums at equal height that do not touch, roll too large to fall between them. θ goes to π/2 as the roll
 * comes to sink in, and falls as it grows. @throws TautlineError argument_invalid
 * Source: geometry of three circles that touch.
 */
export function twoDrumAngle(drumDistance: Length, radius: Length, drumRadius: Length): Angle {
  const sine = drumDistance / 2 / (radius + drumRadius);
  if (!(radius > 0 && drumRadius > 0 && drumDistance >= 2 * drumRadius && sine < 1))
    throw new TautlineError(
      'argument_invalid',
      { drumDistance, radius, drumRadius },
      `a roll of ${radius} m radius does not lie on two drums of ${drumRadius} m radius with ${drumDistance} m between centres`,
      sine >= 1 ? 'it falls between them: check core and drum distance' : 'the drums must not overlap',
    );
  return Math.asin(sine);
}

/**
 * Nip force at each of two drums, per width, N = (w + P)/(2·cos θ) − F·tan θ [N/m]. w weight of roll and core per width [N/m], P load of the
 * rider roller straight down [N/m], θ half angle ({@link twoDrumAngle}) [rad], F share of the front drum [N/m]: rear and front drum pull
 * at the lap between them, which lifts the roll by 2·F·sin θ. F = 0 gives the plain formula for a roll at rest. Both nips are equal. A
 * result below 0 means that the roll lifts off.
 * Valid: equal drums at equal height, web that comes in over the rear drum to its nip, no acceleration, rider without drive.
 * Source: balance of forces at roll and lap, derived in docs/models/wound-on-tension.md.
 */
export const twoDrumNip = (
  weight: TensionPerWidth,
  riderLoad: TensionPerWidth,
  angle: Angle,
  frontForce: TensionPerWidth = 0,
): TensionPerWidth => (weight + riderLoad) / (2 * Math.cos(angle)) - frontForce * Math.tan(angle);

/** Where a roll lies on its two drums, measured from the middle between the drum centres [m]; +x towards the front drum. */
export interface TwoDrumContacts {
  readonly rollCentre: Point;
  readonly rear: Point;
  readonly front: Point;
  /** Top of the roll, where a rider roller rests. */
  readonly top: Point;
}

/**
 * Roll centre and contact points over two drums [m], from the middle between the drum centres. c distance of the drum centres, R roll and
 * Rd drum radius [m]. Valid as {@link twoDrumAngle}. @throws TautlineError argument_invalid. Source: geometry.
 */
export function twoDrumContacts(drumDistance: Length, radius: Length, drumRadius: Length): TwoDrumContacts {
  const cosine = Math.cos(twoDrumAngle(drumDistance, radius, drumRadius));
  const height = (radius + drumRadius) * cosine;
  const half = drumDistance / 2;
  const across = (half * radius) / (radius + drumRadius);
  return {
    rollCentre: [0, height],
    rear: [-across, drumRadius * cosine],
    front: [across, drumRadius * cosine],
    top: [0, height + radius],
  };
}
