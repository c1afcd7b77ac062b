import type { SpanTone } from '../../../engine/report/svg/figure.js';

/** A stretch of a recording that means something: what the identification took it for, or what a person noted. */
export interface TrendStretch {
  readonly id: string;
  /** On the time axis of the recording. */
  readonly from: number;
  readonly to: number;
  readonly tone: SpanTone | 'note';
  /** Nothing rests on it: hatched, without a tint. */
  readonly isHatched?: boolean;
  /** One or two characters, shown where there is room. */
  readonly letter: string;
  /** What it is and why, in one line: shown on pointing at it and read out. */
  readonly title: string;
  readonly isSelected?: boolean;
}
