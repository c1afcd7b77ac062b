import { TautlineError } from '../../errors.js';
import type { Length } from '../../units/quantity.js';
import { circleNamed, gapBetween, type PathCircle, type Point, requireCircles } from './circle.js';
import { contactsOf } from './contacts.js';
import { pathGeometry } from './geometry.js';
import type { PathProblem } from './problem.js';
import { pathProblems, type WebPathOptions } from './webPath.js';

/** What gives way while a roll grows or shrinks. */
export interface RollMove extends WebPathOptions {
  /**
   * none: nothing, only the radius changes.
   * roller: the rollers `nipWith` move out, each along its line of centres, the roll stays (lay-on roller, centre winder).
   * roll: the roll's centre moves out, away from the one drum `nipWith` (surface winder), or to where it rests on both (two-drum).
   */
  readonly moves: 'none' | 'roller' | 'roll';
  readonly nipWith?: readonly string[];
  /** Rollers that ride on the roll and move out with its surface, each along its line of centres as drawn. */
  readonly riders?: readonly string[];
}

/** A path as functions of the roll's radius: index i of every array belongs to radius i. */
export interface PathOverBuild {
  readonly radius: Float64Array;
  /** Lengths of the spans, in web order. */
  readonly spans: readonly { readonly from: string; readonly to: string; readonly length: Float64Array }[];
  /** Wraps of the rollers between the first and the last: that of the load cell sets its scale. */
  readonly wraps: readonly { readonly name: string; readonly wrap: Float64Array }[];
  readonly length: Float64Array;
  /** Every kind of problem at every place once, at the first radius in the given order at which it shows. */
  readonly problems: readonly { readonly radius: Length; readonly problem: PathProblem }[];
}

/** Circles of a path and of those beside it, with the roll at another radius. */
export interface CirclesAtRadius {
  readonly circles: readonly PathCircle[];
  readonly beside: readonly PathCircle[];
  /** Set where a roll falls between its drums; its centre is then left as drawn. */
  readonly problem?: PathProblem;
}

/**
 * Circles with the roll at a radius [m]. Gaps that are drawn are kept (a nip drawn 1 mm open stays 1 mm open); drawn overlaps of rollers
 * in a nip close to contact. Two drums A, B: the roll's centre is where circles of radius R + R_A + gap and R + R_B + gap about the
 * drums meet, on the side on which the roll is drawn. @throws TautlineError argument_invalid
 * Source: geometry.
 */
export function circlesAtRadius(
  circles: readonly PathCircle[],
  roll: number,
  radius: Length,
  move: RollMove,
): CirclesAtRadius {
  const drawn = circles[roll];
  if (!drawn)
    throw new TautlineError(
      'argument_invalid',
      { roll, circles: circles.length },
      `the web path has no circle number ${roll}`,
      `give the index of the roll, from 0 to ${circles.length - 1}`,
    );
  const beside = move.beside ?? [];
  const all = [...circles, ...beside];
  const partners = (move.nipWith ?? []).map((name) => circleNamed(all, name));
  requirePartners(move, drawn, partners);

  let centre = drawn.centre;
  let problem: PathProblem | undefined;
  if (move.moves === 'roll') {
    const place =
      partners.length === 2
        ? restingPlace(drawn, radius, partners as [PathCircle, PathCircle])
        : movedOut(partners[0] as PathCircle, drawn, radius + (partners[0] as PathCircle).radius);
    if ('x' in place) centre = place;
    else problem = place;
  }
  const at: PathCircle = { ...drawn, centre, radius };
  const followers = new Set([
    ...(move.moves === 'roller' ? (move.nipWith ?? []) : []),
    ...(move.riders ?? []),
  ]);
  for (const name of followers) circleNamed(all, name);
  const moved = (c: PathCircle): PathCircle => {
    if (c === drawn) return at;
    if (!followers.has(c.name)) return c;
    // The bearing is that of the drawing; the distance follows the surface.
    const place = movedOut(drawn, c, radius + c.radius);
    const shift = { x: centre.x - drawn.centre.x, y: centre.y - drawn.centre.y };
    return { ...c, centre: { x: place.x + shift.x, y: place.y + shift.y } };
  };
  return { circles: circles.map(moved), beside: beside.map(moved), ...(problem && { problem }) };
}

/**
 * Spans, wraps and path length over the radii of a roll [m, rad], with the problems that come and go as it grows.
 * `roll` is its index in `circles`. @throws TautlineError argument_invalid
 * Source: webPath at every radius of circlesAtRadius.
 */
