import { dragLawOf, halfWidth95 } from '../../identify/dragBand.js';
import type { Estimate, Identification } from '../../identify/identification.js';
import type { MeasuredDrive, Sourced } from '../../line/line.js';

/**
 * What an identification says about a drive, as the line computes with it: at the motor shaft, forward direction, drive and roller
 * together. What was not estimated stays unknown; drag with the web on is none of the drive's own and is not taken. `source`: name of the
 * identification in reports.
 */
export function measuredDrive(identification: Identification, source: string): MeasuredDrive {
  const { inertia, breakaway } = identification.estimates;
  const sourced = (e: Estimate): Sourced => ({
    value: e.value,
    source,
    halfWidth95: halfWidth95(e),
  });
  const drag = dragLawOf(identification.estimates, identification.stribeckExponent);
  const curve = identification.dragCurve ?? [];
  return {
    source,
    ...(inertia && { inertia: sourced(inertia) }),
    ...(drag && { drag }),
    ...(curve.length > 0 && {
      dragHalfWidth95: { speed: curve.map((p) => p.speed), torque: curve.map((p) => p.halfWidth95) },
    }),
    ...(breakaway && { breakaway: sourced(breakaway) }),
  };
}
