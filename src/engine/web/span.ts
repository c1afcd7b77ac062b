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

/**
 * Steady tension behind a draw, T₂ = [EA·(v₂ − v₁) + T₁·v₁]/v₂ [N]. EA force per unit strain [N], T₁ tension that is carried in [N], v₁ and v₂
 * speeds of the rollers at both ends [m/s]. Valid: elastic web, small strain, no slip on either roller. @throws TautlineError argument_invalid
 * Source: mass balance of the span (Campbell 1958, Grenfell 1964, from memory); derived in docs/models/web-span.md.
 */
export function drawTension(stiffness: Tension, before: Tension, v1: Speed, v2: Speed): Tension {
  requireRunning(v2);
  return (stiffness * (v2 - v1) + before * v1) / v2;
}

/**
 * As {@link drawTension}, without neglecting strain against 1: 1 + ε₂ = (v₂/v₁)·(1 + ε₁) [N]. EA [N], T₁ [N], v₁, v₂ [m/s]. The two
 * differ by about T²/EA. @throws TautlineError argument_invalid. Source: mass balance of the span, exact for one material.
 */
export function drawTensionExact(stiffness: Tension, before: Tension, v1: Speed, v2: Speed): Tension {
  requireRunning(v1);
  return stiffness * ((v2 / v1) * (1 + before / stiffness) - 1);
}

/**
 * Time in which a span follows, L/v [s]. L length [m], v speed of the roller at its end [m/s]. @throws TautlineError argument_invalid
 * Source: {@link spanResponse}.
 */
export function spanTime(length: Length, speed: Speed): Time {
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

/**
 * Tension in the second of two spans after the speed of the roller between them stepped, with everything steady before [N]:
 *
 *   T₃(t) = T₃∞ + A·exp(−t/τ₂) + (T₃₀ − T₃∞ − A)·exp(−t/τ₃),   A = (v₂/L₃)·(T₂₀ − T₂∞)/(1/τ₃ − 1/τ₂)
 *
 * τ₂ = L₂/v₂, τ₃ = L₃/v₃ [s], T₂₀ and T₂∞ tension before and long after in the first span, T₃₀ and T₃∞ in the second [N]. EA [N], T₁ carried in
 * [N]; L₂, L₃ lengths [m]; v₁, v₂ (new), v₃ speeds [m/s]; `before` the old v₂. T₃ starts and ends the same: a step of one draw only
 * passes through. Valid: τ₂ ≠ τ₃ (use slightly different lengths otherwise). @throws TautlineError argument_invalid
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
  const settled = (v: Speed): [Tension, Tension] => {
    const t2 = drawTension(stiffness, before, v1, v);
    return [t2, drawTension(stiffness, t2, v, v3)];
  };
  const [start2, start3] = settled(v2Before);
  const [end2, end3] = settled(v2);
  const rate2 = 1 / spanTime(first, v2);
  const rate3 = 1 / spanTime(second, v3);
  if (rate2 === rate3)
    refuse(
      { first, second },
      `spans of ${first} m and ${second} m have one time constant`,
      'take slightly different lengths',
    );
  const a = ((v2 / second) * (start2 - end2)) / (rate3 - rate2);
  return end3 + a * Math.exp(-time * rate2) + (start3 - end3 - a) * Math.exp(-time * rate3);
}

/** Natural frequency [rad/s] and damping [1] of a roll. */
export interface TorqueModeSwing {
  readonly frequency: AngularSpeed;
  readonly damping: Ratio;
}

/**
 * How a roll or roller under torque control swings against one span whose far end is held: ω = R·√(EA/(L·J)), ζ = v/(2·L·ω) [rad/s, 1]. EA [N],
 * R radius [m], L span [m], J inertia at the roller [kg·m²], v web speed [m/s]. At rest it is undamped. @throws TautlineError argument_invalid
 * Source: J·ω′ = R·ΔT with L·dT/dt = EA·R·ω − v·T, derived in docs/models/web-span.md.
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
