import type { Drive } from '../line/drive.js';
import type { DriveSignals } from './signals.js';
import type { Scales, Stretch } from './stretch.js';
import { type WindowRow, type WindowSource, windowRows } from './windows.js';

/** How the stretches are cut into windows. Varying it shows how much an estimate depends on it. */
export interface Cutting {
  /** Time cut off at both ends of a stretch [s], so that corners and what is late there stay out. */
  readonly trim: number;
  /** Windows a stretch, as a share of the usual number. */
  readonly fineness: number;
  /** Windows of ramps and coast-downs with a slower part than this are left out [rad/s]. */
  readonly lowestSpeed: number;
  /** Plateaus slower than this are left out [rad/s]. A ramp passes low speed in no time; a plateau dwells there. */
  readonly lowestPlateau: number;
}

/** What a fit starts from: samples with delays corrected, the stretches and the scales. */
export interface FitContext {
  readonly signals: DriveSignals;
  /** Motor torque [N·m], delay corrected. */
  readonly torque: Float64Array | undefined;
  readonly stretches: readonly Stretch[];
  readonly drive: Drive;
  readonly scales: Scales;
  readonly cutting: Cutting;
}

const mostRampWindows = 10;
const mostPlateauWindows = 8;
const mostCoastWindows = 16;
/** Noise of a window's acceleration may be this share of the ramp's: noise in a regressor pulls the inertia down by its square. */
const accelerationNoise = 0.015;

/** Number of windows into which a ramp of n samples may be cut before noise in its acceleration matters. */
function rampWindows(n: number, slope: number, noise: number, interval: number): number {
  let count = Math.min(mostRampWindows, Math.floor(n / 6));
  while (count > 1) {
    const m = n / count;
    // Slope of m samples by least squares: sd = noise·√12/(interval·m^1.5).
    const sd = (noise * Math.sqrt(12)) / (interval * m ** 1.5);
    if (sd <= accelerationNoise * Math.abs(slope)) break;
    count--;
  }
  return Math.max(1, count);
}

/** A ramp of fewer samples than this is taken whole. */
const wholeRampSamples = 16;

/**
 * A ramp too short to be trimmed and cut: one window from plateau to plateau. Symmetric about the ramp, so what is late
 * at one corner is made up at the other. Undefined where it starts or ends at rest.
 */
function wholeRamp(stretches: readonly Stretch[], index: number): WindowSource | undefined {
  const { start, end } = stretches[index];
  const before = stretches[index - 1];
  const after = stretches[index + 1];
  const pad = Math.max(3, Math.ceil((end - start) / 2));
  if (before?.kind !== 'plateau' || after?.kind !== 'plateau') return undefined;
  if (before.end - before.start < pad || after.end - after.start < pad) return undefined;
  return { start: start - pad, end: end + pad, stretch: index, coasting: false, count: 1 };
}

function sourceOf(
  stretches: readonly Stretch[],
  index: number,
  signals: DriveSignals,
  scales: Scales,
  cutting: Cutting,
): WindowSource | undefined {
  const stretch = stretches[index];
  const { interval } = signals;
  if (stretch.kind === 'ramp' && stretch.end - stretch.start < wholeRampSamples)
    return wholeRamp(stretches, index);
  const all = stretch.end - stretch.start;
  const trim = Math.min(Math.floor(all / 4), Math.ceil(cutting.trim / interval));
  const start = stretch.start + trim;
  const end = stretch.end - trim;
  const n = end - start;
  const usual =
    stretch.kind === 'ramp'
      ? rampWindows(n, stretch.slope, scales.speedNoise, interval)
      : Math.min(stretch.kind === 'coast' ? mostCoastWindows : mostPlateauWindows, Math.floor(n / 10));
  const count = Math.max(1, Math.round(usual * cutting.fineness));
  return { start, end, stretch: index, coasting: stretch.kind === 'coast', count };
}

/** The windows of every used plateau, ramp and coast-down. */
export function observations(
  signals: DriveSignals,
  torque: Float64Array | undefined,
  stretches: readonly Stretch[],
  scales: Scales,
  cutting: Cutting,
): WindowRow[] {
  const sources: WindowSource[] = [];
  stretches.forEach((stretch, index) => {
    if (!stretch.used || (torque === undefined && stretch.kind !== 'coast')) return;
    if (stretch.kind === 'plateau' && Math.abs(stretch.level) < cutting.lowestPlateau) return;
    if (stretch.kind !== 'plateau' && stretch.kind !== 'ramp' && stretch.kind !== 'coast') return;
    const source = sourceOf(stretches, index, signals, scales, cutting);
    if (source !== undefined) sources.push(source);
  });
  return windowRows(signals, torque, sources, cutting.lowestSpeed);
}
