import type { ParameterName } from './identification.js';
import type { DriveSignals } from './signals.js';
import { type WindowRow, windowMeanOfSpeed } from './windows.js';

/**
 * The equation of motion as linear columns, one value a window (kernel means):
 *
 *   T = J·a + s·[coulomb + stribeck·exp(-|ω|/ω_s)] + viscous·ω + quadratic·ω|ω| + offset      s = sign of rotation
 *
 * While the drive is off T is zero and the offset, an error of the torque column, is not in the balance.
 * `driftCoulomb` and `driftViscous` are nuisances: drag that changes with time at the same speed.
 * So is `ripple`, what repeats with every turn. `inertiaSlope` is inertia that seems to change with speed: a check.
 * `rollDensity` stands for the inertia of a wound roll of that density, on unwinds and winders.
 * Theory: docs/models/drive.md.
 */
export interface Term {
  readonly name:
    | Exclude<ParameterName, 'breakaway'>
    | 'driftCoulomb'
    | 'driftViscous'
    | 'rollDensity'
    | 'ripple'
    | 'inertiaSlope';
  /** 0: both directions share it; 1 or -1: only windows of that direction. */
  readonly direction: 0 | 1 | -1;
  /** Of a ripple: index into the sines and cosines of the window. */
  readonly component?: number;
}

/** Where the Stribeck term is linearised: speed over which it decays [rad/s] and its size [N·m] a direction. */
export interface StribeckPoint {
  readonly speed: number;
  readonly excess: number;
  /** Exponent δ of exp(-(ω/ω_s)^δ): 1 (Tustin) or 2 (Gaussian), whichever fits better. */
  readonly exponent: 1 | 2;
}

/** The Stribeck term at speed magnitude w >= 0 as a share of the excess [1], and its derivative with respect to ω_s [s/rad]. */
export function stribeckDecay(point: StribeckPoint, w: number): { share: number; derivative: number } {
  const x = w / point.speed;
  const power = point.exponent === 1 ? x : x * x;
  const share = Math.exp(-power);
  return { share, derivative: (point.exponent * power * share) / point.speed };
}

/** How a drift goes over the recording: from 1 at `from` to 0 at `to` [s], exponentially with time constant `tau` [s]. */
export interface DriftShape {
  readonly from: number;
  readonly to: number;
  /** Infinity: a straight line. */
  readonly tau: number;
}

function driftShape(drift: DriftShape | undefined, time: number): number {
  if (drift === undefined) return 0;
  const { from, to, tau } = drift;
  if (!Number.isFinite(tau)) return (to - time) / (to - from);
  const end = Math.exp(-(to - from) / tau);
  return (Math.exp(-(time - from) / tau) - end) / (1 - end);
}

export interface Model {
  readonly terms: readonly Term[];
  readonly stribeck?: StribeckPoint;
  readonly drift?: DriftShape;
}

/** Beyond this many decay speeds the Stribeck term is below 4e-4 of its size and is not averaged any more. */
const stribeckReach = 8;

/** Value of a term in a window. */
function termValue(term: Term, row: WindowRow, model: Model, signals: DriveSignals): number {
  if (term.direction !== 0 && term.direction !== row.direction) return 0;
  const { stribeck } = model;
  switch (term.name) {
    case 'inertia':
      return row.acceleration;
    case 'coulomb':
      return row.direction;
    case 'viscous':
      return row.speed;
    case 'quadratic':
      return row.speedSquared;
    case 'rollDensity':
      return row.acceleration * (row.inertiaPerDensity ?? 0);
    case 'ripple':
      return row.ripple?.[term.component ?? 0] ?? 0;
    case 'inertiaSlope':
      return row.acceleration * Math.abs(row.speed);
    case 'offset':
      return row.coasting ? 0 : 1;
    case 'driftCoulomb':
      return row.direction * driftShape(model.drift, row.time);
    case 'driftViscous':
      return row.speed * driftShape(model.drift, row.time);
    case 'stribeck':
    case 'stribeckSpeed': {
      if (stribeck === undefined || Math.abs(row.speed) > stribeckReach * stribeck.speed) return 0;
      // The derivative with respect to the decay speed makes its uncertainty part of the covariance.
      const shape = (w: number): number => {
        const { share, derivative } = stribeckDecay(stribeck, Math.abs(w));
        return term.name === 'stribeck' ? share : stribeck.excess * derivative;
      };
      return row.direction * windowMeanOfSpeed(signals, row, shape);
    }
  }
}

/** Weighted design matrix of the windows, row-major n x p. */
export function designMatrix(rows: readonly WindowRow[], model: Model, signals: DriveSignals): Float64Array {
  const p = model.terms.length;
  const x = new Float64Array(rows.length * p);
  for (let i = 0; i < rows.length; i++)
    for (let j = 0; j < p; j++) x[i * p + j] = termValue(model.terms[j], rows[i], model, signals);
  return x;
}

export interface DragShape {
  readonly viscous: boolean;
  readonly quadratic: boolean;
  readonly stribeck: boolean;
}

/** The drag terms of one direction (or of both together) in a fixed order. */
export function dragTerms(shape: DragShape, direction: 0 | 1 | -1): Term[] {
  const terms: Term[] = [{ name: 'coulomb', direction }];
  if (shape.viscous) terms.push({ name: 'viscous', direction });
  if (shape.quadratic) terms.push({ name: 'quadratic', direction });
  if (shape.stribeck) terms.push({ name: 'stribeck', direction });
  return terms;
}
