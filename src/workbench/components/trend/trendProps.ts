import type { TimeWindow } from './held.js';
import type { TrendStretch } from './stretches.js';

export interface TrendProps {
  /** Name by which the server knows the recording. */
  readonly recording: string;
  /** Channels to show, by role or header (`TrendChannel.key`); left out: those with a role. Unknown ones are passed over. */
  readonly channels?: readonly string[];
  /** Delay of a channel by its key [s]: it is drawn earlier by so much, and says so. */
  readonly delays?: Readonly<Record<string, number>>;
  /** The window shown; undefined is the whole recording. Use `useTrendAddress()` to keep it in the address. */
  readonly window?: TimeWindow | undefined;
  /** The window came to rest at another one; undefined is the whole recording. Not called while it moves. */
  readonly onWindow?: (window: TimeWindow | undefined) => void;
  /** Coloured stretches, in order of time; they may overlap. Keep the array the same while it does not change. */
  readonly stretches?: readonly TrendStretch[];
  /** The stretch that is lit, by pointing at it here or at its point elsewhere. */
  readonly lit?: string | undefined;
  readonly onLight?: (id: string | undefined) => void;
  /** A stretch was clicked, or Enter pressed on it. */
  readonly onPick?: (id: string) => void;
  /** A stretch was marked: Shift and drag, the button "Mark a stretch", or M at its two ends. Left out: nothing can be marked. */
  readonly onMark?: (stretch: TimeWindow) => void;
  /** What the button says: "Mark a stretch". */
  readonly markWords?: string;
  /** The time cursor, where another plot shares it. Left out, the trend keeps its own. */
  readonly cursor?: number | undefined;
  readonly onCursor?: (t: number | undefined) => void;
  /** Height of the plotting area of one lane [px]; 104 where there are several. */
  readonly laneHeight?: number;
}
