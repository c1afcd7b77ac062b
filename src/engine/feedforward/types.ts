import type { Finding, Verdict } from '../findings.js';
import type { Estimate } from '../identify/identification.js';

/** One knot of the table that goes into the drive. Speed and torque are magnitudes at the motor, in the table's direction. */
export interface FeedForwardRow {
  /** Speed at the motor [rad/s]. */
  readonly speed: number;
  /** Drag torque at the motor, which the drive is to give at steady speed [N·m]. */
  readonly torque: number;
  /** The torque as a fraction of rated [1]; absent without a rated torque. */
  readonly fraction?: number;
  /** 95 % half width of the web tug that remains at steady speed [N]; absent without a roller radius. */
  readonly tugHalfWidth?: number;
  /** With a stated acceleration only: torque while speeding up and slowing down [N·m]. */
  readonly accelerating?: number;
  readonly decelerating?: number;
  /** 95 % half width of the tug that remains then, the larger of the two [N]. */
  readonly tugHalfWidthAccelerating?: number;
  /** True where the recording did not reach: below its lowest speed, where the law is followed to standstill. */
  readonly extrapolated?: true;
}

/** Torque on top of the table that helps a resting shaft over its breakaway: see assist.ts. */
export interface BreakawayAssist {
  /** Breakaway torque less the table's torque at standstill [N·m]. */
  readonly torque: number;
  readonly interval95: readonly [number, number];
  /** Speed at the motor at which it has faded [rad/s]. */
  readonly fadeSpeed: number;
  /** Time after the start at which it has faded, whatever the speed [s]. */
  readonly fadeTime: number;
}

/** The table of one direction of rotation. */
export interface FeedForwardTable {
  readonly rows: readonly FeedForwardRow[];
  readonly assist?: BreakawayAssist;
  /** Largest error of straight lines between the rows, on a dense grid [N·m]. */
  readonly interpolationError?: number;
  /** Interpolation error that was allowed [N·m]. */
  readonly tolerance?: number;
  /** Speeds at the motor that the identification saw in this direction [rad/s]. */
  readonly identifiedRange?: readonly [number, number];
  /** Speeds in use that the identification did not reach; they have no rows [rad/s]. */
  readonly notFilled?: readonly [number, number];
}

/** Torque feed-forward of one drive, at the motor shaft, SI; the rows are those of the forward direction. */
export interface FeedForward extends FeedForwardTable {
  readonly driveName: string;
  readonly verdict: Verdict;
  readonly findings: readonly Finding[];
  /** Inertia at the motor: times the acceleration of the motor it gives the torque on top of the table. */
  readonly inertia?: Estimate;
  /** As asked for: of the web [m/s²] and of the motor [rad/s²]. */
  readonly acceleration?: { readonly web: number; readonly motor: number };
  /** Torque offset of the identification, left out of the table: it may be the zero of the torque signal. */
  readonly offsetLeftOut?: Estimate;
  /** The other direction, speeds and torques as magnitudes; only when the recording ran both ways. */
  readonly reverse?: FeedForwardTable;
}
