/**
 * Mechanics of an invented drive at the motor shaft:
 *
 *   J dw/dt = torque − friction − ripple(θ) − web(t, w),    dθ/dt = w
 *
 * with LuGre bristles: dz/dt = w − σ0|w|z/g(w), friction = σ0 z + σ1 dz/dt + viscous w + quadratic w|w|.
 * The bristle pole |w|σ0/g reaches 1e5 1/s, so z is advanced implicitly, z⁺ = (z + h w)/(1 + h|w|σ0/g), which is stable for
 * every step; speed by the explicit midpoint, with the middle speed taken forward from the last acceleration.
 */
import { type Friction, slidingLevel } from './friction.js';

export interface Ripple {
  /** Periods per motor revolution: 1 at the motor, 1/ratio at the roller. */
  readonly order: number;
  readonly amplitude: number;
  readonly phase: number;
}

export interface Machine {
  readonly inertia: number;
  readonly forward: Friction;
  readonly reverse: Friction;
  /** σ0 [N·m/rad] and σ1 [N·m·s/rad]. */
  readonly bristleStiffness: number;
  readonly bristleDamping: number;
  readonly ripples: readonly Ripple[];
  /** Viscous drag times 1 + excess·exp(-t/time): a bearing that warms. */
  readonly warming?: { readonly excess: number; readonly time: number };
  /** Torque that the web takes from the shaft [N·m]. */
  readonly web?: (time: number, speed: number) => number;
}

const sineSteps = 4096;
const sineTable = Float64Array.from({ length: sineSteps + 2 }, (_, i) =>
  Math.sin((2 * Math.PI * i) / sineSteps),
);

/** Sine by table and straight line, right to 3e-7: a ripple needs no more, and Math.sin of a large angle is dear. */
function sine(angle: number): number {
  const turns = angle / (2 * Math.PI);
  const x = (turns - Math.floor(turns)) * sineSteps;
  const i = x | 0;
  const y = sineTable[i]!;
  return y + (x - i) * (sineTable[i + 1]! - y);
}

/** Moving parts at one moment; advanced in place. */
export class Motion {
  time = 0;
  speed = 0;
  angle = 0;
  bristle = 0;
  acceleration = 0;
  /** Friction torque of the last step [N·m], as it acted. */
  friction = 0;

  constructor(readonly machine: Machine) {}

  /** One step of h [s] under the mean torque of the step [N·m]. */
  step(torque: number, h: number): void {
    const m = this.machine;
    const w = this.speed + 0.5 * h * this.acceleration;
    const size = w < 0 ? -w : w;
    const law = w < 0 ? m.reverse : m.forward;
    const g = slidingLevel(law, size);
    const z = (this.bristle + h * w) / (1 + (h * size * m.bristleStiffness) / g);
    let viscous = law.viscous;
    if (m.warming !== undefined) viscous *= 1 + m.warming.excess * Math.exp(-this.time / m.warming.time);
    let load =
      m.bristleStiffness * z +
      (m.bristleDamping * (z - this.bristle)) / h +
      viscous * w +
      law.quadratic * w * size;
    this.friction = load;
    const middle = this.angle + 0.5 * h * w;
    for (const r of m.ripples) load += r.amplitude * sine(r.order * middle + r.phase);
    if (m.web !== undefined) load += m.web(this.time + 0.5 * h, w);
    this.acceleration = (torque - load) / m.inertia;
    const before = this.speed;
    this.speed = before + h * this.acceleration;
    this.angle += 0.5 * h * (before + this.speed);
    this.bristle = z;
    this.time += h;
  }
}
