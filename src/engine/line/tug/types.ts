import type { Finding } from '../../findings.js';
import type { Acceleration, Angle, Ratio, Speed, Tension, Torque } from '../../units/quantity.js';

import type { SectionGrip } from './grip.js';

/** A value that is known between two ends; both alike when it is known. */
export interface Band {
  readonly low: number;
  readonly high: number;
}

/** When a roller is to be driven. Ours: no published criterion was found. */
export interface TugCriteria {
  /** Rise by drag in a zone, as a share of its tension. */
  readonly dragShare: Ratio;
  /** Friction that is there over friction needed, at top speed while speeding up. */
  readonly reserve: Ratio;
  /** Rise by acceleration in a zone, as a share of its tension. */
  readonly accelerationShare: Ratio;
}

export const usualCriteria: TugCriteria = { dragShare: 0.1, reserve: 1.5, accelerationShare: 0.25 };

/** What a roller asks of the web at one speed and acceleration. */
export interface TugPoint {
  readonly speed: Speed;
  readonly acceleration: Acceleration;
  /** Undefined where drag or inertia is not known. */
  readonly rise?: Band;
}

/** Who turns a roller: the web alone, or a drive of its own that leaves the web the error of its feed-forward. */
export type Carrier = 'web' | 'helper drive';

export type TugVerdict = 'carried by the web' | 'driven' | 'needs a helper drive' | 'not known';

export interface RollerTug {
  readonly name: string;
  readonly section: string;
  readonly pointer: string;
  readonly carrier: Carrier;
  readonly points: readonly TugPoint[];
  /** Tension that the web loses to drag at top speed [N]. */
  readonly drag?: Band;
  /** Tension that it spends on speeding the roller up at the line's acceleration [N]. */
  readonly inertia?: number;
  readonly wrap?: Angle;
  /** Tension before the roller at top speed, steady [N]. */
  readonly tensionBefore?: Band;
  /** Friction that it needs while speeding up at top speed, at worst, and what is there with air [1]. */
  readonly frictionNeeded?: Ratio;
  readonly friction?: Ratio;
  /** Friction that is there over friction needed, at top speed while speeding up; below 1 the web slips. */
  readonly reserve?: Ratio;
  /** Largest acceleration before it slips at top speed; negative when it slips anyway. */
  readonly accelerationBeforeSlip?: Acceleration;
  readonly verdict: TugVerdict;
  readonly reasons: readonly string[];
  /** What a helper drive must give at the roller: drag and acceleration at top speed, and the start. */
  readonly helper?: { readonly torque: Band; readonly start?: Torque; readonly power: Band };
}

/** A stretch of web between two sections that hold its tension. */
export interface TensionZone {
  readonly from: string;
  readonly to: string;
  readonly rollers: readonly RollerTug[];
  /** Tension held at its beginning [N]. */
  readonly tension?: Tension;
  /** Sum of drag at top speed, and of acceleration [N]; of what is known. */
  readonly drag: Band;
  readonly inertia: number;
  /** Rollers of which drag or inertia is not known, so that the sums are too small. */
  readonly unknown: readonly string[];
}

export interface TugBudget {
  readonly zones: readonly TensionZone[];
  /** Sections that hold a step of tension, as far as their friction and wraps are known. */
  readonly grips: readonly SectionGrip[];
  readonly findings: readonly Finding[];
}
