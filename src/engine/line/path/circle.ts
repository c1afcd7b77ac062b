import { TautlineError } from '../../errors.js';
import type { Angle, Length } from '../../units/quantity.js';

/** A place in the side view [m]: x to the right, y up, the drive side behind the page. */
export interface Point {
  readonly x: Length;
  readonly y: Length;
}

/** Sense of rotation as the web runs: 1 counter-clockwise (its centre on the web's left), -1 clockwise. */
export type Sense = 1 | -1;

/** A roller or roll of the web path in the side view. One section may own several (S-wrap, accumulator, nipped pull roll). */
export interface PathCircle {
  /** Unique in a path. */
  readonly name: string;
  /** Name of the section that it belongs to. */
  readonly section: string;
  readonly centre: Point;
  /** Web caliper is neglected: the web runs at the radius of the roller. */
  readonly radius: Length;
  readonly sense: Sense;
}

/**
 * The point of a circle's surface where a web of the given heading touches it, C + s·R·(sin θ, -cos θ) [m]. θ heading of the web [rad],
 * s sense of rotation. Source: the web runs at a right angle to the radius, with the centre on its left for s = 1.
 */
export const tangentPoint = (circle: PathCircle, heading: Angle): Point => ({
  x: circle.centre.x + circle.sense * circle.radius * Math.sin(heading),
  y: circle.centre.y - circle.sense * circle.radius * Math.cos(heading),
});

/**
 * Distance of two circles' surfaces along the line of centres [m]: above 0 a gap, 0 in contact, below 0 the depth of overlap.
 * Source: geometry.
 */
export const gapBetween = (a: PathCircle, b: PathCircle): Length =>
  Math.hypot(b.centre.x - a.centre.x, b.centre.y - a.centre.y) - a.radius - b.radius;

/** @throws TautlineError argument_invalid for a radius that is not above 0, a centre that is not finite, or a name used twice. */
export function requireCircles(circles: readonly PathCircle[]): void {
  const names = new Set<string>();
  for (const { name, centre, radius } of circles) {
    if (!(radius > 0 && Number.isFinite(radius) && Number.isFinite(centre.x) && Number.isFinite(centre.y)))
      throw new TautlineError(
        'argument_invalid',
        { name, radius, x: centre.x, y: centre.y },
        `"${name}" has radius ${radius} m and centre (${centre.x}, ${centre.y}) m`,
        'state a radius above 0 and a finite centre',
      );
    if (names.has(name))
      throw new TautlineError(
        'argument_invalid',
        { name },
        `two rollers of the web path are called "${name}"`,
        'give each its own name',
      );
    names.add(name);
  }
}

/** The roller of that name. @throws TautlineError argument_invalid */
export function circleNamed(circles: readonly PathCircle[], name: string): PathCircle {
  const found = circles.find((c) => c.name === name);
  if (!found)
    throw new TautlineError(
      'argument_invalid',
      { name },
      `no roller of the web path is called "${name}"`,
      'name a roller of the path or one beside it',
    );
  return found;
}
