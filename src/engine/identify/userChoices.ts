import { TautlineError } from '../errors.js';
import type { DriveSignals } from './signals.js';
import { lineThrough, type Scales, type Stretch } from './stretch.js';
import { classify, fewestPlateauSamples, overlay } from './stretches.js';

/** From and to [s] on the recording's own time axis. */
export type TimeRange = readonly [number, number];

/** Index of the first sample that is past a time; the number of samples when none is. */
function firstPast(time: Float64Array, isPast: (t: number) => boolean): number {
  let low = 0;
  let high = time.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (isPast(time[middle])) high = middle;
    else low = middle + 1;
  }
  return low;
}

/** Samples [start, end) whose time lies in a range; empty when none does. */
const samplesIn = (time: Float64Array, [from, to]: TimeRange): { start: number; end: number } => ({
  start: firstPast(time, (t) => t >= from),
  end: firstPast(time, (t) => t > to),
});

function checkRange([from, to]: TimeRange): void {
  if (from < to && Number.isFinite(from) && Number.isFinite(to)) return;
  throw new TautlineError(
    'argument_invalid',
    { from_s: from, to_s: to },
    `${from} s to ${to} s is no stretch of time`,
    'state the earlier time first',
  );
}

/**
 * The stretches with what the user decided: parts taken out are never used, parts taken in are used as the plateau or ramp that their speed is,
 * where they hold enough samples and move at all. Where both are stated, out wins. Times [s].
 * Not a relation [1]. Source: definition. @throws TautlineError argument_invalid
 */
export function withUserChoices(
  stretches: readonly Stretch[],
  signals: DriveSignals,
  scales: Scales,
  { exclude = [], include = [] }: { exclude?: readonly TimeRange[]; include?: readonly TimeRange[] },
): Stretch[] {
  for (const range of [...exclude, ...include]) checkRange(range);
  let out = [...stretches];
  for (const range of include) {
    const wanted = samplesIn(signals.time, range);
    for (const s of out.filter((x) => x.kind === 'excluded' && !Number.isNaN(x.level))) {
      const taken = takenIn(signals, scales, Math.max(s.start, wanted.start), Math.min(s.end, wanted.end));
      if (taken !== undefined) out = overlay(out, taken);
    }
  }
  for (const range of exclude) {
    const { start, end } = samplesIn(signals.time, range);
    if (end <= start) continue;
    const line = lineThrough(signals, start, end);
    out = overlay(out, { kind: 'excluded', start, end, ...line, used: false, why: 'taken out by the user' });
  }
  return out;
}

function takenIn(signals: DriveSignals, scales: Scales, start: number, end: number): Stretch | undefined {
  if (end - start < fewestPlateauSamples) return undefined;
  const { level, slope } = lineThrough(signals, start, end);
  const piece = { start, end, level, slope, from: signals.time[start], to: signals.time[end - 1], rms: 0 };
  const found = classify(piece, scales);
  if (found.kind === 'rest' || Number.isNaN(level)) return undefined;
  // between the shares of a plateau and a ramp it is a slow ramp: the equation of motion holds for both
  const kind = found.kind === 'plateau' ? 'plateau' : 'ramp';
  return { ...found, kind, used: true, why: `taken in by the user; ${found.why}` };
}
