import { TautlineError } from '../errors.js';
import type { AngularSpeed, Inertia, Length, Ratio, Speed, Tension, Time } from '../units/quantity.js';

const refuse = (where: Record<string, number>, message: string, next: string): never => {
  throw new TautlineError('argument_invalid', where, message, next);
};

function requireRunning(speed: Speed): void {
  if (!(speed > 0))
    refuse(
      { speed },
      `a web speed of ${speed} m/s`,
      'state a speed above 0: at rest no web is carried along',
    );
}

function requireStiffness(stiffness: Tension): void {
  if (!(stiffness > 0))
    refuse(
      { stiffness },
      `no web has ${stiffness} N per unit strain`,
      'state modulus, caliper and width above 0',
    );
}

/**
 * Steady tension behind a draw, T₂ = [EA·(v₂ − v₁) + T₁·v₁]/v₂ [N]. EA force per unit strain [N], T₁ tension that is carried in [N], v₁ and v₂
 * speeds of the rollers at both ends [m/s]. Valid: elastic web, small strain, no slip on either roller. @throws TautlineError argument_invalid
 * Source: mass balance of the span (Campbell 1958, Grenfell 1964, from memory); derived in docs/models/web-span.md.
 */
export function drawTension(stiffness: Tension, before: Tension, v1: Speed, v2: Speed): Tension {
  requireStiffness(stiffness);
  requireRunning(v2);
  return (stiffness * (v2 - v1) + before * v1) / v2;
}

/**
 * As {@link drawTension}, without neglecting strain against 1: 1 + ε₂ = (v₂/v₁)·(1 + ε₁) [N]. EA [N], T₁ [N], v₁, v₂ [m/s]. The two
 * differ by about (T₂² − T₁²)/EA. @throws TautlineError argument_invalid. Source: mass balance of the span, exact for one material.
 */
export function drawTensionExact(stiffness: Tension, before: Tension, v1: Speed, v2: Speed): Tension {
  requireStiffness(stiffness);
  requireRunning(v1);
  // Not EA·((v₂/v₁)·(1 + ε₁) − 1), whose small difference of two large terms loses digits.
  return (stiffness * (v2 - v1) + before * v2) / v1;
}

/**
 * Time in which a span follows, L/v [s]. L length [m], v speed of the roller at its end [m/s]. @throws TautlineError argument_invalid
 * Source: {@link spanResponse}.
 */
export function spanTime(length: Length, speed: Speed): Time {
  if (!(length > 0)) refuse({ length }, `no span is ${length} m long`, 'state a length above 0');
  requireRunning(speed);
  return length / speed;
}

/**
 * Tension in a span at a time after speeds and incoming tension were set, T(t) = T∞ + (T₀ − T∞)·exp(−t·v₂/L) [N], exactly so while these stay.
 * T₀ tension at the start [N], T∞ from {@link drawTension} [N], L length [m], v₂ speed at the end [m/s], t [s].
 * @throws TautlineError argument_invalid. Source: L·dT/dt = EA·(v₂ − v₁) + T₁·v₁ − T·v₂, linear at given speeds.
 */
export const spanResponse = (
  start: Tension,
  settled: Tension,
  length: Length,
  speed: Speed,
  time: Time,
): Tension => settled + (start - settled) * Math.exp(-time / spanTime(length, speed));

/** (exp(−p·t) − exp(−q·t))/(q − p), t·exp(−p·t) where the rates p and q meet; neither overflows nor cancels near there. */
function differenceOfDecays(p: number, q: number, time: Time): number {
  const gap = Math.abs(q - p);
  const slower = Math.exp(-Math.min(p, q) * time);
  return gap === 0 ? slower * time : (slower * -Math.expm1(-gap * time)) / gap;
}

/**
 * Tension in the second of two spans after the speed of the roller between them stepped, with everything steady before [N]:
 *
 *   T₃(t) = T₃∞ + (v₂/L₃)·(T₂₀ − T₂∞)·(exp(−p·t) − exp(−q·t))/(q − p),   p = v₂/L₂, q = v₃/L₃
 *
 * T₂₀ and T₂∞ tension before and long after in the first span, T₃∞ in the second [N], which does not depend on v₂: T₃ starts and ends the
 * same, a step of one draw only passes through. EA [N], T₁ carried in [N]; L₂, L₃ lengths [m]; v₁, v₂ (new), v₃ speeds [m/s]; `before` T₁,
 * `v2Before` the old v₂; t time since the step [s]. Valid: as {@link drawTension}, neither span slack. @throws TautlineError argument_invalid
 * Source: two first-order spans in series, derived in docs/models/web-span.md.
 */
export function transportedTension(
  span: {
    readonly stiffness: Tension;
    readonly before: Tension;
    readonly first: Length;
    readonly second: Length;
    readonly v1: Speed;
    readonly v2Before: Speed;
    readonly v2: Speed;
    readonly v3: Speed;
  },
  time: Time,
): Tension {
  const { stiffness, before, first, second, v1, v2Before, v2, v3 } = span;
  if (!(time >= 0)) refuse({ time }, `${time} s is not after the step`, 'state a time of at least 0');
  const start = drawTension(stiffness, before, v1, v2Before);
  const end = drawTension(stiffness, before, v1, v2);
  const decays = differenceOfDecays(1 / spanTime(first, v2), 1 / spanTime(second, v3), time);
  return drawTension(stiffness, before, v1, v3) + (v2 / second) * (start - end) * decays;
}

/** Natural frequency [rad/s] and damping [1] of a roll. */
export interface TorqueModeSwing {
  readonly frequency: AngularSpeed;
  readonly damping: Ratio;
}

/**
 * How a roll or roller under torque control swings against one span whose far end is held: ω = R·√(EA/(L·J)), ζ = v/(2·L·ω) [rad/s, 1]. EA [N],
 * R radius [m], L span [m], J inertia at the roller [kg·m²], v web speed [m/s]. At rest it is undamped. @throws TautlineError argument_invalid
 * Source: J·ω′ = R·ΔT with L·ΔT′ = −EA·R·ω − v·ΔT, derived in docs/models/web-span.md.
 */
export function torqueModeSwing(
  stiffness: Tension,
  radius: Length,
  length: Length,
  inertia: Inertia,
  speed: Speed,
): TorqueModeSwing {
  if (!(stiffness > 0 && radius > 0 && length > 0 && inertia > 0 && speed >= 0))
    refuse(
      { stiffness, radius, length, inertia, speed },
      `no swing of inertia ${inertia} kg·m² with radius ${radius} m on a span of ${length} m with ${stiffness} N per strain`,
      'state values above 0',
    );
  const frequency = radius * Math.sqrt(stiffness / (length * inertia));
  return { frequency, damping: speed / (2 * length * frequency) };
}
