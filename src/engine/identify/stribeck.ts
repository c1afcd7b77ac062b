import { studentTQuantile } from '../numerics/distributions.js';
import { variableProjection } from '../numerics/variableProjection.js';
import { designMatrix, type Model, type StribeckPoint } from './equation.js';
import { type Fit, fitRows, termIndex } from './fit.js';
import type { NotEstimated } from './identification.js';
import { type Cutting, type FitContext, observations } from './observations.js';

/** At least this many plateaus must lie below three decay speeds, or the term fits anything (docs/models/drag.md). */
const lowPlateausNeeded = 3;

const refused = (why: string): { refusal: NotEstimated; fit?: undefined } => ({
  refusal: {
    name: 'stribeck',
    why,
    next: 'record at least three plateaus between 0.5 % and 3 % of top speed, each over several revolutions',
  },
});

/**
 * Tries a drag excess at low speed, by variable projection, with both exponents: everything but the decay speed is
 * linear at each decay speed. Refused, with the reason, when low plateaus are missing or the excess is not told from noise.
 */
export function fitStribeck(
  context: FitContext,
  base: Fit,
  direction: 1 | -1,
): { fit: Fit; cutting: Cutting; refusal?: undefined } | { refusal: NotEstimated; fit?: undefined } {
  const { signals, torque, stretches, scales, cutting } = context;
  const levels = distinct(
    stretches.filter((s) => s.kind === 'plateau' && s.used).map((s) => Math.abs(s.level)),
  );
  if (lowLevels(levels, 0.12 * scales.range).length < lowPlateausNeeded)
    return refused('fewer than three plateaus lie in the lowest eighth of the speed range');
  const [lowest] = levels;
  const slowest = Math.max(0.4 * lowest, 2 * scales.restSpeed);
  const low = { ...cutting, lowestSpeed: slowest, lowestPlateau: slowest };
  const rows = observations(signals, torque, stretches, scales, low);
  if (rows.length <= base.model.terms.length + 2) return refused('too few windows lie at low speed');
  const [slowestDecay, fastestDecay] = [0.3 * lowest, 0.15 * scales.range];
  const grid = Array.from({ length: 16 }, (_, k) => slowestDecay * (fastestDecay / slowestDecay) ** (k / 15));
  const candidates = ([1, 2] as const).flatMap((exponent) => {
    const modelAt = (speed: number): Model => withStribeck(base.model, { speed, excess: 0, exponent });
    const { parameters } = variableProjection({
      y: Float64Array.from(rows, (r) => r.torque),
      weights: Float64Array.from(rows, (r) => r.duration),
      p: modelAt(lowest).terms.length,
      grid: [grid],
      design: (theta, out) => out.set(designMatrix(rows, modelAt(theta[0]), signals)),
    });
    const fit = fitRows(rows, modelAt(parameters[0]), signals);
    return fit === undefined ? [] : [{ speed: parameters[0], exponent, fit }];
  });
  const [best] = candidates.sort((x, y) => x.fit.rss - y.fit.rss);
  if (best === undefined) return refused('the low plateaus do not tell an excess drag from the rest');
  const j = termIndex(best.fit, 'stribeck', direction);
  const p = best.fit.model.terms.length;
  const excess = best.fit.coefficients[j];
  const z = excess / Math.sqrt(best.fit.covariance[j * p + j]);
  if (lowLevels(levels, 3 * best.speed).length < lowPlateausNeeded)
    return refused(
      `fewer than three plateaus lie below three times the decay speed of ${best.speed.toPrecision(2)} rad/s`,
    );
  if (!(z > studentTQuantile(0.995, best.fit.degreesOfFreedom)))
    return refused('the low plateaus show no drag above the Coulomb level that stands out of the noise');
  const final = fitRows(
    rows,
    linearised(best.fit.model, { speed: best.speed, exponent: best.exponent, excess }),
    signals,
  );
  return final === undefined || final.condition > 1e4
    ? refused('the decay speed cannot be told from the size of the excess')
    : { fit: final, cutting: low };
}

const lowLevels = (levels: readonly number[], below: number): number[] => levels.filter((w) => w < below);

/** Levels that differ by more than 10 % of each other: repeats of one plateau count once. */
function distinct(levels: readonly number[]): number[] {
  const out: number[] = [];
  for (const w of [...levels].sort((a, b) => a - b))
    if (out.length === 0 || w > 1.1 * out[out.length - 1]) out.push(w);
  return out;
}

/** The model with a Stribeck term beside every Coulomb term. */
function withStribeck(model: Model, stribeck: StribeckPoint): Model {
  const terms = model.terms.flatMap((t) =>
    t.name === 'coulomb' ? [t, { name: 'stribeck', direction: t.direction } as const] : [t],
  );
  return { ...model, terms, stribeck };
}

/** The same model with the decay speed as a linearised term, so that its uncertainty enters the covariance. */
function linearised(model: Model, stribeck: StribeckPoint): Model {
  return { ...model, stribeck, terms: [...model.terms, { name: 'stribeckSpeed', direction: 0 }] };
}
