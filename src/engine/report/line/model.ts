import type { Point, Sense } from '../../line/path/circle.js';
import type { Angle, Length, UnitSystem } from '../../units/quantity.js';

/** What a circle is drawn as. A carriage roller is one of an accumulator's that moves. */
export type DrawnRole = 'roller' | 'roll' | 'dryer' | 'spreader' | 'load-cell' | 'dancer' | 'carriage';

/** Colour is kept for what stands out: selected, or part of a problem. */
export type DrawnState = 'normal' | 'selected' | 'abnormal';

/** What the drawing must know of a circle beyond its place. */
export interface CircleLook {
  readonly role: DrawnRole;
  readonly isDriven?: boolean;
  /** Of a roll. */
  readonly coreRadius?: Length;
  /** Text beside it; the circle's name when left out, none when ''. */
  readonly label?: string;
}

/** A side view as plain data, in metres, y up. Everything that is drawn of the machine stands here; only labels find their own place. */
export interface LineDrawing {
  /** Unique in its document; letters, digits, hyphens. */
  readonly id: string;
  readonly title: string;
  /** What a reader who cannot see it should know. */
  readonly description: string;
  readonly system: UnitSystem;
  readonly circles: readonly DrawnCircle[];
  readonly spans: readonly DrawnSpan[];
  readonly arcs: readonly DrawnArc[];
  readonly nips: readonly { readonly at: Point; readonly along: Angle }[];
  readonly carriages: readonly DrawnCarriage[];
  readonly labels: readonly DrawnLabel[];
  readonly problems: readonly DrawnProblem[];
}

export interface DrawnCircle {
  readonly name: string;
  readonly section: string;
  readonly centre: Point;
  readonly radius: Length;
  readonly role: DrawnRole;
  readonly isDriven: boolean;
  readonly coreRadius?: Length;
  readonly state: DrawnState;
  /** Direction in which the web presses on it; undefined where no web wraps it. */
  readonly load?: Angle;
  /** Of a roll: where its outer lap begins and in which sense that lap is followed inwards. */
  readonly lap?: { readonly from: Angle; readonly sense: Sense };
  /** Shown on pointing at it. */
  readonly tip: string;
}

export interface DrawnSpan {
  readonly start: Point;
  readonly end: Point;
  /** Without a tangent: drawn dashed between the centres. */
  readonly isPossible: boolean;
  readonly state: DrawnState;
  readonly tip: string;
  /** Length, where details are asked for. */
  readonly text?: string;
}

/** Web on a roller: from the polar angle `from` on by `turn`, counter-clockwise above 0. */
export interface DrawnArc {
  readonly centre: Point;
  readonly radius: Length;
  readonly from: Angle;
  readonly turn: Angle;
  readonly state: DrawnState;
}

/** The bar that joins the moving rollers of an accumulator. */
export interface DrawnCarriage {
  readonly section: string;
  readonly from: Point;
  readonly to: Point;
}

/** Text that belongs to a place; `radius` is kept free around it. */
export interface DrawnLabel {
  readonly at: Point;
  readonly radius: Length;
  readonly text: string;
  readonly detail?: string;
  readonly state: DrawnState;
  /** Lower ones choose their place first: 0 problems, 1 rolls and accumulators, 2 what is driven or measures, 3 the rest. */
  readonly rank: number;
}

export interface DrawnProblem {
  /** As marked in the drawing, "!1". */
  readonly mark: string;
  readonly at: Point;
  readonly message: string;
  readonly next: string;
}
