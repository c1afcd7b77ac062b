import type { Length } from '../../units/quantity.js';
import { gapBetween, type PathCircle, type Point } from './circle.js';
import { type Contacts, contactAllowance } from './contacts.js';
import type { PathGeometry, WebSpan } from './geometry.js';
import type { PathProblem } from './problem.js';
import { roundingAllowance } from './tangent.js';

/**
 * Rollers that overlap, spans that run through rollers and spans that cross. Every pair is looked at, most of them only as bounding
 * boxes: for the few hundred rollers of the longest line that is quicker than sorting. `all` begins with the circles of the path, in
 * order; `clearance` [m]; with `moving`, one flag a circle, only what a flagged circle or a span at one takes part in.
 * Source: geometry.
 */
export function obstructions(
  all: readonly PathCircle[],
  { spans, wraps }: PathGeometry,
  contacts: Contacts,
  clearance: Length,
  moving?: readonly boolean[],
): PathProblem[] {
  const problems: PathProblem[] = [];
  const moves = (i: number): boolean => moving === undefined || (moving[i] as boolean);
  const there = spans
    .map((span, index) => boxed(span, index, moves(index) || moves(index + 1)))
    .filter((b) => b.span.length > 0);

  for (let i = 0; i < all.length; i++) {
    const a = all[i] as PathCircle;
    const isMoving = moves(i);
    for (let j = i + 1; j < all.length; j++) {
      if (!isMoving && !moves(j)) continue;
      const b = all[j] as PathCircle;
      const reach = a.radius + b.radius;
      if (Math.abs(a.centre.x - b.centre.x) >= reach || Math.abs(a.centre.y - b.centre.y) >= reach) continue;
      const depth = -gapBetween(a, b);
      if (!(depth > roundingAllowance * reach)) continue;
      if (contacts.has(a.name, b.name) && depth <= contactAllowance) continue;
      // Neighbours of opposite sense that overlap have no tangent: one cause, already named.
      if (j === i + 1 && Number.isNaN(spans[i]?.length)) continue;
      problems.push({ kind: 'overlap', names: [a.name, b.name], depth, at: between(a, b) });
    }
  }

  for (const { span, index, left, right, low, high, isMoving } of there)
    for (let j = 0; j < all.length; j++) {
      if (j === index || j === index + 1 || (!isMoving && !moves(j))) continue;
      const c = all[j] as PathCircle;
      const reach = c.radius + clearance;
      if (c.centre.x + reach <= left || c.centre.x - reach >= right) continue;
      if (c.centre.y + reach <= low || c.centre.y - reach >= high) continue;
      const { distance, at } = nearestOn(span, c.centre);
      // A roller that presses on one of the ends presses on the web too, by as much as a nip may.
      const isNip = contacts.has(c.name, span.from) || contacts.has(c.name, span.to);
      const spare = isNip ? contactAllowance : roundingAllowance * reach;
      const wanted = isNip ? 0 : clearance;
      if (distance - c.radius < wanted - spare)
        problems.push({
          kind: 'span-through-roller',
          from: span.from,
          to: span.to,
          roller: c.name,
          clearance: distance - c.radius,
          at,
        });
    }

  for (let k = 0; k < there.length; k++) {
    const a = there[k] as BoxedSpan;
    for (let m = k + 1; m < there.length; m++) {
      const b = there[m] as BoxedSpan;
      if (!a.isMoving && !b.isMoving) continue;
      if (a.right < b.left || b.right < a.left || a.high < b.low || b.high < a.low) continue;
      // The lines of neighbours meet ahead of the roller between them until it is wrapped by half a turn.
      if (b.index === a.index + 1 && !((wraps[a.index]?.wrap ?? 0) > Math.PI)) continue;
      const at = crossing(a.span, b.span);
      if (at)
        problems.push({
          kind: 'spans-cross',
          first: [a.span.from, a.span.to],
          second: [b.span.from, b.span.to],
          at,
        });
    }
  }
  return problems;
}

interface BoxedSpan {
  readonly span: WebSpan;
  readonly index: number;
  readonly left: number;
  readonly right: number;
  readonly low: number;
  readonly high: number;
  readonly isMoving: boolean;
}

const boxed = (span: WebSpan, index: number, isMoving: boolean): BoxedSpan => ({
  span,
  index,
  isMoving,
  left: Math.min(span.start.x, span.end.x),
  right: Math.max(span.start.x, span.end.x),
  low: Math.min(span.start.y, span.end.y),
  high: Math.max(span.start.y, span.end.y),
});

/** Middle of the lens that two overlapping circles share, on their line of centres. */
function between(a: PathCircle, b: PathCircle): Point {
  const dx = b.centre.x - a.centre.x;
  const dy = b.centre.y - a.centre.y;
  const d = Math.hypot(dx, dy);
  if (d === 0) return a.centre;
  const t = (Math.min(a.radius, d + b.radius) + Math.max(-a.radius, d - b.radius)) / 2;
  return { x: a.centre.x + (dx / d) * t, y: a.centre.y + (dy / d) * t };
}

function nearestOn(span: WebSpan, p: Point): { distance: Length; at: Point } {
  const { start, end } = span;
  const dx = end.x - start.x;
  const dy = end.y - start.y;
  const t = ((p.x - start.x) * dx + (p.y - start.y) * dy) / (dx * dx + dy * dy);
  const share = Math.min(1, Math.max(0, t));
  const at = { x: start.x + share * dx, y: start.y + share * dy };
  return { distance: Math.hypot(p.x - at.x, p.y - at.y), at };
}

/** Where two spans cross, away from their ends: ends that meet within rounding do not cross. */
function crossing(a: WebSpan, b: WebSpan): Point | undefined {
  const [ux, uy] = [a.end.x - a.start.x, a.end.y - a.start.y];
  const [vx, vy] = [b.end.x - b.start.x, b.end.y - b.start.y];
  const area = ux * vy - uy * vx;
  if (Math.abs(area) <= roundingAllowance * a.length * b.length) return undefined;
  const [wx, wy] = [b.start.x - a.start.x, b.start.y - a.start.y];
  const t = (wx * vy - wy * vx) / area;
  const u = (wx * uy - wy * ux) / area;
  const inside = (x: number): boolean => x > roundingAllowance && x < 1 - roundingAllowance;
  return inside(t) && inside(u) ? { x: a.start.x + t * ux, y: a.start.y + t * uy } : undefined;
}
