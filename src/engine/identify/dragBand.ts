import { type DragLaw, dragTorque } from '../line/drag.js';
import { normalQuantile } from '../numerics/distributions.js';
import type { DragPoint, Estimate, Estimates, Identification, ParameterName } from './identification.js';

/** Half the width of a 95 % interval. */
export const halfWidth95 = (e: Estimate): number => 0.5 * (e.interval95[1] - e.interval95[0]);

/** Fitted drag of one direction with its uncertainty. */
export interface DragBand {
  /** Speeds that the fit saw in this direction [rad/s]. */
  readonly range: readonly [number, number];
  /** Number of drag terms that were fitted. */
  readonly parameters: number;
  /**
   * Torque that the motor needs at a speed [rad/s], magnitude, and an acceleration [rad/s²], positive when the magnitude of the
   * speed rises, with half the width of its 95 % interval [N·m]. NaN where the inertia would be needed and is not known.
   */
  at(speed: number, acceleration?: number): { readonly torque: number; readonly halfWidth: number };
}

/**
 * The drag law that estimates state, with the exponent of the Stribeck decay that the identification chose; undefined without
 * Coulomb and viscous drag, since one speed makes no law.
 */
export function dragLawOf(
  { coulomb, viscous, quadratic, stribeck, stribeckSpeed }: Estimates,
  stribeckExponent: 1 | 2 | undefined,
): DragLaw | undefined {
  if (coulomb === undefined || viscous === undefined) return undefined;
  // A decay over no speed is no term; a document made by hand may state one.
  const excess = stribeck !== undefined && stribeckSpeed !== undefined && stribeckSpeed.value > 0;
  return {
    coulomb: coulomb.value,
    viscous: viscous.value,
    quadratic: quadratic?.value ?? 0,
    stribeck: excess ? stribeck.value : 0,
    stribeckSpeed: excess ? stribeckSpeed.value : 1,
    ...(excess && stribeckExponent !== undefined && { stribeckExponent }),
  };
}

const dragTerms = ['coulomb', 'viscous', 'quadratic', 'stribeck', 'stribeckSpeed'] as const;

/** The drag terms that were fitted. */
export const dragTermsOf = (estimates: Estimates): ParameterName[] =>
  dragTerms.filter((name) => estimates[name] !== undefined);

/**
 * The fitted drag of a direction. Its band comes from the covariance of the fit, `h(ω) = t·√(gᵀ·C·g)` with g the gradient
 * of the torque by the parameters and t the factor that the estimates' own intervals have; where the document holds no covariance
 * of this direction, from the half widths of the fitted points, straight between them, to which that of the inertia is added
 * in full, since the correlation is not known.
 *
 * @param offset 1 or -1 adds the torque offset with that sign, for comparing with a fit that could not tell it from drag
 * @returns undefined when there is no drag law and no fitted point
 */
export function dragBand(
  id: Identification,
  direction: 'forward' | 'reverse',
  offset: 0 | 1 | -1 = 0,
): DragBand | undefined {
  const estimates = direction === 'forward' ? id.estimates : id.reverse?.estimates;
  if (estimates === undefined) return undefined;
  const law = dragLawOf(estimates, id.stribeckExponent);
  const curve = (direction === 'forward' ? id.dragCurve : id.dragCurveReverse) ?? [];
  const points = curve.filter((p) => p.from === 'fit').toSorted((a, b) => a.speed - b.speed);
  const range: readonly [number, number] | undefined =
    points.length > 1 ? [points[0].speed, points[points.length - 1].speed] : id.speedRange;
  if (range === undefined || (law === undefined && points.length < 2)) return undefined;
  const inertia = estimates.inertia ?? (direction === 'reverse' ? id.estimates.inertia : undefined);
  const shift = offset === 0 ? undefined : id.estimates.offset;
  const shiftBy = offset * (shift?.value ?? 0);
  const torque = (speed: number, acceleration: number): number =>
    (law === undefined ? interpolate(points, speed, 'torque') : dragTorque(law, speed)) +
    (acceleration === 0 ? 0 : acceleration * (inertia?.value ?? Number.NaN)) +
    shiftBy;
  const names = dragTermsOf(estimates);
  const covariance = sameDrag(id, direction) ? id.covariance : undefined;
  const needed: ParameterName[] = [...names, ...(shift === undefined ? [] : (['offset'] as const))];
  const covered = covariance !== undefined && needed.every((n) => covariance.names.includes(n));
  const parameters = Math.max(1, names.length);
  if (law !== undefined && covered) {
    const t = intervalFactor(estimates);
    return {
      range,
      parameters,
      at(speed, acceleration = 0) {
        const g = covariance.names.map((n) => gradient(law, n, speed, acceleration, offset));
        let variance = 0;
        for (let i = 0; i < g.length; i++)
          for (let j = 0; j < g.length; j++)
            if (g[i] !== 0 && g[j] !== 0) variance += g[i] * covariance.matrix[i][j] * g[j];
        const known = acceleration === 0 || covariance.names.includes('inertia');
        return {
          torque: torque(speed, acceleration),
          halfWidth: known ? t * Math.sqrt(Math.max(0, variance)) : Number.NaN,
        };
      },
    };
  }
  if (points.length < 2) return undefined;
  const inertiaHalf = inertia === undefined ? Number.NaN : halfWidth95(inertia);
  const shiftHalf = shift === undefined ? 0 : halfWidth95(shift);
  return {
    range,
    parameters,
    at: (speed, acceleration = 0) => ({
      torque: torque(speed, acceleration),
      halfWidth:
        interpolate(points, speed, 'halfWidth95') +
        (acceleration === 0 ? 0 : Math.abs(acceleration) * inertiaHalf) +
        shiftHalf,
    }),
  };
}

/** The covariance is that of the forward direction; it serves the reverse one when both share their drag. */
const sameDrag = (id: Identification, direction: 'forward' | 'reverse'): boolean =>
  direction === 'forward' ||
  dragTerms.every((n) => id.reverse?.estimates[n]?.value === id.estimates[n]?.value);

/** Half width over standard error, as the intervals of these estimates have it (Student's t of the fit). */
function intervalFactor({ coulomb }: Estimates): number {
  return coulomb !== undefined && coulomb.standardError > 0
    ? halfWidth95(coulomb) / coulomb.standardError
    : normalQuantile(0.975);
}

/** Derivative of the torque at a speed and acceleration with respect to one parameter. */
function gradient(
  law: DragLaw,
  name: ParameterName,
  speed: number,
  acceleration: number,
  offset: 0 | 1 | -1,
): number {
  const exponent = law.stribeckExponent ?? 1;
  const power = (speed / law.stribeckSpeed) ** exponent;
  const decay = law.stribeck === 0 ? 0 : Math.exp(-power);
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
      return ((law.stribeck * exponent * power) / law.stribeckSpeed) * decay;
    case 'offset':
      return offset;
    case 'breakaway':
      return 0;
  }
}

/** A value of the fitted points at a speed, straight between neighbours; outside, that of the nearest point. */
function interpolate(points: readonly DragPoint[], speed: number, key: 'torque' | 'halfWidth95'): number {
  const k = points.findIndex((p) => p.speed >= speed);
  if (k === 0) return points[0][key];
  if (k < 0) return points[points.length - 1][key];
  const [a, b] = [points[k - 1], points[k]];
  return a[key] + ((speed - a.speed) / (b.speed - a.speed)) * (b[key] - a[key]);
}
