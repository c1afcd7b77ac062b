import type { Lane, TrendChannel } from './channels.js';
import { type Piece, piecesFor, rangeOf, type TimeWindow, valueAt, withRoom } from './held.js';
import { axisWidth, type LanePlot, makeLanePlot, rightRoom } from './lanePlot.js';
import { type Canvas, paintPieces } from './paint.js';
import { shifted, type TrendSource } from './source.js';
import type { TrendStretch } from './stretches.js';
import { clamped, isSame, shortest } from './window.js';

/** What the painter moves in the page, without React: sixty times a second. */
export interface Parts {
  readonly lanes: readonly {
    readonly lane: Lane;
    readonly box: HTMLElement;
    readonly values: readonly HTMLElement[];
  }[];
  readonly cursorLine: HTMLElement;
  readonly brush: HTMLElement;
  readonly strip: ReadonlyMap<string, HTMLElement>;
}

export interface Settings {
  readonly timeAxis: string;
  readonly isFitted: boolean;
  readonly stretches: readonly TrendStretch[];
  readonly lit: string | undefined;
  /** A number and a range of one, as they are shown. */
  readonly number: (value: number) => string;
  readonly localised: (text: string) => string;
}

/** Called when the view has come to rest: with it, and the range that each lane shows of it. */
export type OnRest = (window: TimeWindow, ranges: readonly (readonly [number, number] | undefined)[]) => void;

/** Height of a lane that holds on and off only [px]. */
const switchHeight = 36;
/** A view at rest is told after this [ms]. */
const restAfter = 160;

/** Draws the lanes of a trend: one frame for all of them, from what is held. */
export class TrendPainter {
  private view: TimeWindow;
  private cursor: number | undefined;
  private brushed: TimeWindow | undefined;
  private plots: LanePlot[] = [];
  private ranges: (readonly [number, number] | undefined)[] = [];
  private parts: Parts | undefined;
  private settings: Settings | undefined;
  private width = 0;
  private frame = 0;
  private rest: ReturnType<typeof setTimeout> | undefined;
  private colours = new Map<string, string>();

  constructor(
    readonly source: TrendSource,
    readonly whole: TimeWindow,
    private readonly samples: number,
    start: TimeWindow | undefined,
    private readonly onRest: OnRest,
  ) {
    this.view = clamped(start ?? whole, whole, shortest(whole, samples));
  }

  get window(): TimeWindow {
    return this.view;
  }

  get isWhole(): boolean {
    return isSame(this.view, this.whole);
  }

  /** Length of a pixel. */
  get perPixel(): number {
    return (this.view.to - this.view.from) / Math.max(1, this.width - axisWidth - rightRoom);
  }

  /** Takes over the elements that were rendered, and draws into them. */
  mount(parts: Parts, settings: Settings, width: number, laneHeight: number): void {
    this.unmount();
    this.parts = parts;
    this.settings = settings;
    this.width = width;
    this.plots = parts.lanes.map(({ lane, box }, k) =>
      makeLanePlot(box, {
        width,
        height: lane.isSwitch ? switchHeight : laneHeight,
        axis: laneHeight > 180 ? lane.axis : lane.shortAxis,
        ...(k === parts.lanes.length - 1 && { timeAxis: settings.timeAxis }),
        colour: (token) => this.colour(token),
        number: settings.localised,
        paint: (canvas) => this.paintLane(canvas, lane),
      }),
    );
    this.draw();
  }

  unmount(): void {
    for (const plot of this.plots) plot.destroy();
    this.plots = [];
    this.parts = undefined;
    cancelAnimationFrame(this.frame);
    this.frame = 0;
    clearTimeout(this.rest);
  }

  /** Stretches, fit and the like changed; the lanes did not. */
  set(settings: Settings): void {
    this.settings = settings;
    this.requestDraw();
  }

  resize(width: number): void {
    if (width === this.width) return;
    this.width = width;
    for (const plot of this.plots) plot.resize(width);
    this.requestDraw();
  }

  /** Shows a window, as far as there is one. */
  go(window: TimeWindow): void {
    const next = clamped(window, this.whole, shortest(this.whole, this.samples));
    if (isSame(next, this.view)) return;
    this.view = next;
    this.requestDraw();
  }

  point(t: number | undefined): void {
    this.cursor = t;
    this.requestDraw();
  }

  brush(window: TimeWindow | undefined): void {
    this.brushed = window;
    this.requestDraw();
  }

  /** Time under a place of the page. */
  timeAt(fromLeft: number): number {
    return this.view.from + (fromLeft - axisWidth) * this.perPixel;
  }

  /** Colours changed. */
  recolour(): void {
    this.colours.clear();
    this.requestDraw();
  }

  requestDraw(): void {
    if (this.frame === 0 && this.parts !== undefined) this.frame = requestAnimationFrame(() => this.draw());
  }

  private draw(): void {
    this.frame = 0;
    const { parts, settings } = this;
    if (parts === undefined || settings === undefined) return;
    const channels = parts.lanes.flatMap(({ lane }) => lane.channels);
    this.source.want(channels, this.view, this.perPixel);
    this.ranges = parts.lanes.map(({ lane }) => this.rangeIn(lane, this.view));
    for (const [k, { lane }] of parts.lanes.entries()) {
      const shown = settings.isFitted ? this.ranges[k] : this.rangeIn(lane, this.whole);
      this.plots[k]?.show(this.view, withRoom(shown, !settings.isFitted));
    }
    this.placeMarks(parts);
    this.readOut(parts, settings);
    clearTimeout(this.rest);
    this.rest = setTimeout(() => this.onRest(this.view, this.ranges), restAfter);
  }