export function pathOverBuild(
  circles: readonly PathCircle[],
  roll: number,
  radii: ArrayLike<Length>,
  move: RollMove,
): PathOverBuild {
  const n = radii.length;
  const all = [...circles, ...(move.beside ?? [])];
  requireCircles(all);
  const contacts = contactsOf(all, move.contacts ?? []);
  const column = (): Float64Array => new Float64Array(n);
  const spans = circles
    .slice(1)
    .map((c, i) => ({ from: (circles[i] as PathCircle).name, to: c.name, length: column() }));
  const wraps = circles.slice(1, -1).map((c) => ({ name: c.name, wrap: column() }));
  const length = column();
  const problems = new Map<string, { radius: Length; problem: PathProblem }>();

  // What stands still is checked once.
  let isStillChecked = false;
  for (let i = 0; i < n; i++) {
    const radius = radii[i] as number;
    const here = circlesAtRadius(circles, roll, radius, move);
    requireCircles(here.circles.slice(roll, roll + 1));
    const geometry = pathGeometry(here.circles, contacts);
    for (const [k, span] of geometry.spans.entries())
      (spans[k] as { length: Float64Array }).length[i] = span.length;
    for (const [k, { wrap }] of geometry.wraps.entries()) (wraps[k] as { wrap: Float64Array }).wrap[i] = wrap;
    length[i] = geometry.length;
    const everything = [...here.circles, ...here.beside];
    const moving = isStillChecked ? everything.map((c, k) => c !== all[k]) : undefined;
    const found = here.problem
      ? [here.problem]
      : pathProblems(here.circles, everything, geometry, contacts, move.clearance ?? 0, moving);
    isStillChecked ||= !here.problem;
    for (const problem of found) {
      const key = identityOf(problem);
      if (!problems.has(key)) problems.set(key, { radius, problem });
    }
  }
  return { radius: Float64Array.from(radii), spans, wraps, length, problems: [...problems.values()] };
}

function requirePartners(move: RollMove, roll: PathCircle, partners: readonly PathCircle[]): void {
  const n = partners.length;
  const isMeant = { none: n === 0, roller: n > 0, roll: n === 1 || n === 2 }[move.moves];
  if (isMeant && !partners.includes(roll)) return;
  throw new TautlineError(
    'argument_invalid',
    { moves: move.moves, nipWith: (move.nipWith ?? []).slice() },
    `a roll "${roll.name}" with moves "${move.moves}" cannot be in a nip with ${n === 0 ? 'nothing' : partners.map((p) => `"${p.name}"`).join(' and ')}`,
    'name no nip for "none", other rollers for "roller", and one drum or two for "roll"; what rides on top of a moving roll is a rider',
  );
}

/** Centre of `outer` along its line of centres from `inner`, with surfaces of summed radii `reach` and the gap that is drawn. */
function movedOut(inner: PathCircle, outer: PathCircle, reach: Length): Point {
  const dx = outer.centre.x - inner.centre.x;
  const dy = outer.centre.y - inner.centre.y;
  const d = Math.hypot(dx, dy);
  if (d === 0) throw withoutBearing(inner, outer);
  const distance = reach + Math.max(0, gapBetween(inner, outer));
  return { x: inner.centre.x + (dx / d) * distance, y: inner.centre.y + (dy / d) * distance };
}

const withoutBearing = (a: PathCircle, b: PathCircle): TautlineError =>
  new TautlineError(
    'argument_invalid',
    { first: a.name, second: b.name },
    `"${a.name}" and "${b.name}" have the same centre, so neither can move away from the other`,
    'correct one of the centres',
  );

function restingPlace(
  drawn: PathCircle,
  radius: Length,
  [a, b]: readonly [PathCircle, PathCircle],
): Point | PathProblem {
  const toA = radius + a.radius + Math.max(0, gapBetween(a, drawn));
  const toB = radius + b.radius + Math.max(0, gapBetween(b, drawn));
  const dx = b.centre.x - a.centre.x;
  const dy = b.centre.y - a.centre.y;
  const d = Math.hypot(dx, dy);
  if (d === 0) throw withoutBearing(a, b);
  // Foot of the perpendicular from the roll's centre onto the line through the drums, then its height above it.
  const foot = (d * d + toA * toA - toB * toB) / (2 * d);
  const square = toA * toA - foot * foot;
  if (!(square >= 0))
    return {
      kind: 'roll-between-drums',
      roll: drawn.name,
      drums: [a.name, b.name],
      missing: d - toA - toB,
      at: drawn.centre,
    };
  const side = Math.sign(dx * (drawn.centre.y - a.centre.y) - dy * (drawn.centre.x - a.centre.x)) || 1;
  const height = side * Math.sqrt(square);
  return {
    x: a.centre.x + (dx * foot - dy * height) / d,
    y: a.centre.y + (dy * foot + dx * height) / d,
  };
}

/** The same trouble at the same place has the same key, whatever its numbers. */
function identityOf(problem: PathProblem): string {
  const { kind } = problem;
  switch (kind) {
    case 'impossible-tangent':
      return JSON.stringify([kind, problem.from, problem.to]);
    case 'wrap-too-large':
      return JSON.stringify([kind, problem.name]);
    case 'overlap':
      return JSON.stringify([kind, problem.names]);
    case 'span-through-roller':
      return JSON.stringify([kind, problem.from, problem.to, problem.roller]);
    case 'spans-cross':
      return JSON.stringify([kind, problem.first, problem.second]);
    case 'roll-between-drums':
      return JSON.stringify([kind, problem.roll]);
  }
}

/** The wrap of one roller over the build [rad]; undefined for the ends of the path and rollers beside it. Source: look-up. */
export const wrapOver = (build: PathOverBuild, name: string): Float64Array | undefined =>
  build.wraps.find((w) => w.name === name)?.wrap;
