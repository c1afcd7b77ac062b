/** Runs an invented drive through a script of phases: speed loop, torque limit, torque actuator, encoder, mechanics. */
import { type Machine, Motion } from './machine.js';
import type { Random } from './random.js';

export type Phase =
  /** Speed control: the reference goes straight to `to` [rad/s] in `ramp` [s] and stays there for `hold` [s]. */
  | { readonly mode: 'speed'; readonly to: number; readonly ramp: number; readonly hold: number }
  /** Torque control: zero for `dwell` [s], then a ramp of `rate` [N·m/s] until the speed passes `stopSpeed`, `most` [N·m] or `timeout` [s]. */
  | {
      readonly mode: 'torque';
      readonly dwell: number;
      readonly rate: number;
      readonly stopSpeed: number;
      readonly most: number;
      readonly timeout: number;
    }
  /** Output off for at least `least` [s], until standstill, at most `most` [s]. */
  | { readonly mode: 'off'; readonly least: number; readonly most: number };

/** The drive's control and sensors. */
export interface Control {
  /** Proportional [N·m·s] and integral [N·m] gain of the speed loop. */
  readonly proportional: number;
  readonly integral: number;
  /** Share of J·dref/dt that the drive feeds forward [N·m·s²]. */
  readonly feedForward: number;
  readonly torqueLimit: number;
  /** First-order lag from torque command to torque [s]. */
  readonly actuatorLag: number;
  /** Encoder step [rad] and first-order filter of the speed made from it [s]. */
  readonly encoderStep: number;
  readonly speedFilter: number;
  /** White noise of the speed before its filter [rad/s]. */
  readonly speedNoise: number;
}

/** What happened, at every step of the control. Sample k is at (k+1)·step. */
export interface Traces {
  readonly step: number;
  readonly length: number;
  readonly reference: Float64Array;
  readonly speed: Float64Array;
  /** Speed as the drive sees it: encoder, noise, filter. */
  readonly seenSpeed: Float64Array;
  readonly torque: Float64Array;
  readonly angle: Float64Array;
  readonly enabled: Float64Array;
}

const longest = (phases: readonly Phase[]): number =>
  phases.reduce(
    (s, p) => s + (p.mode === 'speed' ? p.ramp + p.hold : p.mode === 'torque' ? p.dwell + p.timeout : p.most),
    0,
  );

/**
 * @param step control period [s]; mechanics run in `substeps` of it
 * @returns traces that end where the script ends
 */
export function run(
  machine: Machine,
  control: Control,
  phases: readonly Phase[],
  step: number,
  random: Random,
  substeps = 1,
): Traces {
  const room = Math.ceil(longest(phases) / step) + phases.length + 1;
  const reference = new Float64Array(room);
  const speed = new Float64Array(room);
  const seenSpeed = new Float64Array(room);
  const torque = new Float64Array(room);
  const angle = new Float64Array(room);
  const enabled = new Float64Array(room);
  const motion = new Motion(machine);
  const h = step / substeps;
  const lag = control.actuatorLag > 0 ? 1 - Math.exp(-h / control.actuatorLag) : 1;
  const filter = control.speedFilter > 0 ? 1 - Math.exp(-step / control.speedFilter) : 1;
  let counts = 0;
  let seen = 0;
  let actual = 0;
  let integral = 0;
  let set = 0;
  let k = 0;

  /** One control period under a torque command. */
  const advance = (command: number, on: number): void => {
    for (let s = 0; s < substeps; s++) {
      const before = actual;
      actual += (command - actual) * lag;
      motion.step(0.5 * (before + actual), h);
    }
    const now = Math.floor(motion.angle / control.encoderStep);
    const noise = control.speedNoise > 0 ? control.speedNoise * random.normal() : 0;
    seen += (((now - counts) * control.encoderStep) / step + noise - seen) * filter;
    counts = now;
    reference[k] = set;
    speed[k] = motion.speed;
    seenSpeed[k] = seen;
    torque[k] = actual;
    angle[k] = motion.angle;
    enabled[k] = on;
    k++;
  };

  for (const phase of phases) {
    if (phase.mode === 'speed') {
      const from = set;
      const rampSteps = Math.round(phase.ramp / step);
      const steps = rampSteps + Math.round(phase.hold / step);
      const slope = rampSteps > 0 ? (phase.to - from) / (rampSteps * step) : 0;
      for (let n = 1; n <= steps; n++) {
        set = n < rampSteps ? from + slope * n * step : phase.to;
        const error = set - seen;
        const forward = n < rampSteps ? control.feedForward * slope : 0;
        const wanted = control.proportional * error + integral + forward;
        const command = Math.max(-control.torqueLimit, Math.min(control.torqueLimit, wanted));
        // The integrator stands still while the limit holds, as in any drive.
        if (command === wanted) integral += control.integral * error * step;
        advance(command, 1);
      }
    } else if (phase.mode === 'torque') {
      set = 0;
      integral = 0;
      for (let n = Math.round(phase.dwell / step); n > 0; n--) advance(0, 1);
      const steps = Math.round(phase.timeout / step);
      const most = Math.abs(phase.most);
      for (let n = 1; n <= steps && Math.abs(motion.speed) < phase.stopSpeed; n++) {
        const command = phase.rate * n * step;
        if (Math.abs(command) > most) break;
        advance(command, 1);
      }
      // The speed loop takes over where the torque ramp ends.
      integral = actual;
    } else {
      set = 0;
      integral = 0;
      const steps = Math.round(phase.most / step);
      const least = Math.round(phase.least / step);
      let still = 0;
      for (let n = 0; n < steps && (n < least || still < 1 / step); n++) {
        advance(0, 0);
        still = motion.speed === 0 || Math.abs(motion.speed) < 2 * control.encoderStep ? still + 1 : 0;
      }
    }
  }
  return {
    step,
    length: k,
    reference: reference.subarray(0, k),
    speed: speed.subarray(0, k),
    seenSpeed: seenSpeed.subarray(0, k),
    torque: torque.subarray(0, k),
    angle: angle.subarray(0, k),
    enabled: enabled.subarray(0, k),
  };
}
