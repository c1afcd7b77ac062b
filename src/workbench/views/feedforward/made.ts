import { isTautlineError } from '../../../engine/errors.js';
import { feedForward } from '../../../engine/feedforward/feedForward.js';
import { type RemainingTug, remainingTug } from '../../../engine/feedforward/remainingTug.js';
import type { FeedForward, FeedForwardTable } from '../../../engine/feedforward/types.js';
import type { DragPoint, Identification } from '../../../engine/identify/identification.js';
import type { Drive } from '../../../engine/line/drive.js';
import type { Problem } from '../../api/types.js';
import { asProblem } from '../../line/readLine.js';

/** The table of one direction with what it leaves and what it was made from. */
export interface MadeDirection {
  /** Empty where one direction serves alone. */
  readonly name: '' | 'forward' | 'reverse';
  readonly table: FeedForwardTable;
  readonly tug: readonly RemainingTug[];
  readonly points: readonly DragPoint[];
}

export interface Made {
  readonly feedForward: FeedForward;
  readonly directions: readonly MadeDirection[];
  /** Speed at which most is left to the web; absent without a roller diameter. */
  readonly worst?: RemainingTug & { readonly force: number };
}

export type MadeOrProblem = Made | { readonly problem: Problem };

/** What a result gives at a tolerance; computed in the page, quick enough to follow a slider. */
export function make(
  id: Identification,
  drive: Drive,
  tolerance: number,
  acceleration: number | undefined,
): MadeOrProblem {
  try {
    const made = feedForward(id, drive, {
      tolerance,
      // without a roller diameter an acceleration of the web says nothing of the motor
      ...(acceleration !== undefined && drive.rollerRadius !== undefined && { acceleration }),
    });
    const directions: MadeDirection[] = [];
    if (made.rows.length > 0)
      directions.push({
        name: made.reverse ? 'forward' : id.direction === -1 ? 'reverse' : '',
        table: made,
        tug: remainingTug(id, drive, made, 'forward'),
        points: measured(id.dragCurve),
      });
    if (made.reverse)
      directions.push({
        name: 'reverse',
        table: made.reverse,
        tug: remainingTug(id, drive, made.reverse, 'reverse'),
        points: measured(id.dragCurveReverse),
      });
    let worst: Made['worst'];
    for (const t of directions.flatMap((d) => d.tug))
      if (t.force !== undefined && !(t.force <= (worst?.force ?? -1))) worst = { ...t, force: t.force };
    return { feedForward: made, directions, ...(worst && { worst }) };
  } catch (error) {
    if (!isTautlineError(error)) throw error;
    return { problem: asProblem(error) };
  }
}

const measured = (points: readonly DragPoint[] | undefined): DragPoint[] =>
  (points ?? []).filter((p) => p.from !== 'fit');
