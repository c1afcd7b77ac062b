import type { DriveSignals } from '../identify/signals.js';
import type { Stretch } from '../identify/stretch.js';
import type { PeakAndRms, PlayedKind, PlayedStretch, PlayedSummary } from './playTypes.js';
import { playedKinds } from './playTypes.js';
import type { BreakawayAssist } from './types.js';

/** A stretch of time and what it is [s]. */
export interface PlayedSpan {
  readonly kind: PlayedKind;
  readonly from: number;
  readonly to: number;
}

/** A start counts for so long where no assist says how long it lasts [s]. */
const usualStart = 1;

interface Values {
  readonly time: Float64Array;
  readonly without: Float64Array;
  readonly with: Float64Array;
}

/**
 * Stretches in which the roller moves, by time [s]: a start from one window before the rest ends until the assist has faded, at the next
 * rest at the latest; then steady running, running out with the drive off, and all else as change of speed. Not a relation [1].
 * Source: docs/models/feedforward.md.
 */
export function kindsOf(
  stretches: readonly Stretch[],
  { time, enabled }: Pick<DriveSignals, 'time' | 'enabled'>,
  average: number,
  assist: BreakawayAssist | undefined,
): PlayedSpan[] {
  const spans: PlayedSpan[] = [];
  const add = (kind: PlayedKind, from: number, to: number): void => {
    const last = spans.at(-1);
    // pieces of one change of speed are one stretch, two speeds are not; what is shorter than a window belongs to what was before
    const isOne = (last?.kind === kind && kind === 'ramp') || to - from < average;
    if (last !== undefined && last.to >= from && isOne) spans[spans.length - 1] = { ...last, to };
    else if (to > from) spans.push({ kind, from, to });
  };
  let startUntil = Number.NEGATIVE_INFINITY;
  for (const [k, s] of stretches.entries()) {
    const from = time[s.start];
    const to = time[Math.min(s.end, time.length - 1)];
    if (s.kind === 'rest' || Number.isNaN(s.level)) {
      startUntil = Number.NEGATIVE_INFINITY;
      continue;
    }
    const before = stretches[k - 1];
    if (before?.kind === 'rest') {
      startUntil = from + (assist?.fadeTime ?? usualStart);
      spans.push({ kind: 'start', from: Math.max(time[before.start], from - average), to: from });
    }
    const last = spans.at(-1);
    if (startUntil > from && last?.kind === 'start')
      spans[spans.length - 1] = { ...last, to: Math.min(to, startUntil) };
    if (to > startUntil) add(kindOf(s, enabled), Math.max(from, startUntil), to);
  }
  return spans;
}

function kindOf({ kind, start, end }: Stretch, enabled: Float64Array | undefined): PlayedKind {
  if (kind === 'coast' || enabled?.[(start + end) >> 1] === 0) return 'coast';
  return kind === 'plateau' ? 'running' : 'ramp';
}

/** Peak and root mean square in each span that holds a value [N·m]. Source: definition. */
export function stretchesOf(values: Values, spans: readonly PlayedSpan[]): PlayedStretch[] {
  return spans.flatMap((span) => {
    const pair = pairOf(values, [span]);
    return pair === undefined ? [] : [{ ...span, ...pair }];
  });
}

/** The same over all spans of a kind [N·m]. Source: definition. */
export function summaryOf(
  values: Values,
  spans: readonly PlayedSpan[],
  found: readonly PlayedStretch[],
): PlayedSummary[] {
  return playedKinds.flatMap((kind) => {
    const pair = pairOf(
      values,
      spans.filter((s) => s.kind === kind),
    );
    const own = found.filter((s) => s.kind === kind);
    if (pair === undefined) return [];
    return [{ kind, count: own.length, duration: own.reduce((sum, s) => sum + s.to - s.from, 0), ...pair }];
  });
}

/** Only where both are known: the two are to be compared. */
function pairOf(
  { time, without, with: left }: Values,
  spans: readonly PlayedSpan[],
): { without: PeakAndRms; with: PeakAndRms } | undefined {
  let n = 0;
  const sums = { without: 0, with: 0 };
  const peaks = { without: 0, with: 0 };
  for (const { from, to } of spans)
    for (let i = firstAt(time, from); i < time.length && time[i] <= to; i++) {
      if (Number.isNaN(without[i]) || Number.isNaN(left[i])) continue;
      n++;
      sums.without += without[i] ** 2;
      sums.with += left[i] ** 2;
      peaks.without = Math.max(peaks.without, Math.abs(without[i]));
      peaks.with = Math.max(peaks.with, Math.abs(left[i]));
    }
  if (n === 0) return undefined;
  return {
    without: { peak: peaks.without, rms: Math.sqrt(sums.without / n) },
    with: { peak: peaks.with, rms: Math.sqrt(sums.with / n) },
  };
}

/** Index of the first time that is not before `at`. */
function firstAt(time: Float64Array, at: number): number {
  let low = 0;
  let high = time.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (time[middle] < at) low = middle + 1;
    else high = middle;
  }
  return low;
}
