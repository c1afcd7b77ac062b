import { studentTQuantile } from '../numerics/distributions.js';
import { solveLeastSquares } from '../numerics/leastSquares.js';
import { type DragShape, designMatrix, dragTerms, type Model, type Term } from './equation.js';
import { type Fit, fitRows, termIndex } from './fit.js';
import type { NotEstimated } from './identification.js';
import { type FitContext, observations } from './observations.js';
import type { DriveSignals } from './signals.js';
import type { Scales } from './stretch.js';
import { fitStribeck } from './stribeck.js';
import { dragSupport, levelsForQuadratic, type Support } from './support.js';
import type { WindowRow } from './windows.js';

/** The fitted drive model with what was decided on the way. */
export interface DriveFit {
  /** The context with the cutting that the fit ended with. */
  readonly context: FitContext;
  readonly fit: Fit;
  /** One drag for both directions and an offset; only when both directions were recorded. */
  readonly symmetric?: Fit;
  readonly directions: readonly (1 | -1)[];
  readonly support: ReadonlyMap<1 | -1, Support>;
  readonly hasInertia: boolean;
  readonly perDirection: boolean;
  /** Drag drift over the recording as a share of the mean drag, when it is told from noise. */
  readonly drift?: number;
  readonly notEstimated: readonly NotEstimated[];
}

const weaker = (a: Support, b: Support | undefined): DragShape => ({
  viscous: a.viscous && (b?.viscous ?? true),
  quadratic: a.quadratic && (b?.quadratic ?? true),
  stribeck: false,
});

/**
 * Fits inertia and drag jointly to all windows. Undefined when no window is left. The order of decisions: which terms
 * the recording supports; one drag or one a direction; a Stribeck term; a drift.
 */
export function fitDrive(context: FitContext): DriveFit | undefined {
  const result = fitWithCutting(context);
  if (result === undefined || !lowSpeedExcess(result, context)) return result;
  // Drag rises towards standstill: sweeps through low speed would count it as Coulomb drag.
  const { cutting } = context;
  return (
    fitWithCutting({ ...context, cutting: { ...cutting, lowestSpeed: cutting.lowestPlateau } }) ?? result
  );
}

/** Mean drag excess at low speed, as a share of the Coulomb drag, from which low speed is left out. */
const materialExcess = 0.015;

/**
 * True when the windows below the slowest plateau taken show more drag than a fit to the others gives there. Where they
 * show no more, they stay: they carry what is known of the Coulomb level.
 */
function lowSpeedExcess({ fit }: DriveFit, { signals, cutting }: FitContext): boolean {
  if (fit.model.stribeck !== undefined) return false;
  const low = fit.rows.filter((r) => Math.abs(r.speed) < cutting.lowestPlateau);
  const high = fit.rows.filter((r) => Math.abs(r.speed) >= cutting.lowestPlateau);
  const above = low.length === 0 ? undefined : fitRows(high, fit.model, signals);
  if (above === undefined) return false;
  const design = designMatrix(low, above.model, signals);
  const p = above.model.terms.length;
  let excess = 0;
  let weight = 0;
  low.forEach((row, i) => {
    let predicted = 0;
    for (let j = 0; j < p; j++) predicted += design[i * p + j] * above.coefficients[j];
    excess += row.duration * row.direction * (row.torque - predicted);
    weight += row.duration;
  });
  const j = termIndex(above, 'coulomb', low[0].direction);
  return excess / weight > materialExcess * Math.abs(above.coefficients[j]);
}

