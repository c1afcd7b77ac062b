import type { Finding } from '../findings.js';
import { solveLeastSquares } from '../numerics/leastSquares.js';
import type { Estimates, NotEstimated } from './identification.js';
import { observations } from './observations.js';
import { coast, nothingFitted } from './remarks.js';
import type { DriveSignals } from './signals.js';
import type { Scales, Stretch } from './stretch.js';

export interface CoastOnlyResult {
  readonly estimates: Estimates;
  readonly notEstimated: readonly NotEstimated[];
  readonly dragOverInertia?: readonly { readonly speed: number; readonly deceleration: number }[];
  readonly speedRange?: readonly [number, number];
}

const fewestWindows = 4;

/**
 * A recording that holds nothing but coast-downs gives drag over inertia: J·dω/dt = -drag(ω), so the deceleration over
 * speed is all there is. It is fitted as c0 + c1·ω + c2·ω² [rad/s²] to window means of the deceleration and stated within
 * the speeds seen. Source: equation of motion with the drive off; docs/models/drive.md, section 5.
 */
export function identifyCoastOnly(
  signals: DriveSignals,
  stretches: readonly Stretch[],
  scales: Scales,
  findings: Finding[],
): CoastOnlyResult {
  const lowestSpeed = Math.max(0.02 * scales.range, scales.restSpeed);
  const rows = observations(signals, undefined, stretches, scales, {
    trim: 2 * signals.interval,
    fineness: 1,
    lowestSpeed,
    lowestPlateau: 0,
  });
  findings.push(...coast(stretches));
  if (rows.length < fewestWindows) {
    findings.push({
      code: 'no_designed_test',
      severity: 'refuse',
      message: 'there is no torque in the recording, and no coast-down that can be told from a braked stop',
      where: { windows: rows.length },
      next: 'record the torque with the speed; or cut the recording to the coast-down, or record the enable signal with it',
    });
    return { estimates: {}, notEstimated: nothingFitted({}) };
  }
  const terms = rows.length >= 8 ? 3 : 2;
  const design = new Float64Array(rows.length * terms);
  const weights = new Float64Array(rows.length);
  rows.forEach((row, i) => {
    const w = Math.abs(row.speed);
    for (let j = 0; j < terms; j++)
      design[i * terms + j] = j === 0 ? 1 : j === 1 ? w : Math.abs(row.speedSquared);
    weights[i] = row.duration;
  });
  const y = Float64Array.from(rows, (r) => -r.direction * r.acceleration);
  const { coefficients } = solveLeastSquares(design, rows.length, terms, y, weights);
  const speeds = rows.map((r) => Math.abs(r.speed));
  const from = Math.min(...speeds);
  const to = Math.max(...speeds);
  const dragOverInertia = Array.from({ length: 20 }, (_, k) => {
    const speed = from + (k / 19) * (to - from);
    let deceleration = 0;
    for (let j = 0; j < terms; j++) deceleration += coefficients[j] * speed ** j;
    return { speed, deceleration };
  });
  findings.push({
    code: 'inertia_not_identifiable',
    severity: 'warn',
    message:
      signals.torque === undefined
        ? 'no torque was recorded, and the one fall of the speed is taken as a coast-down: only drag divided by inertia shows'
        : 'the drive is off throughout: only drag divided by inertia shows, not either alone',
    where: {},
    next: 'add two ramps up and down with the drive on, in the same recording',
  });
  return {
    estimates: {},
    notEstimated: nothingFitted({}).map((n) => ({
      ...n,
      why: 'a coast-down gives drag over inertia only',
      next: 'add two ramps up and down with the drive on, in the same recording',
    })),
    dragOverInertia,
    speedRange: [from, to],
  };
}
