import { type DragBand, dragBand, dragLawOf } from '../identify/dragBand.js';
import type { Identification } from '../identify/identification.js';
import { dragTorque } from '../line/drag.js';
import type { Drive } from '../line/drive.js';
import { feedForwardTorque } from './torque.js';
import type { FeedForwardTable } from './types.js';

/** What a table leaves to the web at one steady speed. Torques at the motor [N·m], forces at the roller surface [N]. */
export interface RemainingTug {
  /** Speed at the motor [rad/s]. */
  readonly speed: number;
  /** Torque of the drag law, and half the width of its 95 % interval. */
  readonly torque: number;
  readonly halfWidth: number;
  /** How far the straight line between the rows misses the law. */
  readonly lineError: number;
  /** Half width and line error as web force; absent without a roller radius. */
  readonly uncertaintyForce?: number;
  readonly force?: number;
}

/**
 * What the table of a direction leaves to the web over its speeds: F = (h + e)·i/r [N] from the half width h [N·m] of the 95 % interval of the
 * drag, the error e [N·m] of the straight line between the rows at that speed, gear ratio i [1] and roller radius r [m]. The two are added, since e is no
 * chance: at one speed it is there every time. `points` evenly spaced speeds from standstill to the last row, and the rows.
 * Valid: within the table; empty without a drag law. Source: JCGM 100 for h (from memory), the rest by definition; docs/models/feedforward.md, section 4.
 */
export function remainingTug(
  id: Identification,
  drive: Pick<Drive, 'gearRatio' | 'rollerRadius'>,
  table: FeedForwardTable,
  direction: 'forward' | 'reverse',
  points = 121,
): RemainingTug[] {
  const estimates = direction === 'forward' ? id.estimates : (id.reverse?.estimates ?? {});
  const law = dragLawOf(estimates, id.stribeckExponent);
  const band: DragBand | undefined = dragBand(id, direction);
  const top = table.rows.at(-1)?.speed;
  if (law === undefined || band === undefined || top === undefined) return [];
  const even = Array.from({ length: points }, (_, k) => (k / (points - 1)) * top);
  const speeds = [...new Set([...even, ...table.rows.map((r) => r.speed)])].sort((a, b) => a - b);
  return speeds.map((speed) => {
    const torque = dragTorque(law, speed);
    const { halfWidth } = band.at(speed);
    const lineError = Math.abs(feedForwardTorque(table, 0, speed, 0) - torque);
    const perTorque = drive.rollerRadius === undefined ? undefined : drive.gearRatio / drive.rollerRadius;
    return {
      speed,
      torque,
      halfWidth,
      lineError,
      ...(perTorque !== undefined && {
        uncertaintyForce: halfWidth * perTorque,
        force: (halfWidth + lineError) * perTorque,
      }),
    };
  });
}