  private pieces(channel: TrendChannel, window: TimeWindow): Piece[] {
    return piecesFor(this.source.of(channel), shifted(window, channel), this.perPixel);
  }

  /** Range of a lane in its shown unit. */
  private rangeIn(lane: Lane, window: TimeWindow): readonly [number, number] | undefined {
    // the whole is read from the coarsest: its ranges are as true as the finest
    const perPixel = isSame(window, this.whole) ? (window.to - window.from) / 500 : this.perPixel;
    let out: [number, number] | undefined;
    for (const channel of lane.channels) {
      const range = rangeOf(piecesFor(this.source.of(channel), shifted(window, channel), perPixel));
      if (range) out = out ? [Math.min(out[0], range[0]), Math.max(out[1], range[1])] : [range[0], range[1]];
    }
    return out && [out[0] * lane.scale, out[1] * lane.scale];
  }

  private paintLane(canvas: Canvas, lane: Lane): void {
    for (const stretch of this.settings?.stretches ?? []) this.paintStretch(canvas, stretch);
    // references below what was measured
    const order = [...lane.channels].sort((a, b) => Number(b.isReference) - Number(a.isReference));
    for (const channel of order) {
      const delay = channel.delay ?? 0;
      paintPieces(
        {
          ...canvas,
          x: (t) => canvas.x(t - delay),
          y: (v) => canvas.y(v * lane.scale),
        },
        this.pieces(channel, this.view),
        { colour: this.colour(signalToken[channel.signal]), isReference: channel.isReference },
      );
    }
  }

  private paintStretch({ context, x, top, height }: Canvas, s: TrendStretch): void {
    if (s.to < this.view.from || s.from > this.view.to) return;
    const isLit = s.isSelected === true || s.id === this.settings?.lit;
    if (s.isHatched === true && !isLit) return;
    context.save();
    context.globalAlpha = isLit ? 0.34 : 0.13;
    context.fillStyle = this.colour(toneToken(s.tone));
    context.fillRect(x(s.from), top, Math.max(1, x(s.to) - x(s.from)), height);
    context.restore();
  }

  private placeMarks({ strip, brush, cursorLine }: Parts): void {
    const across = (t: number): number => (t - this.view.from) / this.perPixel;
    const room = this.width - axisWidth - rightRoom;
    const place = (element: HTMLElement, from: number, to: number): void => {
      const [a, b] = [Math.max(0, across(from)), Math.min(room, across(to))];
      element.style.display = b > a || from === to ? '' : 'none';
      element.style.left = `${a}px`;
      element.style.width = `${Math.max(1, b - a)}px`;
    };
    for (const s of this.settings?.stretches ?? []) {
      const element = strip.get(s.id);
      if (element) place(element, s.from, s.to);
    }
    brush.hidden = this.brushed === undefined;
    if (this.brushed) place(brush, this.brushed.from, this.brushed.to);
    const isIn = this.cursor !== undefined && this.cursor >= this.view.from && this.cursor <= this.view.to;
    cursorLine.hidden = !isIn;
    if (isIn) cursorLine.style.transform = `translateX(${across(this.cursor as number)}px)`;
  }

  private readOut({ lanes }: Parts, settings: Settings): void {
    for (const { lane, values } of lanes)
      for (const [k, channel] of lane.channels.entries()) {
        const element = values[k];
        if (element) element.textContent = this.valueText(channel, lane, settings);
      }
  }

  private valueText(channel: TrendChannel, lane: Lane, { number }: Settings): string {
    if (this.cursor === undefined) return '';
    const value = valueAt(this.source.of(channel), this.cursor + (channel.delay ?? 0), this.perPixel);
    if (value === undefined) return '–';
    const [low, high] = value.map((v) => number(v * lane.scale)) as [string, string];
    return `${low === high ? low : `${low} to ${high}`}${lane.unit === '' ? '' : ` ${lane.unit}`}`;
  }

  /** What all channels are at a time, in words. */
  wordsAt(t: number): string {
    const { parts, settings } = this;
    if (parts === undefined || settings === undefined) return '';
    this.cursor = t;
    return parts.lanes
      .flatMap(({ lane }) => lane.channels.map((c) => `${c.label} ${this.valueText(c, lane, settings)}`))
      .join(', ');
  }

  /** What the view shows of a lane, for figures and tables: [start, min, max] triples of each channel, in the shown unit. */
  shown(
    lane: Lane,
  ): { readonly channel: TrendChannel; readonly rows: readonly (readonly [number, number, number])[] }[] {
    return lane.channels.map((channel) => {
      const rows: [number, number, number][] = [];
      const delay = channel.delay ?? 0;
      for (const { held, from, to } of this.pieces(channel, this.view))
        for (let i = 0; i < held.buckets.length; i += 3) {
          const [t, low, high] = held.buckets.subarray(i, i + 3) as unknown as [number, number, number];
          if (t >= from && t <= to) rows.push([t - delay, low * lane.scale, high * lane.scale]);
        }
      return { channel, rows };
    });
  }

  private colour(token: string): string {
    const known = this.colours.get(token);
    if (known !== undefined) return known;
    const colour = getComputedStyle(document.documentElement).getPropertyValue(token).trim() || '#888';
    this.colours.set(token, colour);
    return colour;
  }
}

const signalToken = {
  speed: '--speed',
  torque: '--torque',
  tension: '--tension',
  neutral: '--ink-soft',
} as const;

const toneToken = (tone: TrendStretch['tone']): string =>
  tone === 'note' ? '--selected' : tone === 'excluded' ? '--rest' : `--${tone}`;
