import type { PeakAndRms, PlayedFeedForward, PlayedKind, PlayedPair } from '../feedforward/playTypes.js';
import type { Finding, Verdict } from '../findings.js';
import { bucketsOf, cellsOf } from '../recording/pyramid.js';
import type { Source } from '../recording/recording.js';
import { plain, tidy } from './plain.js';

export interface PeakAndRmsDocument {
  readonly peak_Nm: number;
  readonly rms_Nm: number;
  /** As web force at the roller surface; absent without a roller diameter. */
  readonly peak_N?: number;
  readonly rms_N?: number;
}

export interface PlayedPairDocument {
  readonly without: PeakAndRmsDocument;
  readonly with: PeakAndRmsDocument;
}

export interface PlayedStretchDocument extends PlayedPairDocument {
  readonly kind: PlayedKind;
  readonly from_s: number;
  readonly to_s: number;
}

/** Least and greatest values, bucket by bucket; null where there is none. */
export interface PlayedTraceDocument {
  /** Where each bucket begins. */
  readonly time_s: readonly number[];
  readonly speed_rad_per_s: RangesDocument;
  readonly without_Nm: RangesDocument;
  readonly with_Nm: RangesDocument;
}

export interface RangesDocument {
  readonly min: readonly (number | null)[];
  readonly max: readonly (number | null)[];
}

/** `tautline/feedforward-play@1`: what the web would have felt in a recording. Torques at the motor, forces at the roller surface. */
export interface PlayedDocument {
  readonly schema: 'tautline/feedforward-play@1';
  readonly name: string;
  readonly verdict: Verdict;
  readonly findings: readonly Finding[];
  readonly recording: Source;
  /** Web force per torque at the motor, gear ratio over roller radius. */
  readonly forcePerTorque_per_m?: number;
  readonly average_s: number;
  readonly delay_s: number;
  readonly offsetRemoved_Nm: number;
  readonly noise_Nm: number;
  readonly noise_N?: number;
  readonly beyondTable_s: number;
  readonly from_s?: number;
  readonly to_s?: number;
  readonly summary: readonly (PlayedPairDocument & {
    readonly kind: PlayedKind;
    readonly count: number;
    readonly duration_s: number;
  })[];
  readonly stretches: readonly PlayedStretchDocument[];
  /** Only where it was asked for. */
  readonly trace?: PlayedTraceDocument;
}

/** Which part of the traces a document holds. */
export interface PlayedTraceOptions {
  readonly from?: number;
  readonly to?: number;
  /** Largest number of buckets; without it there is no trace. */
  readonly buckets?: number;
}

/** The document of a played recording. A bucket holds the range of every value in it, so no peak is lost. */
export function toPlayedDocument(
  name: string,
  source: Source,
  played: PlayedFeedForward,
  options: PlayedTraceOptions = {},
): PlayedDocument {
  const perTorque = played.forcePerTorque;
  const amount = ({ peak, rms }: PeakAndRms): PeakAndRmsDocument => ({
    peak_Nm: tidy(peak),
    rms_Nm: tidy(rms),
    ...(perTorque !== undefined && { peak_N: tidy(peak * perTorque), rms_N: tidy(rms * perTorque) }),
  });
  const pair = (p: PlayedPair): PlayedPairDocument => ({ without: amount(p.without), with: amount(p.with) });
  const { time } = played;
  return plain({
    schema: 'tautline/feedforward-play@1',
    name,
    verdict: played.verdict,
    findings: played.findings,
    recording: source,
    ...(perTorque !== undefined && { forcePerTorque_per_m: tidy(perTorque) }),
    average_s: tidy(played.average),
    delay_s: tidy(played.delay),
    offsetRemoved_Nm: tidy(played.offset),
    noise_Nm: tidy(played.noise),
    ...(perTorque !== undefined && { noise_N: tidy(played.noise * perTorque) }),
    beyondTable_s: tidy(played.beyondTable),
    ...(time.length > 0 && { from_s: time[0], to_s: time[time.length - 1] }),
    summary: played.summary.map((s) => ({
      kind: s.kind,
      count: s.count,
      duration_s: tidy(s.duration),
      ...pair(s),
    })),
    stretches: played.stretches.map((s) => ({ kind: s.kind, from_s: s.from, to_s: s.to, ...pair(s) })),
    ...(options.buckets !== undefined &&
      time.length > 0 && { trace: traceOut(played, { ...options, buckets: options.buckets }) }),
  });
}

function traceOut(
  played: PlayedFeedForward,
  { from, to, buckets }: PlayedTraceOptions & { readonly buckets: number },
): PlayedTraceDocument {
  const { time } = played;
  // one value on either side, so that a line runs to the edges of the plot
  const first = from === undefined ? 0 : Math.max(0, time.findIndex((t) => t >= from) - 1);
  const after = to === undefined ? -1 : time.findIndex((t) => t > to);
  const past = after < 0 ? time.length : after + 1;
  const starts = time.subarray(first, past);
  const ranges = (values: Float64Array): { starts: number[]; ranges: RangesDocument } => {
    const flat = bucketsOf(starts, cellsOf(values.subarray(first, past)), buckets);
    const column = (k: number): (number | null)[] =>
      Array.from({ length: flat.length / 3 }, (_, b) => {
        const v = flat[3 * b + k];
        return Number.isFinite(v) ? Number(v.toPrecision(6)) : null;
      });
    return {
      starts: Array.from({ length: flat.length / 3 }, (_, b) => flat[3 * b]),
      ranges: { min: column(1), max: column(2) },
    };
  };
  const speed = ranges(played.speed);
  return {
    time_s: speed.starts,
    speed_rad_per_s: speed.ranges,
    without_Nm: ranges(played.without).ranges,
    with_Nm: ranges(played.with).ranges,
  };
}
