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

/** Control, actuator and sensors at one moment. A class, because doubles captured by a closure are boxed at every write. */
class Bench {
  seen = 0;
  actual = 0;
  reference = 0;
  length = 0;
  private counts = 0;
  private readonly h: number;
  private readonly lag: number;
  private readonly filter: number;

  constructor(
    readonly motion: Motion,
    private readonly control: Control,
    private readonly step: number,
    private readonly substeps: number,
    private readonly random: Random,
    private readonly traces: Traces,
  ) {
    this.h = step / substeps;
    this.lag = control.actuatorLag > 0 ? 1 - Math.exp(-this.h / control.actuatorLag) : 1;
    this.filter = control.speedFilter > 0 ? 1 - Math.exp(-step / control.speedFilter) : 1;
  }

  /** One control period under a torque command. */
  advance(command: number, on: number): void {
    const { motion, control, traces } = this;
    for (let s = 0; s < this.substeps; s++) {
      const before = this.actual;
      this.actual = before + (command - before) * this.lag;
      motion.step(0.5 * (before + this.actual), this.h);
    }
    const now = Math.floor(motion.angle / control.encoderStep);
    const noise = control.speedNoise > 0 ? control.speedNoise * this.random.normal() : 0;
    this.seen += (((now - this.counts) * control.encoderStep) / this.step + noise - this.seen) * this.filter;
    this.counts = now;
    const k = this.length++;
    traces.reference[k] = this.reference;
    traces.speed[k] = motion.speed;
    traces.seenSpeed[k] = this.seen;
    traces.torque[k] = this.actual;
    traces.angle[k] = motion.angle;
    traces.enabled[k] = on;
  }

  /** Speed loop along a reference that goes straight to `to` and stays. @returns the integrator at the end */
  followSpeed(to: number, rampSteps: number, steps: number, integral: number): number {
    const { control, step } = this;
    const from = this.reference;
    const slope = rampSteps > 0 ? (to - from) / (rampSteps * step) : 0;
    const forward = control.feedForward * slope;
    const limit = control.torqueLimit;
    let sum = integral;
    for (let n = 1; n <= steps; n++) {
      this.reference = n < rampSteps ? from + slope * n * step : to;
      const error = this.reference - this.seen;
      const wanted = control.proportional * error + sum + (n < rampSteps ? forward : 0);
      // The integrator stands still while the limit holds, as in any drive.
      if (wanted > limit) this.advance(limit, 1);
      else if (wanted < -limit) this.advance(-limit, 1);
      else {
        sum += control.integral * error * step;
        this.advance(wanted, 1);
      }
    }
    return sum;
  }
}

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
  const traces: Traces = {
    step,
    length: room,
    reference: new Float64Array(room),
    speed: new Float64Array(room),
    seenSpeed: new Float64Array(room),
    torque: new Float64Array(room),
    angle: new Float64Array(room),
    enabled: new Float64Array(room),
  };
  const bench = new Bench(new Motion(machine), control, step, substeps, random, traces);
  const { motion } = bench;
  let integral = 0;
  for (const phase of phases) {
    if (phase.mode === 'speed') {
      const rampSteps = Math.round(phase.ramp / step);
      integral = bench.followSpeed(phase.to, rampSteps, rampSteps + Math.round(phase.hold / step), integral);
    } else if (phase.mode === 'torque') {
      bench.reference = 0;
      for (let n = Math.round(phase.dwell / step); n > 0; n--) bench.advance(0, 1);
      const steps = Math.round(phase.timeout / step);
      for (let n = 1; n <= steps && Math.abs(motion.speed) < phase.stopSpeed; n++) {
        const command = phase.rate * n * step;
        if (Math.abs(command) > phase.most) break;
        bench.advance(command, 1);
      }
      integral = 0;
    } else {
      bench.reference = 0;
      integral = 0;
      const steps = Math.round(phase.most / step);
      const least = Math.round(phase.least / step);
      let still = 0;
      for (let n = 0; n < steps && (n < least || still < 1 / step); n++) {
        bench.advance(0, 0);
        still = Math.abs(motion.speed) < 2 * control.encoderStep ? still + 1 : 0;
      }
    }
  }
  const n = bench.length;
  return {
    step,
    length: n,
    reference: traces.reference.subarray(0, n),
    speed: traces.speed.subarray(0, n),
    seenSpeed: traces.seenSpeed.subarray(0, n),
    torque: traces.torque.subarray(0, n),
    angle: traces.angle.subarray(0, n),
    enabled: traces.enabled.subarray(0, n),
  };
}
