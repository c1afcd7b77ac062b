import type { Finding } from '../findings.js';
import type { Drive } from '../line/drive.js';
import type { Recording, Role } from '../recording/recording.js';

/** The samples that identification computes with: SI, at the motor shaft, on one time base. Gaps are NaN. */
export interface DriveSignals {
  /** [s], strictly increasing. */
  readonly time: Float64Array;
  /** Median sampling interval [s]. */
  readonly interval: number;
  /** True when sampling is even, up to the rounding of printed times. */
  readonly isEven: boolean;
  /** Motor speed [rad/s], signed. */
  readonly speed: Float64Array;
  readonly speedFrom: Role;
  /** Motor torque [N·m]; absent when nothing but motion was recorded. */
  readonly torque?: Float64Array;
  /** Speed reference at the motor [rad/s]. */
  readonly reference?: Float64Array;
  /** 1 while the drive is on. */
  readonly enabled?: Float64Array;
  /** Total web tension [N]. */
  readonly tension?: Float64Array;
  /** Roll diameter [m]. */
  readonly diameter?: Float64Array;
  /** Line speed [m/s]. */
  readonly lineSpeed?: Float64Array;
}

function medianInterval(time: Float64Array): number {
  const stride = Math.max(1, Math.floor(time.length / 20_001));
  const steps: number[] = [];
  for (let i = 0; i + 1 < time.length; i += stride) steps.push(time[i + 1] - time[i]);
  steps.sort((a, b) => a - b);
  return steps[Math.floor(steps.length / 2)];
}

/** Rounding of printed times is no unevenness: each time may lie off the even grid by 1 % of an interval. */
function isEvenlySampled(time: Float64Array): boolean {
  const n = time.length;
  const interval = (time[n - 1] - time[0]) / (n - 1);
  for (let i = 0; i < n; i++)
    if (!(Math.abs(time[i] - time[0] - i * interval) <= 0.01 * interval)) return false;
  return true;
}

/** Central difference of a position: the mean speed over two sampling intervals. NaN at gaps and at both ends. */
function speedFromPosition(time: Float64Array, position: Float64Array): Float64Array {
  const speed = new Float64Array(position.length).fill(Number.NaN);
  for (let i = 1; i + 1 < position.length; i++)
    speed[i] = (position[i + 1] - position[i - 1]) / (time[i + 1] - time[i - 1]);
  return speed;
}

/**
 * The mean over the same two intervals that {@link speedFromPosition} averages the speed over, by the trapezoidal rule.
 * Whatever kernel one side of the equation went through, the other must go through too: otherwise the inertia is biased
 * (13 % on a measured axis at 20 ms, docs/models/drive.md).
 */
function meanOverTwoIntervals(time: Float64Array, values: Float64Array): Float64Array {
  const mean = new Float64Array(values.length).fill(Number.NaN);
  for (let i = 1; i + 1 < values.length; i++) {
    const before = time[i] - time[i - 1];
    const after = time[i + 1] - time[i];
    mean[i] =
      (before * (values[i - 1] + values[i]) + after * (values[i] + values[i + 1])) / (2 * (before + after));
  }
  return mean;
}

/**
 * Chooses where the speed comes from (motor speed, else surface speed, else position) and brings everything to the
 * motor shaft. Pushes a finding and returns undefined when there is no motion channel at all.
 */
export function driveSignals(
  recording: Recording,
  drive: Drive,
  findings: Finding[],
): DriveSignals | undefined {
  const { time, channels } = recording;
  const samples = (role: Exclude<Role, 'time'>): Float64Array | undefined => channels[role]?.values;
  let speed = samples('motor-speed');
  let speedFrom: Role = 'motor-speed';
  let torque = samples('motor-torque');
  let reference = samples('speed-reference');
  if (speed === undefined) {
    const surface = samples('roller-speed');
    const position = samples('motor-position');
    if (surface !== undefined && drive.rollerRadius !== undefined) {
      const toMotor = drive.gearRatio / drive.rollerRadius;
      speed = surface.map((v) => v * toMotor);
      speedFrom = 'roller-speed';
    } else if (position !== undefined) {
      speed = speedFromPosition(time, position);
      torque = torque && meanOverTwoIntervals(time, torque);
      reference = reference && meanOverTwoIntervals(time, reference);
      speedFrom = 'motor-position';
    } else {
      findings.push({
        code: 'role_missing',
        severity: 'refuse',
        message:
          surface === undefined
            ? 'no column is known to be a speed or a position, so there is no motion to identify from'
            : 'the only speed is a surface speed, and the drive file gives no roller_diameter_m to bring it to the motor',
        where: { roles: ['motor-speed', 'roller-speed', 'motor-position'] },
        next:
          surface === undefined
            ? 'name the column with --channel motor-speed=HEADER, or record the speed'
            : 'add roller_diameter_m to the drive file, or record the motor speed',
      });
      return undefined;
    }
  }
  if (speedFrom === 'motor-speed') compareSpeeds(recording, drive, findings);
  return {
    time,
    interval: medianInterval(time),
    isEven: isEvenlySampled(time),
    speed,
    speedFrom,
    torque,
    reference,
    enabled: samples('drive-enabled'),
    tension: samples('web-tension'),
    diameter: samples('roll-diameter'),
    lineSpeed: samples('line-speed'),
  };
}

/** Speeds of motor and surface that differ by more than this share are not those of one roller and gear. */
const mostSpeedDifference = 0.02;

/** Warns when the motor speed, brought to the surface, is not the surface speed that was recorded beside it. */
function compareSpeeds(recording: Recording, drive: Drive, findings: Finding[]): void {
  const motor = recording.channels['motor-speed']?.values;
  const surface = recording.channels['roller-speed']?.values;
  if (motor === undefined || surface === undefined || drive.rollerRadius === undefined) return;
  const toSurface = drive.rollerRadius / drive.gearRatio;
  let product = 0;
  let square = 0;
  for (let i = 0; i < motor.length; i++) {
    const v = motor[i] * toSurface;
    if (Number.isNaN(v) || Number.isNaN(surface[i])) continue;
    product += v * surface[i];
    square += v * v;
  }
  const ratio = product / square;
  if (!(Math.abs(ratio - 1) > mostSpeedDifference)) return;
  findings.push({
    code: 'speeds_disagree',
    severity: 'warn',
    message: `the recorded surface speed is ${ratio.toPrecision(4)} times what motor speed, gear ratio and roller diameter give; the motor speed was used`,
    where: { ratio, gear_ratio: drive.gearRatio, roller_diameter_m: 2 * drive.rollerRadius },
    next: 'check gear_ratio and roller_diameter_m in the drive file, and the scale of both speeds',
  });
}
