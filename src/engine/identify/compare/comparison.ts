import type { Finding, Verdict } from '../../findings.js';
import type { NotEstimated, ParameterName } from '../identification.js';

export type ChangeVerdict = 'changed' | 'unchanged' | 'undecided';

/** One parameter at two visits, both at the motor shaft, SI. */
export interface Change {
  readonly name: ParameterName;
  readonly earlier: number;
  readonly later: number;
  readonly earlierInterval95: readonly [number, number];
  readonly laterInterval95: readonly [number, number];
  /** Later over earlier with its 95 % interval; absent when the earlier value cannot be told from zero. */
  readonly ratio?: number;
  readonly ratioInterval95?: readonly [number, number];
  /** Later less earlier, 95 %. */
  readonly differenceInterval95: readonly [number, number];
  readonly verdict: ChangeVerdict;
}

/** Drag of both visits at one motor speed, magnitudes. */
export interface DragDifference {
  readonly speed: number;
  readonly earlier: number;
  readonly later: number;
  /** Later less earlier, 95 % at this speed. */
  readonly differenceInterval95: readonly [number, number];
}

/** The largest change of the force that the drive leaves to the web while its feed-forward stays as it was. */
export interface TugChange {
  /** Magnitude [N]. */
  readonly force: number;
  /** 95 % interval of the change, positive in the sense in which the drag went; below 0 where it may have gone the other way. */
  readonly interval95: readonly [number, number];
  readonly sense: 'rose' | 'fell';
  /** Motor speed at which it stands [rad/s]. */
  readonly speed: number;
  readonly direction: 'forward' | 'reverse';
  /** The force as a share of the running tension [1], when that was given. */
  readonly share?: number;
}

/** Two visits to one drive compared. */
export interface Comparison {
  readonly driveName: string;
  readonly verdict: Verdict;
  /** Largest deviation of a ratio from 1 that counts as equal [1]. */
  readonly tolerance: number;
  readonly changes: readonly Change[];
  /** What the reverse direction has of its own. */
  readonly changesReverse?: readonly Change[];
  readonly notCompared: readonly Pick<NotEstimated, 'name' | 'why'>[];
  readonly dragCurves: readonly DragDifference[];
  readonly dragCurvesReverse?: readonly DragDifference[];
  /** The drag curve judged as a whole, whatever its terms do. */
  readonly curveVerdict?: ChangeVerdict;
  readonly curveVerdictReverse?: ChangeVerdict;
  readonly tugChange?: TugChange;
  readonly findings: readonly Finding[];
}
