import { TautlineError } from '../../errors.js';
import { type Cooling, type Motor, torqueCurrentFraction } from '../../line/motor.js';
import type { AngularSpeed, Energy, Power, Time, Torque, TorqueFraction } from '../../units/quantity.js';

/** A piece of a machine cycle with one torque, at one speed or on a straight ramp between two. */
export interface DutySegment {
  /** [s], at least 0. */
  readonly duration: Time;
  /** Torque at the motor, with sign. */
  readonly torque: Torque;
  /** Speed of the motor, with sign; 0 without an end speed is standstill. */
  readonly speed: AngularSpeed;
  /** Speed at the end of a ramp; the speed stays when left out. */
  readonly endSpeed?: AngularSpeed;
}

const end = (s: DutySegment): AngularSpeed => s.endSpeed ?? s.speed;
const atRest = (s: DutySegment): boolean => s.speed === 0 && end(s) === 0;

/** Standstill cools a self-ventilated motor as much as a third of the time in motion would (open and fan-cooled motors; from memory). */
const standstillCooling = 1 / 3;

function requireCycle(cycle: readonly DutySegment[]): void {
  for (const [index, segment] of cycle.entries()) {
    const { duration, torque, speed } = segment;
    if (!(duration >= 0 && Number.isFinite(duration + torque + speed + end(segment))))
      throw new TautlineError(
        'argument_invalid',
        { index, duration, torque, speed },
        `segment ${index} of the cycle lasts ${duration} s at ${torque} N·m and ${speed} rad/s`,
        'state a time of at least 0 and numbers for torque and speed',
      );
  }
  if (!cycle.some((s) => s.duration > 0))
    throw new TautlineError(
      'argument_invalid',
      { segments: cycle.length },
      `a cycle of ${cycle.length} segments lasts no time`,
      'state at least one segment that takes time',
    );
}

/** √(Σ x²·t / Σ c·t), c being the cooling of each segment. */
function coolingMean(
  cycle: readonly DutySegment[],
  cooling: Cooling,
  heat: (s: DutySegment) => number,
): number {
  requireCycle(cycle);
  let square = 0;
  let time = 0;
  for (const segment of cycle) {
    square += heat(segment) ** 2 * segment.duration;
    time += segment.duration * (atRest(segment) && cooling === 'self-ventilated' ? standstillCooling : 1);
  }
  return Math.sqrt(square / time);
}

/**
 * Torque that would warm the motor like the cycle, √(Σ T²·t / Σ c·t) [N·m]. T torque [N·m], t duration [s]; c = 1, at standstill of a
 * self-ventilated motor 1/3. Valid: cycle short against the motor's thermal time constant (tens of minutes and more), copper loss alone,
 * speeds up to base speed; a self-ventilated motor that runs slowly cools worse than this says. @throws TautlineError argument_invalid
 * Source: the RMS form for cyclic duty is common; the 1/3 is a handbook value for open and fan-cooled motors (from memory, not verified).
 */
export const rmsTorque = (cycle: readonly DutySegment[], cooling: Cooling): Torque =>
  coolingMean(cycle, cooling, (s) => s.torque);

/**
 * RMS of the torque current as a fraction of that at rated torque [1], with field weakening: at most 1 when the motor can run the cycle
 * for ever. Below base speed {@link rmsTorque} over rated torque. Valid: as there; a ramp counts at its faster end, which is on the
 * safe side. @throws TautlineError argument_invalid
 * Source: as there; torque current by line/motor.ts.
 */
export const rmsCurrentFraction = (cycle: readonly DutySegment[], motor: Motor): TorqueFraction =>
  coolingMean(cycle, motor.cooling, (s) =>
    torqueCurrentFraction(motor, s.torque, Math.max(Math.abs(s.speed), Math.abs(end(s)))),
  );

/** Mean of the part above 0 of a straight line from a to b. */
function meanAboveZero(a: number, b: number): number {
  const [low, high] = a < b ? [a, b] : [b, a];
  if (low >= 0) return 0.5 * (low + high);
  return high <= 0 ? 0 : (0.5 * high * high) / (high - low);
}

/** What is largest over a cycle. Magnitudes; 0 where a cycle never does it. */
export interface DutyPeaks {
  readonly peakTorque: Torque;
  /** Index of the segment with the peak torque. */
  readonly peakSegment: number;
  /** Highest shaft power into the machine and back from it. */
  readonly drivingPower: Power;
  readonly brakingPower: Power;
  /** Shaft work over the cycle, likewise. */
  readonly drivingEnergy: Energy;
  readonly brakingEnergy: Energy;
}

/**
 * Peak torque [N·m], powers T·ω [W] and shaft work ∫T·ω·dt [J] of a cycle. Valid: constant torque over a segment. Losses of motor,
 * drive and gearbox are left out: they lower what is fed back. @throws TautlineError argument_invalid Source: definition of power.
 */
export function dutyPeaks(cycle: readonly DutySegment[]): DutyPeaks {
  requireCycle(cycle);
  let peakTorque = 0;
  let peakSegment = 0;
  let [drivingPower, brakingPower, drivingEnergy, brakingEnergy] = [0, 0, 0, 0];
  for (const [index, segment] of cycle.entries()) {
    const { duration, torque, speed } = segment;
    if (Math.abs(torque) > peakTorque) {
      peakTorque = Math.abs(torque);
      peakSegment = index;
    }
    const [first, last] = [torque * speed, torque * end(segment)];
    drivingPower = Math.max(drivingPower, first, last);
    brakingPower = Math.max(brakingPower, -first, -last);
    drivingEnergy += meanAboveZero(first, last) * duration;
    brakingEnergy += meanAboveZero(-first, -last) * duration;
  }
  return { peakTorque, peakSegment, drivingPower, brakingPower, drivingEnergy, brakingEnergy };
}
