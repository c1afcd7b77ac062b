import { escapeMarkup } from '../escape.js';
import { coordinate as c } from '../svg/path.js';
import type { DrawnCircle } from './model.js';

/** Where a circle stands on the sheet, in drawing units, y down. */
export interface OnSheet {
  readonly x: number;
  readonly y: number;
  readonly r: number;
  /** Core of a roll. */
  readonly core: number;
}

/** Size of the filled triangle that marks a driven roller. */
const driveSize = (r: number): number => Math.max(4.2, Math.min(8, 0.7 * r));

/** Room that the mark of a drive beside a small roller takes beyond its rim. */
const besideRoom = 11;
const isTooSmallToHold = (circle: DrawnCircle, r: number): boolean => circle.role !== 'roll' && r < 5.5;

/** Centre and size of the mark of a drive: inside the roller, or beside a small one on the side that the web leaves free. */
function drivePlace(circle: DrawnCircle, { x, y, r, core }: OnSheet): [x: number, y: number, size: number] {
  if (!isTooSmallToHold(circle, r)) return [x, y, driveSize(circle.role === 'roll' ? core : r)];
  const load = circle.load ?? -Math.PI / 2;
  return [x + (r + 6.5) * Math.cos(load), y - (r + 6.5) * Math.sin(load), 5];
}

/** A circle with all its marks, as a group that carries its section's name for whoever wants to select it. */
export function drawCircle(circle: DrawnCircle, at: OnSheet): string {
  const { x, y, r } = at;
  const parts = [disc('body', x, y, r)];
  if (circle.role === 'roll') parts.push(path('laps', spiral(circle, at)), core(circle, at));
  else if (circle.role === 'dryer' && r > 8) parts.push(disc('shell', x, y, r - Math.max(3, 0.1 * r)));
  if (circle.isDriven) parts.push(driveMark(...drivePlace(circle, at)));
  else if (circle.role !== 'roll' && r > 3.5) parts.push(disc('axle', x, y, 1.3));
  if (circle.role === 'load-cell') parts.push(loadCellMark(at, circle.load ?? -Math.PI / 2));
  if (circle.role === 'dancer') parts.push(dancerMark(at, circle.load ?? -Math.PI / 2));
  return (
    `<g class="${circle.role} ${circle.state}" data-section="${escapeMarkup(circle.section)}">` +
    `<title>${escapeMarkup(circle.tip)}</title>${parts.join('')}</g>`
  );
}

const disc = (classes: string, x: number, y: number, r: number): string =>
  `<circle class="${classes}" cx="${c(x)}" cy="${c(y)}" r="${c(r)}"/>`;

const path = (classes: string, d: string): string => (d === '' ? '' : `<path class="${classes}" d="${d}"/>`);

/** A core too small to hold the mark of its drive gives way to it. */
const core = ({ isDriven }: DrawnCircle, { x, y, core: r }: OnSheet): string =>
  r > (isDriven ? 5.5 : 0) ? disc('core', x, y, r) : '';

/** A hint of the laps: a spiral from the outside to the core, as the web lies, far fewer laps than there are. */
function spiral({ lap }: DrawnCircle, { x, y, r, core: inner }: OnSheet): string {
  const build = r - inner;
  if (!lap || build < 8) return '';
  const laps = Math.max(1, Math.min(7, Math.floor(build / 6)));
  // Chords of a few units: a large roll must not look like a polygon.
  const steps = laps * Math.max(24, Math.min(72, Math.round(r)));
  let d = '';
  for (let k = 0; k <= steps; k++) {
    // It starts just inside the outline, which it would otherwise thin out.
    const radius = r - 1.5 - ((build - 1.5) * k) / steps;
    const angle = lap.from + lap.sense * 2 * Math.PI * laps * (k / steps);
    d += `${k === 0 ? 'M' : 'L'}${c(x + radius * Math.cos(angle))} ${c(y - radius * Math.sin(angle))}`;
  }
  return d;
}

/** Filled triangle about (x, y): this roller is driven. */
export const driveMark = (x: number, y: number, size: number): string =>
  path('solid', `M${c(x)} ${c(y - size)}L${c(x + 0.87 * size)} ${c(y + 0.5 * size)}H${c(x - 0.87 * size)}Z`);

/** A block on a stalk on the side to which the web presses the roller: this roller weighs the tension. */
export function loadCellMark({ x, y, r }: OnSheet, load: number): string {
  const [ux, uy] = [Math.cos(load), -Math.sin(load)];
  const [bx, by] = [x + ux * (r + 9), y + uy * (r + 9)];
  const stalk = path('mark', `M${c(x + ux * r)} ${c(y + uy * r)}L${c(bx)} ${c(by)}`);
  return `${stalk}<rect class="block" x="${c(bx - 4)}" y="${c(by - 4)}" width="8" height="8"/>${path('mark', `M${c(bx - 4)} ${c(by + 4)}l8 -8`)}`;
}

/** A double arrow along the way that the web presses the roller: this roller moves. */
export function dancerMark({ x, y, r }: OnSheet, load: number): string {
  const [ux, uy] = [Math.cos(load), -Math.sin(load)];
  const tip = (distance: number, sign: number): string => {
    const [tx, ty] = [x + ux * distance, y + uy * distance];
    const [ax, ay] = [tx - sign * 5 * ux, ty - sign * 5 * uy];
    return `M${c(ax - 3 * uy)} ${c(ay + 3 * ux)}L${c(tx)} ${c(ty)}L${c(ax + 3 * uy)} ${c(ay - 3 * ux)}`;
  };
  const [near, far] = [r + 3, r + 20];
  const shaft = `M${c(x + ux * near)} ${c(y + uy * near)}L${c(x + ux * far)} ${c(y + uy * far)}`;
  return path('mark', shaft + tip(far, 1) + tip(near, -1));
}

/** Filled arrow head in a direction (angle from +x towards the top): the way the web travels. */
export function travelMark(x: number, y: number, angle: number): string {
  const [ux, uy] = [Math.cos(angle), -Math.sin(angle)];
  const [bx, by] = [x - 4 * ux, y - 4 * uy];
  return `M${c(x + 5 * ux)} ${c(y + 5 * uy)}L${c(bx - 3.6 * uy)} ${c(by + 3.6 * ux)}L${c(bx + 3.6 * uy)} ${c(by - 3.6 * ux)}Z`;
}

/** Two wedges that point at each other across a nip, along the line of centres. */
export function nipMark(x: number, y: number, along: number): string {
  const [ux, uy] = [Math.cos(along), -Math.sin(along)];
  const wedge = (s: number): string => {
    const [bx, by] = [x + s * 10 * ux, y + s * 10 * uy];
    return `M${c(x + s * 1.5 * ux)} ${c(y + s * 1.5 * uy)}L${c(bx - 4.6 * uy)} ${c(by + 4.6 * ux)}L${c(bx + 4.6 * uy)} ${c(by - 4.6 * ux)}Z`;
  };
  return `<path class="nip" d="${wedge(1)}${wedge(-1)}"/>`;
}

/** How far the marks of a circle reach beyond its rim, in drawing units. */
export const markReach = (circle: DrawnCircle, r: number): number =>
  Math.max(
    circle.role === 'load-cell' ? 14 : circle.role === 'dancer' ? 21 : 0,
    circle.isDriven && isTooSmallToHold(circle, r) ? besideRoom : 0,
  );
