import type { Samples } from './decimate.js';

/**
 * A figure as plain data. Its words keep their meaning in every figure (docs/conventions.md): a trace or points are
 * measured, a line is a model, dashed is a reference, dotted is beyond what was measured, a band is uncertainty, hollow
 * is as found, filled as left, grey hatching is a limit. Colour names the signal.
 */
export interface Figure {
  /** Unique in its document; letters, digits, hyphens. */
  readonly id: string;
  /** What it shows, in one line, and what a reader who cannot see it should know. */
  readonly title: string;
  readonly description: string;
  readonly x: Axis;
  /** In drawing units; 760 when left out. Text keeps its size, so a wider figure holds more. */
  readonly width?: number;
  /** A second scale along the top: its value is `scale` times the value on x. */
  readonly top?: { readonly label: string; readonly scale: number };
  /** Stretches along x, drawn behind all panels and as a strip above them; they must not overlap. */
  readonly spans?: readonly Span[];
  /** One above the other, sharing x. */
  readonly panels: readonly Panel[];
}

export interface Axis {
  /** Quantity, symbol and unit. */
  readonly label: string;
  /** Values the axis must show besides the data (0 where it matters). */
  readonly include?: readonly number[];
  /** Fixed ends (y only), where a few far values would press the rest flat; the caption must say what lies outside. */
  readonly range?: readonly [number, number];
  /** y only: equal ratios are equally far apart. Values that are not positive lie below it. */
  readonly isLogarithmic?: boolean;
}

export interface Panel {
  readonly y: Axis;
  /** Height of the plotting area in drawing units. */
  readonly height: number;
  readonly marks: readonly Mark[];
}

export type Signal = 'speed' | 'torque' | 'tension' | 'neutral' | 'abnormal';

interface MarkBase {
  readonly signal: Signal;
  /** Text in the legend; marks without one are left out of it. */
  readonly label?: string;
}

/** Many measured samples over increasing x. */
export interface TraceMark extends MarkBase {
  readonly kind: 'trace';
  readonly x: Samples;
  readonly y: Samples;
}

/** Many measured samples in no order: one faint dot each, samples that fall on the same spot drawn once. */
export interface CloudMark extends MarkBase {
  readonly kind: 'cloud';
  readonly x: Samples;
  readonly y: Samples;
}

/** A few measured values, each with its 95 % half width where known. */
export interface PointsMark extends MarkBase {
  readonly kind: 'points';
  readonly x: Samples;
  readonly y: Samples;
  readonly halfWidth?: Samples;
  readonly fill: 'hollow' | 'filled';
  readonly shape: 'circle' | 'square' | 'triangle';
}

export interface LineMark extends MarkBase {
  readonly kind: 'line';
  readonly x: Samples;
  readonly y: Samples;
  /** A second reference is dash-dotted, a third dashed with two dots. */
  readonly meaning: 'model' | 'reference' | 'second-reference' | 'third-reference' | 'extrapolated';
}

export interface BandMark extends MarkBase {
  readonly kind: 'band';
  readonly x: Samples;
  readonly low: Samples;
  readonly high: Samples;
}

/** A range of y that must not be entered; an end may be infinite. It does not stretch the axis. */
export interface LimitMark {
  readonly kind: 'limit';
  readonly from: number;
  readonly to: number;
  readonly label?: string;
}

export type Mark = TraceMark | CloudMark | PointsMark | LineMark | BandMark | LimitMark;

const spanTones = ['plateau', 'ramp', 'coast', 'breakaway', 'rest', 'excluded'] as const;
export type SpanTone = (typeof spanTones)[number];

export interface Span {
  readonly from: number;
  readonly to: number;
  readonly tone: SpanTone;
  /** True: hatched in the strip and without a tint, since nothing rests on it. */
  readonly isHatched: boolean;
  /** One or two characters for the strip. */
  readonly letter: string;
  /** Text in the legend, the same for every span of a tone. */
  readonly label: string;
  /** Shown on pointing at it. */
  readonly title: string;
}
