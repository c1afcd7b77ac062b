import type { DragLaw } from '../line/drag.js';
import type { DragPoint, Estimate, Estimates, Identification, ParameterName } from './identification.js';

export type Direction = 'forward' | 'reverse';

/** Half the width of an estimate's 95 % interval; the wider side where it is lopsided. */
export const halfWidthOf = (e: Estimate): number =>
  Math.max(e.value - e.interval95[0], e.interval95[1] - e.value);

/** The identified drag of one direction of rotation: law, the speeds it was seen at, and how sure it is. */
export interface FittedDrag {
  readonly law: DragLaw;
  /** Motor speeds that the recording covers [rad/s]. */
  readonly range: readonly [number, number];
  /**
   * Half width of the 95 % interval [N·m] of the torque `inertia·acceleration + drag(speed)` at a motor speed >= 0 [rad/s] and a motor
   * acceleration [rad/s²]. Undefined where the identification does not say it.
   */
  readonly halfWidth95: (speed: number, acceleration?: number) => number | undefined;
}

/**
 * Drag law from estimates; undefined without a Coulomb estimate, since a curve seen at one speed has no law. Terms that the
 * recording did not support are zero in the law: so they were in the fit.
 */
export function dragLawOf(estimates: Estimates): DragLaw | undefined {
  const { coulomb, viscous, quadratic, stribeck, stribeckSpeed } = estimates;
  if (coulomb === undefined) return undefined;
  const decays = stribeck !== undefined && stribeckSpeed !== undefined && stribeckSpeed.value > 0;
  return {
    coulomb: coulomb.value,
    viscous: viscous?.value ?? 0,
    quadratic: quadratic?.value ?? 0,
    stribeck: decays ? stribeck.value : 0,
    stribeckSpeed: decays ? stribeckSpeed.value : 0,
  };
}

/** Derivative of `inertia·acceleration + drag(speed)` with respect to a parameter, at the law [SI]. */
function sensitivity(name: ParameterName, law: DragLaw, speed: number, acceleration: number): number {
  const decay = law.stribeck === 0 ? 0 : Math.exp(-speed / law.stribeckSpeed);
  switch (name) {
    case 'inertia':
      return acceleration;
    case 'coulomb':
      return 1;
    case 'viscous':
      return speed;
    case 'quadratic':
      return speed * speed;
    case 'stribeck':
      return decay;
    case 'stribeckSpeed':
      return law.stribeck === 0 ? 0 : ((law.stribeck * speed) / law.stribeckSpeed ** 2) * decay;
    default:
      return 0;
  }
}

/**
 * Drag of one direction. The band comes from the covariance where the document has one (forward), else from the band of the
 * drag curve, between its points; the part of the inertia is then added in full, which is the most that any correlation can make of it.
 * Undefined when no drag law was estimated for this direction.
 */
export function fittedDrag(id: Identification, direction: Direction): FittedDrag | undefined {
  const estimates = direction === 'forward' ? id.estimates : id.reverse?.estimates;
  const law = estimates && dragLawOf(estimates);
  if (estimates === undefined || law === undefined) return undefined;
  const curve = (direction === 'forward' ? id.dragCurve : id.dragCurveReverse)?.filter(
    (p) => p.from === 'fit',
  );
  const range: readonly [number, number] | undefined =
    curve !== undefined && curve.length > 1 ? [curve[0].speed, curve[curve.length - 1].speed] : id.speedRange;
  if (range === undefined) return undefined;
  const covariance = direction === 'forward' ? covarianceBand(id, law) : undefined;
  if (covariance !== undefined) return { law, range, halfWidth95: covariance };
  const inertia = id.estimates.inertia;
  return {
    law,
    range,
    halfWidth95: (speed, acceleration = 0) => {
      const drag = curve && bandBetween(curve, speed);
      if (drag === undefined || (acceleration !== 0 && inertia === undefined)) return undefined;
      return drag + Math.abs(acceleration) * (inertia === undefined ? 0 : halfWidthOf(inertia));
    },
  };
}

/** Linear propagation of the covariance (JCGM 100, from memory), with the t quantile that the estimates carry. */
function covarianceBand(id: Identification, law: DragLaw): FittedDrag['halfWidth95'] | undefined {
  const { covariance, estimates } = id;
  const coulomb = estimates.coulomb;
  if (covariance === undefined || coulomb === undefined || !(coulomb.standardError > 0)) return undefined;
  const { names, matrix } = covariance;
  const needed = (['coulomb', 'viscous', 'quadratic', 'stribeck'] as const).filter((n) => law[n] !== 0);
  if (needed.some((n) => !names.includes(n))) return undefined;
  const quantile = halfWidthOf(coulomb) / coulomb.standardError;
  return (speed, acceleration = 0) => {
    if (acceleration !== 0 && !names.includes('inertia')) return undefined;
    const g = names.map((n) => sensitivity(n, law, speed, acceleration));
    let variance = 0;
    for (let i = 0; i < g.length; i++)
      for (let j = 0; j < g.length; j++) variance += g[i] * matrix[i][j] * g[j];
    return quantile * Math.sqrt(Math.max(0, variance));
  };
}

/** Band of the fitted curve between its points; undefined outside them. */
function bandBetween(curve: readonly DragPoint[], speed: number): number | undefined {
  const k = curve.findIndex((p) => p.speed >= speed);
  if (k < 0) return undefined;
  if (curve[k].speed === speed) return curve[k].halfWidth95;
  if (k === 0) return undefined;
  const [a, b] = [curve[k - 1], curve[k]];
  const share = (speed - a.speed) / (b.speed - a.speed);
  return a.halfWidth95 + share * (b.halfWidth95 - a.halfWidth95);
}
