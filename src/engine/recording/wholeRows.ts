import type { Finding } from '../findings.js';
import { type Chosen, motionRoles } from './chooseColumns.js';

/** Breaks between whole rows, as a share of the whole rows, from which they are the way the file is written and no fault. */
const brokenShare = 0.5;

/**
 * Rows to pass over where channels of several rates share a file: those that lack the torque or the motion, here one and there one. What
 * is left is evenly sampled; blank cells between would break every plateau and ramp. A few longer breaks are left as they are.
 * When no row holds both, that is a refusal: nothing is interpolated.
 * @returns 1 for each row to pass over, or undefined.
 */
export function rowsToPassOver(chosen: Chosen, fewest: number, findings: Finding[]): Uint8Array | undefined {
  const torque = chosen.get('motor-torque');
  const motionRole = motionRoles.find((r) => chosen.has(r));
  const motion = motionRole === undefined ? undefined : chosen.get(motionRole);
  if (torque === undefined || motion === undefined) return undefined;
  const rows = torque.values.length;
  const skip = new Uint8Array(rows);
  let whole = 0;
  let breaks = 0;
  let torques = 0;
  let motions = 0;
  for (let i = 0; i < rows; i++) {
    const noTorque = Number.isNaN(torque.values[i]);
    const noMotion = Number.isNaN(motion.values[i]);
    if (!noTorque) torques++;
    if (!noMotion) motions++;
    if (noTorque || noMotion) {
      skip[i] = 1;
      if (i === 0 || skip[i - 1] === 0) breaks++;
    } else whole++;
  }
  const where = { headers: [torque.header, motion.header], rows, rows_with_both: whole };
  if (whole < fewest && torques >= fewest && motions >= fewest) {
    findings.push({
      code: 'missing_samples',
      severity: 'refuse',
      message: `only ${whole} of ${rows} rows hold both "${torque.header}" and "${motion.header}": the two were recorded at different instants, and nothing is interpolated between them`,
      where,
      next: 'export both channels at the same instants: one rate for all, or the interpolated values of the historian',
    });
    return undefined;
  }
  if (breaks < brokenShare * whole || whole < fewest) return undefined;
  findings.push({
    code: 'missing_samples',
    severity: 'info',
    message: `${rows - whole} of ${rows} rows lack "${torque.header}" or "${motion.header}", as when channels of several rates share a file; they were passed over`,
    where,
    next: 'nothing to do; export all channels at the rate of the fastest for a finer result',
  });
  return skip;
}
