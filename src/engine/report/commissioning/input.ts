import type { Finding } from '../../findings.js';
import type { Identification, ParameterName } from '../../identify/identification.js';
import type { Drive } from '../../line/drive.js';
import type { UnitSystem } from '../../units/quantity.js';

/** What the report shows of a torque feed-forward, at the motor shaft, SI. */
export interface ReportedFeedForward {
  /** The table that goes into the drive: drag over speed, rising. */
  readonly rows: readonly {
    readonly speed: number;
    readonly torque: number;
    /** Of rated torque [1]; absent without a rating plate. */
    readonly fraction?: number;
    /** Web tug that remains, from the uncertainty, 95 % [N]; absent without a roller radius. */
    readonly tugHalfWidth?: number;
  }[];
  /** Extra torque at start [N·m], and the speed [rad/s] and time [s] at which it has faded. */
  readonly assist?: { readonly torque: number; readonly fadeSpeed: number; readonly fadeTime?: number };
  /** Largest error that straight lines between the rows make [N·m]. */
  readonly interpolationError?: number;
  readonly findings: readonly Finding[];
}

/** What the report shows of a comparison of two visits, SI. The earlier one is as found, the later one as left. */
export interface ReportedComparison {
  readonly changes: readonly {
    readonly name: ParameterName;
    readonly earlier: number;
    readonly later: number;
    readonly ratio: number;
    readonly ratioInterval95: readonly [number, number];
    readonly verdict: 'changed' | 'unchanged' | 'undecided';
  }[];
  readonly dragCurves: readonly {
    readonly speed: number;
    readonly earlier: number;
    readonly later: number;
    readonly differenceInterval95: readonly [number, number];
  }[];
  /** Largest change of web tug [N] and the motor speed [rad/s] at which it stands. */
  readonly tugChange?: { readonly force: number; readonly speed: number };
  readonly findings: readonly Finding[];
}

/** One drive of the line with everything that is known about it. */
export interface CommissionedDrive {
  readonly drive: Drive;
  /** The latest: as left when there is a comparison, else as found. */
  readonly identification: Identification;
  readonly feedforward?: ReportedFeedForward;
  readonly comparison?: ReportedComparison;
}

export interface CommissioningInput {
  readonly lineName: string;
  /** True: the report says at its top that all data are invented. */
  readonly invented?: boolean;
  /** As it is to be printed; the engine knows no clock. */
  readonly date: string;
  readonly units: UnitSystem;
  /** In web order. */
  readonly drives: readonly CommissionedDrive[];
}
