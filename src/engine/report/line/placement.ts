/** A rectangle in drawing units, y down. */
export interface Box {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

export interface Disc {
  readonly x: number;
  readonly y: number;
  readonly r: number;
}

export interface Segment {
  readonly x1: number;
  readonly y1: number;
  readonly x2: number;
  readonly y2: number;
}

/** Something that wants a label of a size near a disc. */
export interface LabelWish {
  readonly anchor: Disc;
  readonly width: number;
  readonly height: number;
  /** Text that stands upright belongs above or below its disc, never beside it. */
  readonly isUpright?: boolean;
}

export interface PlacedLabel {
  readonly box: Box;
  /** From the disc to the label, where the label does not stand right at it. */
  readonly leader?: Segment;
}

/** What is already on the sheet, in drawing units. Labels never cover discs, boxes and one another; over lines only if they must. */
export interface Sheet {
  readonly left: number;
  readonly right: number;
  readonly discs: readonly Disc[];
  readonly lines: readonly Segment[];
  readonly boxes: readonly Box[];
}

const directions = 16;
/** Distances from the disc's rim to the label: the first stands right at it, the others need a leader. */
const gaps = [3, 12, 22, 34, 48, 64, 82, 102, 126, 154, 186, 222, 262, 306];
/** Prices of what a place spoils, in drawing units of distance. */
const price = { textOverLine: 60, leaderOverLine: 12, leaderOverDisc: 90, leaderOverLeader: 70 };

/**
 * A place for every label, in order: the cheapest of a ring of places at growing distance from its disc. Above or below comes cheapest,
 * since lines run mostly sideways. A label that finds none goes below everything, where its leader may cross what it must: the sheet is open upwards and downwards.
 */
export function placeLabels(wishes: readonly LabelWish[], sheet: Sheet): PlacedLabel[] {
  const boxes = [...sheet.boxes];
  const leaders: Segment[] = [];
  return wishes.map((wish) => {
    const placed = cheapest(wish, sheet, boxes, leaders) ?? belowAll(wish, sheet, boxes);
    boxes.push(placed.box);
    if (placed.leader) leaders.push(placed.leader);
    return placed;
  });
}

function cheapest(
  wish: LabelWish,
  sheet: Sheet,
  boxes: readonly Box[],
  leaders: readonly Segment[],
): PlacedLabel | undefined {
  let best: PlacedLabel | undefined;
  let bestCost = Number.POSITIVE_INFINITY;
  for (const gap of gaps) {
    if (gap >= bestCost) break; // farther out everything costs at least its distance
    for (let k = 0; k < directions; k++) {
      const angle = (2 * Math.PI * k) / directions;
      if (wish.isUpright && Math.abs(Math.sin(angle)) < 0.6) continue;
      const box = boxAt(wish, gap, angle);
      const sideways = 6 * Math.cos(angle) ** 2;
      let cost = gap + sideways;
      if (cost >= bestCost || box.left < sheet.left || box.right > sheet.right) continue;
      if (boxes.some((b) => overlap(b, box)) || sheet.discs.some((d) => covers(box, d))) continue;
      const leader = gap > 6 ? leaderTo(wish.anchor, box) : undefined;
      if (leader && boxes.some((b) => crossesBox(leader, b))) continue;
      for (const line of sheet.lines) if (crossesBox(line, box)) cost += price.textOverLine;
      if (leader) {
        if (leaders.some((l) => crossesBox(l, box))) continue;
        for (const line of sheet.lines) if (cross(line, leader)) cost += price.leaderOverLine;
        for (const d of sheet.discs) if (crossesDisc(leader, d)) cost += price.leaderOverDisc;
        for (const l of leaders) if (cross(l, leader)) cost += price.leaderOverLeader;
      } else if (leaders.some((l) => crossesBox(l, box))) continue;
      if (cost < bestCost) {
        bestCost = cost;
        best = leader ? { box, leader } : { box };
      }
    }
  }
  return best;
}

function belowAll(wish: LabelWish, sheet: Sheet, boxes: readonly Box[]): PlacedLabel {
  const { anchor, width, height } = wish;
  const lowest = Math.max(
    anchor.y + anchor.r,
    ...boxes.map((b) => b.bottom),
    ...sheet.discs.map((d) => d.y + d.r),
  );
  const left = Math.max(sheet.left, Math.min(sheet.right - width, anchor.x - width / 2));
  const box = { left, top: lowest + 6, right: left + width, bottom: lowest + 6 + height };
  return { box, leader: leaderTo(anchor, box) };
}

/** The box whose nearest edge or corner lies `gap` from the disc's rim in a direction (angle from +x towards the top). */
function boxAt({ anchor, width, height }: LabelWish, gap: number, angle: number): Box {
  const [ux, uy] = [Math.cos(angle), -Math.sin(angle)];
  const reach = anchor.r + gap;
  // Towards the side the box hangs on by its side, upwards and downwards by its middle; between the two it slides along.
  const x = anchor.x + ux * reach + (Math.abs(ux) > 0.95 ? Math.sign(ux) : ux) * (width / 2);
  const y = anchor.y + uy * reach + (Math.abs(uy) > 0.35 ? Math.sign(uy) : uy) * (height / 2);
  return { left: x - width / 2, top: y - height / 2, right: x + width / 2, bottom: y + height / 2 };
}

function leaderTo(disc: Disc, box: Box): Segment {
  const x2 = Math.max(box.left, Math.min(box.right, disc.x));
  const y2 = Math.max(box.top, Math.min(box.bottom, disc.y));
  const d = Math.hypot(x2 - disc.x, y2 - disc.y) || 1;
  return { x1: disc.x + ((x2 - disc.x) / d) * disc.r, y1: disc.y + ((y2 - disc.y) / d) * disc.r, x2, y2 };
}

/** True when two boxes share area. */
export const overlap = (a: Box, b: Box): boolean =>
  a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;

/** True when a box shares area with a disc. */
export function covers(box: Box, { x, y, r }: Disc): boolean {
  const dx = x - Math.max(box.left, Math.min(box.right, x));
  const dy = y - Math.max(box.top, Math.min(box.bottom, y));
  return dx * dx + dy * dy < r * r;
}

function crossesDisc(s: Segment, { x, y, r }: Disc): boolean {
  const [dx, dy] = [s.x2 - s.x1, s.y2 - s.y1];
  const t = Math.max(0, Math.min(1, ((x - s.x1) * dx + (y - s.y1) * dy) / (dx * dx + dy * dy || 1)));
  // Half a unit of slack: a leader starts on the rim of its own disc.
  return Math.hypot(s.x1 + t * dx - x, s.y1 + t * dy - y) < r - 0.5;
}

function cross(a: Segment, b: Segment): boolean {
  const side = (s: Segment, x: number, y: number): number =>
    (s.x2 - s.x1) * (y - s.y1) - (s.y2 - s.y1) * (x - s.x1);
  return side(a, b.x1, b.y1) * side(a, b.x2, b.y2) < 0 && side(b, a.x1, a.y1) * side(b, a.x2, a.y2) < 0;
}

/** True when a segment runs through a box (Liang and Barsky's clipping). */
export function crossesBox(s: Segment, box: Box): boolean {
  const [dx, dy] = [s.x2 - s.x1, s.y2 - s.y1];
  let from = 0;
  let to = 1;
  for (const [delta, room] of [
    [-dx, s.x1 - box.left],
    [dx, box.right - s.x1],
    [-dy, s.y1 - box.top],
    [dy, box.bottom - s.y1],
  ] as const) {
    if (delta === 0) {
      if (room <= 0) return false;
    } else if (delta < 0) from = Math.max(from, room / delta);
    else to = Math.min(to, room / delta);
  }
  return from < to;
}
