import type { PathCircle, Point, Sense } from '../../../../src/engine/line/path/circle.js';
import type { WebPath } from '../../../../src/engine/line/path/webPath.js';
import { createRandom } from '../../../../src/engine/numerics/random.js';

/** A circle by its numbers; its section is its name. */
export const circle = (name: string, x: number, y: number, radius: number, sense: Sense): PathCircle => ({
  name,
  section: name,
  centre: { x, y },
  radius,
  sense,
});

export const degrees = (angle: number): number => (angle * 180) / Math.PI;

/** Rollers from left to right, alternately low and high, far enough apart that every sense gives a web. */
export function zigzag(count: number, seed: number): PathCircle[] {
  const random = createRandom(seed);
  return Array.from({ length: count }, (_, i) => {
    const isLow = i % 2 === 0;
    const radius = 0.05 + 0.1 * random.uniform();
    const y = (isLow ? 0 : 1) + 0.3 * random.uniform();
    return circle(`r${i}`, 0.8 * i + 0.2 * random.uniform(), y, radius, isLow ? 1 : -1);
  });
}

/**
 * Length of the web as a polyline: straight between the stated ends of each span, along each roller in `steps` chords from where one
 * span ends to where the next starts, in the roller's sense. It uses neither wraps nor headings.
 */
export function polylineLength(path: WebPath, circles: readonly PathCircle[], steps: number): number {
  const points: Point[] = [];
  for (const [i, span] of path.spans.entries()) {
    points.push(span.start, span.end);
    const c = circles[i + 1];
    const next = path.spans[i + 1];
    if (!c || !next) continue;
    const from = Math.atan2(span.end.y - c.centre.y, span.end.x - c.centre.x);
    const to = Math.atan2(next.start.y - c.centre.y, next.start.x - c.centre.x);
    let turn = c.sense * (to - from);
    while (turn < -1e-12) turn += 2 * Math.PI;
    for (let k = 1; k < steps; k++) {
      const angle = from + (c.sense * turn * k) / steps;
      points.push({ x: c.centre.x + c.radius * Math.cos(angle), y: c.centre.y + c.radius * Math.sin(angle) });
    }
  }
  let length = 0;
  for (let k = 1; k < points.length; k++) {
    const [a, b] = [points[k - 1] as Point, points[k] as Point];
    length += Math.hypot(b.x - a.x, b.y - a.y);
  }
  return length;
}
