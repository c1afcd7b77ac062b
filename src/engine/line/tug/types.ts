import type { Finding } from '../../findings.js';
import type { Acceleration, Angle, Length, Ratio, Speed, Tension, Torque } from '../../units/quantity.js';

/** A value that is known between two ends; both alike when it is known. An end without a bound is infinite: what is not known is never 0. */
export interface Interval {
  readonly low: number;
  readonly high: number;
}

/** An interval whose ends are both known. */
export type Band = Interval;

/** True when both ends have a bound. */
export const isKnown = ({ low, high }: Interval): boolean => Number.isFinite(low) && Number.isFinite(high);

/** When a roller is to be driven. Ours: no published criterion was found. */
export interface TugCriteria {
  /** Rise by drag in a zone, as a share of the lowest tension held in it. */
  readonly dragShare: Ratio;
  /** Friction that is there over friction needed, at top speed, at its worst of running, speeding up and stopping. */
  readonly reserve: Ratio;
  /** Change by speeding up or stopping in a zone, whichever is larger, as a share of the lowest tension held in it. */
  readonly accelerationShare: Ratio;
}

export const usualCriteria: TugCriteria = { dragShare: 0.1, reserve: 1.5, accelerationShare: 0.25 };

/** What a roller, or a zone, asks of the web at one speed and acceleration. */
export interface TugPoint {
  readonly speed: Speed;
  readonly acceleration: Acceleration;
  /** Undefined where drag or inertia is not known. */
  readonly rise?: Band;
}

/** Who turns a roller: the web alone, or a drive of its own that leaves the web the error of its feed-forward. */
export type Carrier = 'web' | 'helper drive';

export type TugVerdict = 'carried by the web' | 'driven' | 'needs a helper drive' | 'not known';

/** What the line does where traction is judged, always at top speed. */
export type LineState = 'running' | 'speeding up' | 'stopping';

export interface RollerTug {
  readonly name: string;
  readonly section: string;
  readonly pointer: string;
  readonly carrier: Carrier;
  readonly points: readonly TugPoint[];
  /** Tension that the web loses to drag at top speed [N]; its high end is open where bearing seals or an unknown load come on top. */
  readonly drag?: Interval;
  /** Tension that it spends on speeding the roller up at the line's acceleration [N]. */
  readonly inertia?: Band;
  /** The same in a stop, negative: the roller gives it back. Undefined while the line states no stop. */
  readonly stopping?: Band;
  readonly wrap?: Angle;
  /** Tension before the roller at top speed, steady [N]; an end is open behind a roller that is not known. */
  readonly tensionBefore?: Interval;
  /** Air film at top speed, steady [m]; 0 where it is led away. Undefined where it is not known. */
  readonly film?: Length;
  /** Friction that it needs at top speed, at worst, and what is there with air [1]. */
  readonly frictionNeeded?: Ratio;
  readonly friction?: Ratio;
  /** Friction that is there over friction needed, at worst; below 1 the web slips. */
  readonly reserve?: Ratio;
  /** What the line does when the reserve is that. */
  readonly worstWhen?: LineState;
  /** Largest acceleration before it slips at top speed; negative when it slips anyway. */
  readonly accelerationBeforeSlip?: Acceleration;
  /** Largest deceleration before it slips at top speed, as a magnitude. */
  readonly decelerationBeforeSlip?: Acceleration;
  readonly verdict: TugVerdict;
  readonly reasons: readonly string[];
  /** What the verdict would need and nobody stated or measured. */
  readonly missing: readonly string[];
  /** What the verdict leaves out. */
  readonly provisos: readonly string[];
  /** What a helper drive must give at the roller: drag and acceleration at top speed, and the start. */
  readonly helper?: { readonly torque: Interval; readonly start?: Torque; readonly power: Interval };
}

/** A stretch of web between two sections that hold its tension. */
export interface TensionZone {
  readonly from: string;
  readonly to: string;
  readonly rollers: readonly RollerTug[];
  /** Tension that the line states for it [N]. */
  readonly tension?: Tension;
  /** Where its tension is held: at the end before a winder with a program, or where only a load cell or dancer states one. */
  readonly heldAt?: 'beginning' | 'end';
  /** Lowest tension that is held in it [N], of the winder's program before a winder: drag and acceleration are judged against it. */
  readonly lowestTension?: Tension;
  /** Sum of drag at top speed, of speeding up and of stopping [N]; of what is known. */
  readonly drag: Band;
  readonly inertia: Band;
  readonly stopping: Band;
  /** The whole rise over the zone at each speed and acceleration; without `rise` where a roller is not known. */
  readonly points: readonly TugPoint[];
  /** Rollers of which drag or inertia is not known, so that the sums are too small. */
  readonly unknown: readonly string[];
}

/** What a section that holds a step of tension can hold, against what it has to. */
export interface SectionGrip {
  readonly section: string;
  readonly pointer: string;
  /** Difference of the tensions on its two sides [N]. */
  readonly step: Tension;
  /** Largest step before the web slips on it [N]. */
  readonly grip: Tension;
}

export interface TugBudget {
  readonly zones: readonly TensionZone[];
  /** Sections that hold a step of tension, as far as their friction and wraps are known. */
  readonly grips: readonly SectionGrip[];
  readonly findings: readonly Finding[];
}
