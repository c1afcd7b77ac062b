import type { FeedForwardTable } from './types.js';

/**
 * Torque [N·m] that a drive with this table gives at a speed magnitude [rad/s] and an acceleration [rad/s²] (positive when
 * the magnitude of the speed rises): straight lines between the rows plus inertia [kg·m²] times acceleration. NaN beyond the last row: the
 * table is not extended.
 */
export function feedForwardTorque(
  table: FeedForwardTable,
  inertia: number,
  speed: number,
  acceleration: number,
): number {
  const { rows } = table;
  const k = rows.findIndex((r) => r.speed >= speed);
  if (k < 0 || speed < rows[0].speed) return Number.NaN;
  const above = rows[k];
  const below = rows[Math.max(0, k - 1)];
  const share = above.speed > below.speed ? (speed - below.speed) / (above.speed - below.speed) : 0;
  return below.torque + share * (above.torque - below.torque) + inertia * acceleration;
}
