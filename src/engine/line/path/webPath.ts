import type { Angle, Length } from '../../units/quantity.js';
import { type PathCircle, requireCircles } from './circle.js';
import { type Contacts, contactsOf } from './contacts.js';
import { type PathGeometry, pathGeometry, tangentOf } from './geometry.js';
import { obstructions } from './obstructions.js';
import type { PathProblem } from './problem.js';

export interface WebPath extends PathGeometry {
  readonly problems: readonly PathProblem[];
}

export interface WebPathOptions {
  /** Rollers that touch the web or a roll without the web running round them: nip and rider rollers, the second drum. */
  readonly beside?: readonly PathCircle[];
  /** Pairs in contact on purpose: nips. They may overlap by `contactAllowance`. */
  readonly contacts?: readonly (readonly [string, string])[];
  /** Smallest distance that a span must keep from rollers that are not its ends [m]; 0 when left out. */
  readonly clearance?: Length;
}

/** A wrap beyond this means almost always that a roller turns the other way than stated. */
export const largestWrap: Angle = 1.5 * Math.PI;

/**
 * The way of the web round rollers in web order: spans [m, rad], wraps [rad], path length [m], and every reason why a web cannot run
 * so. wrap = s·(θ_out - θ_in) mod 2π; length = Σ L + Σ R·wrap. Valid: thin web, straight spans (no sag, no deflected rollers), one
 * plane. Cost grows with n²; 60 rollers take well below 1 ms. @throws TautlineError argument_invalid
 * Source: geometry, derived in docs/models/web-path.md.
 */
export function webPath(circles: readonly PathCircle[], options: WebPathOptions = {}): WebPath {
  const all = [...circles, ...(options.beside ?? [])];
  requireCircles(all);
  const contacts = contactsOf(all, options.contacts ?? []);
  const geometry = pathGeometry(circles, contacts);
  return { ...geometry, problems: pathProblems(circles, all, geometry, contacts, options.clearance ?? 0) };
}

/**
 * Every reason why a web cannot run as the geometry says. `all` begins with the circles of the path and ends with those beside it;
 * `clearance` [m]; `moving` as in obstructions. Source: as webPath.
 */
export function pathProblems(
  circles: readonly PathCircle[],
  all: readonly PathCircle[],
  geometry: PathGeometry,
  contacts: Contacts,
  clearance: Length,
  moving?: readonly boolean[],
): PathProblem[] {
  const problems: PathProblem[] = [];
  for (const [i, span] of geometry.spans.entries()) {
    if (!Number.isNaN(span.length)) continue;
    const a = circles[i] as PathCircle;
    const b = circles[i + 1] as PathCircle;
    const tangent = tangentOf(a, b, contacts);
    if (tangent.isPossible) continue;
    const at = { x: (a.centre.x + b.centre.x) / 2, y: (a.centre.y + b.centre.y) / 2 };
    problems.push({
      kind: 'impossible-tangent',
      from: a.name,
      to: b.name,
      missing: tangent.missing,
      at,
    });
  }
  for (const [i, { name, wrap }] of geometry.wraps.entries())
    if (wrap > largestWrap)
      problems.push({ kind: 'wrap-too-large', name, wrap, at: (circles[i + 1] as PathCircle).centre });
  problems.push(...obstructions(all, geometry, contacts, clearance, moving));
  return problems;
}
