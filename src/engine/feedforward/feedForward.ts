import { TautlineError } from '../errors.js';
import { type Finding, verdictOf } from '../findings.js';
import { type DragBand, dragBand, dragLawOf, halfWidth95 } from '../identify/dragBand.js';
import type { Estimates, Identification } from '../identify/identification.js';
import { type DragLaw, dragTorque } from '../line/drag.js';
import type { Drive } from '../line/drive.js';
import {
  breakawayBelowDrag,
  breakawayMissing,
  dragMissing,
  inertiaMissing,
  speedNotReached,
  torqueLimitFinding,
} from './findings.js';
import { fewestKnots, interpolationError } from './knots.js';
import type { BreakawayAssist, FeedForward, FeedForwardRow, FeedForwardTable } from './types.js';

export interface FeedForwardOptions {
  /** Largest interpolation error as a share of the drag at the highest identified speed or at standstill, whichever is more [1]; default 0.01. */
  readonly tolerance?: number;
  /** Acceleration of the web [m/s²], to state the torque and the tug while speeding up and slowing down. */
  readonly acceleration?: number;
  /** Motor speed at which the assist has faded [rad/s]; default: the lowest identified speed, at most 5 % of the highest. */
  readonly fadeSpeed?: number;
  /** Time after the start at which the assist has faded [s]; default 1 s, or twice the time to the fade speed if that is longer. */
  readonly fadeTime?: number;
}

const defaultTolerance = 0.01;
const fadeSpeedShare = 0.05;
const defaultFadeTime = 1;
/** A top speed that was missed by less than this share counts as reached. */
const reachedTop = 0.01;

/**
 * Torque feed-forward of a drive from its identification. What was not estimated is refused by a finding and left out: without a drag
 * law there are no rows, without inertia nothing is said of acceleration. Theory: docs/models/feedforward.md.
 * @throws TautlineError argument_invalid for an option that is not above 0, or an acceleration of the web without a roller radius
 */
export function feedForward(id: Identification, drive: Drive, options: FeedForwardOptions = {}): FeedForward {
  for (const [name, value] of Object.entries(options) as [string, number | undefined][])
    if (value !== undefined && !(value > 0 && value < Number.POSITIVE_INFINITY))
      throw new TautlineError(
        'argument_invalid',
        { [name]: value },
        `${name} is ${value} and must be above 0`,
        'give a number above 0',
      );
  const acceleration = motorAcceleration(drive, options.acceleration);
  const { inertia, offset } = id.estimates;
  const findings: Finding[] = [];
  const forward = directionTable(id, drive, 'forward', acceleration?.motor, options, findings);
  if (forward === undefined) findings.push(dragMissing(id));
  if (inertia === undefined) findings.push(inertiaMissing(id));
  const reverse = id.reverse && directionTable(id, drive, 'reverse', acceleration?.motor, options, findings);
  const limit = torqueLimitFinding(
    [forward, reverse].filter((t) => t !== undefined),
    drive,
  );
  if (limit !== undefined) findings.push(limit);
  return {
    driveName: drive.name,
    verdict: verdictOf(findings),
    findings,
    ...(forward ?? { rows: [] }),
    ...(inertia && { inertia }),
    ...(acceleration && { acceleration }),
    ...(offset && { offsetLeftOut: offset }),
    ...(reverse && { reverse }),
  };
}

/** α = a·i/r: acceleration of the motor [rad/s²] from that of the web [m/s²], gear ratio i and roller radius r [m]. */
function motorAcceleration(
  { gearRatio, rollerRadius }: Drive,
  web: number | undefined,
): FeedForward['acceleration'] {
  if (web === undefined) return undefined;
  if (rollerRadius === undefined)
    throw new TautlineError(
      'argument_invalid',
      { acceleration: web },
      `an acceleration of the web of ${web} m/s² says nothing of the motor without a roller diameter`,
      'state roller_diameter_m in the drive file, or leave the acceleration out',
    );
  return { web, motor: (web * gearRatio) / rollerRadius };
}

