import type { Angle, Length } from '../../units/quantity.js';
import type { PathCircle, Point } from './circle.js';
import { type Contacts, contactAllowance } from './contacts.js';
import { type NoTangent, type Tangent, tangentBetween } from './tangent.js';

/** The free web between two rollers. Where no tangent exists its numbers are NaN and the path has the problem. */
export interface WebSpan {
  readonly from: string;
  readonly to: string;
  readonly length: Length;
  /** Direction of travel against the x axis, counter-clockwise, in (-π, π]. */
  readonly heading: Angle;
  /** Where the web leaves `from` and where it reaches `to`. */
  readonly start: Point;
  readonly end: Point;
}

/** The angle over which the web lies on a roller, in [0, 2π); NaN beside a span that does not exist. */
export interface Wrap {
  readonly name: string;
  readonly wrap: Angle;
}

export interface PathGeometry {
  /** One a pair of neighbours, in web order. */
  readonly spans: readonly WebSpan[];
  /** Of the rollers between the first and the last. */
  readonly wraps: readonly Wrap[];
  /** From the tangent point on the first roller to that on the last, along spans and wraps. */
  readonly length: Length;
}

const nowhere: Point = { x: Number.NaN, y: Number.NaN };

/**
 * Spans [m, rad], wraps [rad] and path length [m], unchecked: wrap = s·(θ_out - θ_in) mod 2π, length = Σ L + Σ R·wrap.
 * Source: as webPath.
 */
export function pathGeometry(circles: readonly PathCircle[], contacts: Contacts): PathGeometry {
  const spans: WebSpan[] = [];
  const wraps: Wrap[] = [];
  let length = 0;
  for (let i = 0; i + 1 < circles.length; i++) {
    const a = circles[i] as PathCircle;
    const b = circles[i + 1] as PathCircle;
    const tangent = tangentOf(a, b, contacts);
    const span: WebSpan = {
      from: a.name,
      to: b.name,
      length: tangent.isPossible ? tangent.length : Number.NaN,
      heading: tangent.isPossible ? tangent.heading : Number.NaN,
      start: tangent.isPossible ? tangent.start : nowhere,
      end: tangent.isPossible ? tangent.end : nowhere,
    };
    const before = spans.at(-1);
    if (before) {
      const wrap = turnOf(a.sense * (span.heading - before.heading));
      wraps.push({ name: a.name, wrap });
      length += a.radius * wrap;
    }
    spans.push(span);
    length += span.length;
  }
  return { spans, wraps, length };
}

/** The tangent between neighbours of a path; those in a nip may overlap a little. */
export const tangentOf = (a: PathCircle, b: PathCircle, contacts: Contacts): Tangent | NoTangent =>
  tangentBetween(a, b, contacts.has(a.name, b.name) ? contactAllowance : undefined);

/** A wrap this little below a full turn is a web that just touches, seen through rounding [rad]. */
const wrapRounding = 1e-9;

/** An angle brought into [0, 2π), with what is 0 but for rounding as 0 [rad]. Source: definition. */
function turnOf(angle: Angle): Angle {
  const turn = 2 * Math.PI;
  const rest = angle - turn * Math.floor(angle / turn);
  return rest > turn - wrapRounding ? 0 : rest;
}
