import type { Angle, Length } from '../../units/quantity.js';
import { type PathCircle, type Point, tangentPoint } from './circle.js';

/** The web between two rollers: it leaves `start` on the first and reaches `end` on the second. */
export interface Tangent {
  readonly isPossible: true;
  readonly length: Length;
  /** Direction of travel against the x axis, counter-clockwise, in (-π, π]. */
  readonly heading: Angle;
  readonly start: Point;
  readonly end: Point;
}

/** No web can run so: with these senses the centres stand too close by `missing`; 0 when they coincide. */
export interface NoTangent {
  readonly isPossible: false;
  readonly missing: Length;
}

/**
 * Share of the radii by which centres may stand too close before a tangent counts as impossible: two rollers drawn in contact
 * reach distance = R1 + R2 only to within rounding.
 */
export const roundingAllowance = 1e-9;

/**
 * Common tangent of two rollers on the side that their senses ask for [m, rad]:
 * k = s1·R1 - s2·R2, L = √(d² - k²), θ = φ + asin(k/d), points C + s·R·(sin θ, -cos θ).
 * d distance and φ bearing of the centres, R radii [m], s senses (±1). Equal senses: the web runs along the same side of both;
 * opposite senses: it changes sides between them, and rollers in contact are a nip with L = 0.
 * Valid: d ≥ |k|; `allowance` [m] is how far d may fall short of |k| and still count as touching. Never throws for a finite input.
 * Source: geometry, derived in docs/models/web-path.md.
 */
export function tangentBetween(
  from: PathCircle,
  to: PathCircle,
  allowance: Length = roundingAllowance * (from.radius + to.radius),
): Tangent | NoTangent {
  const dx = to.centre.x - from.centre.x;
  const dy = to.centre.y - from.centre.y;
  const d = Math.hypot(dx, dy);
  const k = from.sense * from.radius - to.sense * to.radius;
  const missing = Math.abs(k) - d;
  // Negated so that NaN ends here. Without a bearing there is no heading, whatever the radii.
  if (!(missing <= allowance && d > 0)) return { isPossible: false, missing: d > 0 ? missing : Math.abs(k) };
  // (d-k)(d+k) keeps the digits that d² - k² loses near contact.
  const length = Math.sqrt(Math.max(0, (d - k) * (d + k)));
  const heading = wrapped(Math.atan2(dy, dx) + Math.atan2(k, length));
  return {
    isPossible: true,
    length,
    heading,
    start: tangentPoint(from, heading),
    end: tangentPoint(to, heading),
  };
}

/** An angle brought into (-π, π] [rad]. Source: definition. */
const wrapped = (angle: Angle): Angle =>
  angle > Math.PI ? angle - 2 * Math.PI : angle <= -Math.PI ? angle + 2 * Math.PI : angle;