function directionTable(
  id: Identification,
  drive: Drive,
  direction: 'forward' | 'reverse',
  acceleration: number | undefined,
  options: FeedForwardOptions,
  findings: Finding[],
): FeedForwardTable | undefined {
  const estimates = direction === 'forward' ? id.estimates : (id.reverse?.estimates ?? {});
  const law = dragLawOf(estimates, id.stribeckExponent);
  const band = dragBand(id, direction);
  if (law === undefined || band === undefined) return undefined;
  const [lowest, highest] = band.range;
  const drag = (speed: number): number => dragTorque(law, speed);
  const largest = Math.max(Math.abs(drag(0)), Math.abs(drag(highest)));
  if (!(highest > 0 && largest > 0)) return undefined;
  const tolerance = (options.tolerance ?? defaultTolerance) * largest;
  const speeds = fewestKnots(drag, 0, highest, tolerance);
  const top = drive.maxMotorSpeed;
  const short = top !== undefined && top > (1 + reachedTop) * highest;
  if (short) findings.push(speedNotReached(direction, highest, top));
  const assist = breakawayAssist(id, estimates, law, band, direction, acceleration, options, findings);
  return {
    rows: speeds.map((speed) => row(speed, drag(speed), band, drive, acceleration, lowest)),
    ...(assist && { assist }),
    interpolationError: interpolationError(drag, speeds),
    tolerance,
    identifiedRange: [lowest, highest],
    ...(short && { notFilled: [highest, top] as const }),
  };
}

/** One row; tug F = h·i/r from the half width h [N·m] of the torque at the motor, gear ratio i and roller radius r [m]. */
function row(
  speed: number,
  torque: number,
  band: DragBand,
  { ratedTorque, rollerRadius, gearRatio }: Drive,
  acceleration: number | undefined,
  lowest: number,
): FeedForwardRow {
  const tug = (halfWidth: number): number | undefined =>
    rollerRadius === undefined ? undefined : (halfWidth * gearRatio) / rollerRadius;
  const steady = tug(band.at(speed).halfWidth);
  const up = acceleration === undefined ? undefined : band.at(speed, acceleration);
  const down = acceleration === undefined ? undefined : band.at(speed, -acceleration);
  const ramping = up && down && tug(Math.max(up.halfWidth, down.halfWidth));
  return {
    speed,
    torque,
    ...(ratedTorque !== undefined && { fraction: torque / ratedTorque }),
    ...(steady !== undefined && { tugHalfWidth: steady }),
    // Without inertia the torque is not a number, and nothing is stated.
    ...(up && down && Number.isFinite(up.torque) && { accelerating: up.torque, decelerating: down.torque }),
    ...(ramping !== undefined && Number.isFinite(ramping) && { tugHalfWidthAccelerating: ramping }),
    ...(speed < lowest && { extrapolated: true as const }),
  };
}

function breakawayAssist(
  id: Identification,
  { breakaway }: Estimates,
  law: DragLaw,
  band: DragBand,
  direction: 'forward' | 'reverse',
  acceleration: number | undefined,
  options: FeedForwardOptions,
  findings: Finding[],
): BreakawayAssist | undefined {
  if (breakaway === undefined) {
    findings.push(breakawayMissing(id, direction));
    return undefined;
  }
  const standstill = dragTorque(law, 0);
  const torque = breakaway.value - standstill;
  if (!(torque > 0)) {
    findings.push(breakawayBelowDrag(direction, breakaway.value, standstill));
    return undefined;
  }
  const half = Math.hypot(halfWidth95(breakaway), band.at(0).halfWidth);
  const [lowest, highest] = band.range;
  const longest = fadeSpeedShare * highest;
  const fadeSpeed = options.fadeSpeed ?? (lowest > 0 ? Math.min(lowest, longest) : longest);
  const reach = acceleration === undefined ? 0 : fadeSpeed / acceleration;
  return {
    torque,
    interval95: [torque - half, torque + half],
    fadeSpeed,
    fadeTime: options.fadeTime ?? Math.max(defaultFadeTime, 2 * reach),
  };
}