function fitWithCutting(context: FitContext): DriveFit | undefined {
  const { signals, torque, stretches, drive, scales, cutting } = context;
  const rows = observations(signals, torque, stretches, scales, cutting);
  if (rows.length === 0) return undefined;
  const directions = ([1, -1] as const).filter((d) => rows.filter((r) => r.direction === d).length >= 3);
  if (directions.length === 0) return undefined;
  const support = new Map(
    directions.map((d) => [
      d,
      dragSupport(
        rows.filter((r) => r.direction === d),
        stretches,
        d,
        drive,
        scales,
      ),
    ]),
  );
  const first = support.get(directions[0]) as Support;
  let shape = weaker(first, directions.length > 1 ? support.get(directions[1]) : undefined);
  const hasInertia = inertiaShows(rows);
  const kept = rows.filter((r) => directions.includes(r.direction));
  const inertia: Term[] = hasInertia ? [{ name: 'inertia', direction: 0 }] : [];
  const coasts = kept.some((r) => r.coasting) && kept.some((r) => !r.coasting) && hasInertia;
  const offset: Term[] = directions.length > 1 || coasts ? [{ name: 'offset', direction: 0 }] : [];
  const whole = directions.length > 1 ? 0 : directions[0];
  const oneDrag = (drag: DragShape): Model => ({ terms: [...inertia, ...dragTerms(drag, whole), ...offset] });
  let fit = fitRows(kept, oneDrag(shape), signals);
  const notEstimated: NotEstimated[] = [...first.refused];
  // Three plateaus alone would be fitted exactly, so there the sweeps must bring the evidence.
  const needed = first.levels.length === levelsForQuadratic - 1 ? 3 : -2;
  if (shape.quadratic && (fit === undefined || quadraticScore(fit, directions[0]) < needed)) {
    shape = { ...shape, quadratic: false };
    fit = fitRows(kept, oneDrag(shape), signals);
    notEstimated.push(noWindage);
  }
  if (fit === undefined) return undefined;
  const symmetric = directions.length > 1 ? fit : undefined;
  let perDirection = false;
  if (directions.length > 1) {
    const terms = [...inertia, ...directions.flatMap((d) => dragTerms(shape, d))];
    const two = fitRows(kept, { terms: coasts ? [...terms, ...offset] : terms }, signals);
    if (two !== undefined && directionsDiffer(two, shape, coasts, scales)) {
      fit = two;
      perDirection = true;
    }
  }
  const stribeck = fitStribeck(context, fit, directions[0]);
  let used = context;
  if (stribeck.fit !== undefined) {
    fit = stribeck.fit;
    used = { ...context, cutting: stribeck.cutting };
  } else notEstimated.push(stribeck.refusal);
  const drifted = fitDrift(fit, signals, scales);
  return {
    context: used,
    fit: drifted?.fit ?? fit,
    symmetric,
    directions,
    support,
    hasInertia,
    perDirection,
    drift: drifted?.share,
    notEstimated,
  };
}

const noWindage: NotEstimated = {
  name: 'quadratic',
  why: 'the drag rises no more than in proportion to speed, so no windage shows',
  next: 'record plateaus at four or more speeds up to top speed if windage matters',
};

/**
 * The quadratic term in standard errors of itself. Below -2 the drag bends down, which is no windage. It is asked
 * to stand out where three plateaus cannot decide.
 */
function quadraticScore(fit: Fit, direction: 1 | -1): number {
  const j = termIndex(fit, 'quadratic', direction);
  const p = fit.model.terms.length;
  return fit.coefficients[j] / Math.sqrt(fit.covariance[j * p + j]);
}

/** Inertia shows when some windows accelerate clearly more than the steadiest ones do. */
function inertiaShows(rows: readonly WindowRow[]): boolean {
  const powered = rows.filter((r) => !r.coasting);
  const magnitudes = powered.map((r) => Math.abs(r.acceleration) * r.duration);
  const speeds = powered.map((r) => Math.abs(r.speed));
  return Math.max(0, ...magnitudes) > 0.01 * Math.max(0, ...speeds);
}

/** Smallest difference of the drag curves, as a share of the drag, that is worth a curve a direction. */
const materialAsymmetry = 0.03;

/**
 * True when drag differs between directions by more than a constant (which cannot be told from a torque offset), beyond
 * chance (Wald test on the covariance that allows for correlated residuals) and enough to matter.
 */
function directionsDiffer(fit: Fit, shape: DragShape, offsetKnown: boolean, scales: Scales): boolean {
  const names: Term['name'][] = [];
  if (offsetKnown) names.push('coulomb');
  if (shape.viscous) names.push('viscous');
  if (shape.quadratic) names.push('quadratic');
  if (names.length === 0) return false;
  const p = fit.model.terms.length;
  const pairs = names.map((name) => [termIndex(fit, name, 1), termIndex(fit, name, -1)]);
  const difference = Float64Array.from(pairs, ([a, b]) => fit.coefficients[a] - fit.coefficients[b]);
  const c = (i: number, j: number): number => fit.covariance[i * p + j];
  const q = names.length;
  const v = new Float64Array(q * q);
  for (let i = 0; i < q; i++)
    for (let j = 0; j < q; j++) {
      const [a, b] = pairs[i];
      const [d, e] = pairs[j];
      v[i * q + j] = c(a, d) - c(a, e) - c(b, d) + c(b, e);
    }
  const solved = solveLeastSquares(v, q, q, difference);
  let wald = 0;
  for (let i = 0; i < q; i++) wald += difference[i] * solved.coefficients[i];
  // F quantile at 99.9 % approximated from above by the squared t quantile of one contrast times a Bonferroni level.
  const critical = studentTQuantile(1 - 0.0005 / q, fit.degreesOfFreedom) ** 2;
  if (!(wald > critical)) return false;
  return curveAsymmetry(fit, scales, offsetKnown) > materialAsymmetry;
}

