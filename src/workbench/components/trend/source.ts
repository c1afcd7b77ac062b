import { getBuckets } from '../../api/client.js';
import type { TrendChannel } from './channels.js';
import { grain, type Held, heldOf, isFine, type TimeWindow } from './held.js';
import { clamped } from './window.js';

/** Buckets of a whole recording, always held: what is drawn while anything finer is on its way. */
const overviewBuckets = 2000;
/** Most that the server gives at once. */
const mostBuckets = 20_000;
/** Stretches held of a channel besides the whole. */
const mostHeld = 12;

/**
 * What is held of a recording for drawing, and what is still to be asked for. Whoever draws says which window it shows; what that needs is asked
 * for with as much again on either side, so that panning finds it there.
 */
export class TrendSource {
  private readonly held = new Map<string, Held[]>();
  private readonly asked = new Set<string>();
  private readonly abort = new AbortController();
  private running = 0;
  private wanted: (() => void) | undefined;
  private isBroken = false;

  /** @param tell called when something has come; with the error when it could not */
  constructor(
    private readonly name: string,
    private readonly whole: TimeWindow,
    private readonly tell: (error?: unknown) => void,
  ) {}

  of({ key }: TrendChannel): readonly Held[] {
    return this.held.get(key) ?? [];
  }

  /** Is all that a window shows there as finely as the screen shows it? */
  isComplete(channels: readonly TrendChannel[], window: TimeWindow, perPixel: number): boolean {
    return channels.every((c) => isFine(this.of(c), shifted(window, c), perPixel));
  }

  /** Asks for what a window lacks. May be called at every frame. */
  want(channels: readonly TrendChannel[], window: TimeWindow, perPixel: number): void {
    if (this.isBroken) return;
    for (const channel of channels) if (this.of(channel).length === 0) this.askOverview(channel);
    // finer ones one batch after the other: while a pan goes on, only the last window counts
    this.wanted = (): void => {
      for (const channel of channels) this.askFiner(channel, window, perPixel);
    };
    if (this.running === 0) this.begin();
  }

  /** Asks again after it could not. */
  retry(): void {
    this.isBroken = false;
    this.tell();
  }

  close(): void {
    this.abort.abort();
    this.wanted = undefined;
  }

  private begin(): void {
    const wanted = this.wanted;
    this.wanted = undefined;
    wanted?.();
  }

  private askOverview(channel: TrendChannel): void {
    if (this.asked.has(channel.key)) return;
    this.asked.add(channel.key);
    void this.ask(channel, this.whole, overviewBuckets);
  }

  private askFiner(channel: TrendChannel, shown: TimeWindow, perPixel: number): void {
    const held = this.of(channel);
    if (held.length === 0) return;
    const window = shifted(shown, channel);
    const near = this.inside(window, 0.25);
    if (isFine(held, near, perPixel)) return;
    const far = this.inside(window, 1);
    const buckets = Math.ceil((far.to - far.from) / perPixel);
    this.running++;
    void this.ask(channel, far, Math.min(mostBuckets, Math.max(64, buckets))).finally(() => {
      this.running--;
      if (this.running === 0) this.begin();
    });
  }

  /** A window with a part of its length more on either side, within the recording. */
  private inside({ from, to }: TimeWindow, more: number): TimeWindow {
    const by = more * (to - from);
    const start = Math.max(this.whole.from, from - by);
    return clamped({ from: start, to: Math.min(this.whole.to, to + by) }, this.whole, 0);
  }

  private async ask(channel: TrendChannel, window: TimeWindow, buckets: number): Promise<void> {
    try {
      const answer = await getBuckets(
        `/api/recordings/${encodeURIComponent(this.name)}/trace?${new URLSearchParams({
          channel: channel.key,
          from: String(window.from),
          to: String(window.to),
          buckets: String(buckets),
        }).toString()}`,
        this.abort.signal,
      );
      this.keep(channel, heldOf(window, answer, buckets, channel.factor));
      this.tell();
    } catch (error) {
      this.asked.delete(channel.key);
      if (this.abort.signal.aborted) return;
      this.isBroken = true;
      this.tell(error);
    }
  }

  private keep({ key }: TrendChannel, now: Held): void {
    const before = this.held.get(key) ?? [];
    const isOverview = (h: Held): boolean => h.from === this.whole.from && h.to === this.whole.to;
    const rest = before.filter(
      (h) => isOverview(h) || !(h.from >= now.from && h.to <= now.to && grain(h) >= grain(now)),
    );
    const overview = rest.filter(isOverview);
    const finer = rest.filter((h) => !isOverview(h));
    this.held.set(key, [...overview, ...finer.slice(-(mostHeld - 1)), now]);
  }
}

/** A channel that comes late is drawn earlier: what is drawn at t was recorded at t + delay. */
export const shifted = ({ from, to }: TimeWindow, { delay = 0 }: TrendChannel): TimeWindow => ({
  from: from + delay,
  to: to + delay,
});