/** Largest difference of the two drag curves, their mean difference taken out unless an offset is known, over mean drag. */
function curveAsymmetry(fit: Fit, scales: Scales, offsetKnown: boolean): number {
  const at = (w: number, d: 1 | -1): number => {
    let sum = 0;
    for (const [name, power] of [
      ['coulomb', 0],
      ['viscous', 1],
      ['quadratic', 2],
    ] as const) {
      const j = termIndex(fit, name, d);
      if (j >= 0) sum += fit.coefficients[j] * w ** power;
    }
    return sum;
  };
  const speeds = Array.from({ length: 10 }, (_, k) => ((k + 1) / 10) * scales.range);
  const differences = speeds.map((w) => at(w, 1) - at(w, -1));
  const mean = offsetKnown ? 0 : differences.reduce((s, d) => s + d, 0) / differences.length;
  const drag = speeds.reduce((s, w) => s + Math.abs(at(w, 1) + at(w, -1)) / 2, 0) / speeds.length;
  return Math.max(...differences.map((d) => Math.abs(d - mean))) / drag;
}

/** Drift smaller than this share of the mean drag over the recording is left unsaid. */
const materialDrift = 0.03;

/** Time constants of a drift that are tried, as shares of the recording's length; Infinity is a straight line. */
const driftTimes = [0.15, 0.3, 0.6, Number.POSITIVE_INFINITY];

/**
 * Adds a drag that drifts towards a final level, as bearings that warm up do, when that is told from noise and matters. The
 * drag is then stated for the end of the recording. Undefined when there is no such drift or it cannot be told from the
 * speed dependence.
 */
function fitDrift(fit: Fit, signals: DriveSignals, scales: Scales): { fit: Fit; share: number } | undefined {
  const { rows, model } = fit;
  const from = rows[0].time;
  const to = rows[rows.length - 1].time;
  if (!(to > from)) return undefined;
  const total = rows.reduce((s, r) => s + r.duration, 0);
  const j = termIndex(fit, 'inertia', rows[0].direction);
  const inertia = j < 0 ? 0 : fit.coefficients[j];
  const meanDrag =
    rows.reduce((s, r) => s + r.duration * Math.abs(r.torque - inertia * r.acceleration), 0) / total;
  const found: { fit: Fit; share: number }[] = [];
  for (const name of ['driftCoulomb', 'driftViscous'] as const)
    for (const share of driftTimes) {
      const drift = { from, to, tau: share * (to - from) };
      const terms = [...model.terms, { name, direction: 0 } as const];
      const drifted = fitRows(rows, { ...model, drift, terms }, signals);
      if (drifted === undefined || drifted.condition > 300) continue;
      const p = drifted.model.terms.length;
      const excess = drifted.coefficients[p - 1];
      const z = excess / Math.sqrt(drifted.covariance[p * p - 1]);
      const speed = name === 'driftViscous' ? 0.5 * scales.range : 1;
      const change = (-excess * speed) / meanDrag;
      if (Math.abs(z) < studentTQuantile(0.9995, drifted.degreesOfFreedom)) continue;
      if (Math.abs(change) < materialDrift) continue;
      found.push({ fit: drifted, share: change });
    }
  found.sort((a, b) => a.fit.rss - b.fit.rss);
  const [best, ...others] = found;
  if (best === undefined) return undefined;
  // How the drift went is a guess among shapes that fit about as well: what they differ by is part of the uncertainty.
  const rivals = others.filter((o) => o.fit.rss < 1.3 * best.fit.rss);
  return {
    ...best,
    fit: withSpread(
      best.fit,
      rivals.map((r) => r.fit),
    ),
  };
}

/** The fit with the largest change that a rival fit of the same terms would make added to its covariance. */
function withSpread(fit: Fit, rivals: readonly Fit[]): Fit {
  const p = fit.coefficients.length;
  const covariance = Float64Array.from(fit.covariance);
  const changes = rivals.map((r) => r.coefficients.map((c, i) => c - fit.coefficients[i]));
  for (let i = 0; i < p; i++)
    for (let j = 0; j < p; j++) {
      const products = changes.map((d) => d[i] * d[j]);
      covariance[i * p + j] += products.reduce((s, x) => (Math.abs(x) > Math.abs(s) ? x : s), 0);
    }
  return { ...fit, covariance };
}
