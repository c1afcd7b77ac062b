import uPlot from 'uplot';
import { niceTicks, tickLabels } from '../../../engine/report/svg/scale.js';
import type { TimeWindow } from './held.js';
import type { Canvas } from './paint.js';

/** Room left of the plotting area, the same in all lanes so that their times stand above each other [px]. */
export const axisWidth = 68;
export const rightRoom = 14;
const timeAxisHeight = 44;
const labelRoom = 18;

export interface LaneOptions {
  readonly width: number;
  readonly height: number;
  readonly axis: string;
  /** Label of the time axis, of the lowest lane only. */
  readonly timeAxis?: string;
  readonly colour: (token: string) => string;
  readonly number: (text: string) => string;
  /** Draws what the lane holds. */
  readonly paint: (canvas: Canvas) => void;
}

export interface LanePlot {
  show(window: TimeWindow, range: readonly [number, number]): void;
  resize(width: number): void;
  destroy(): void;
}

/** A lane: axes, grid and canvas by uPlot; what is between them is drawn by `paint`. */
export function makeLanePlot(box: HTMLElement, options: LaneOptions): LanePlot {
  const { colour, number } = options;
  const font = '12px system-ui, sans-serif';
  const labelFont = '600 12px system-ui, sans-serif';
  const axis = (room: number): uPlot.Axis => ({
    font,
    labelFont,
    stroke: () => colour('--ink-soft'),
    grid: { stroke: () => colour('--rule-faint'), width: 1 },
    ticks: { stroke: () => colour('--rule'), width: 1, size: 5 },
    splits: (u, _k, min, max) =>
      niceTicks(
        min,
        max,
        Math.max(
          options.height < 60 ? 1 : 2,
          Math.round(
            (room === 0 ? u.bbox.width : u.bbox.height) / (room === 0 ? 110 : 38) / devicePixelRatio,
          ),
        ),
      ),
    values: (_u, splits) => tickLabels(splits).map(number),
  });
  const hasTime = options.timeAxis !== undefined;
  const plot = new uPlot(
    {
      width: options.width,
      height: options.height + (hasTime ? timeAxisHeight : 0),
      padding: [6, rightRoom, hasTime ? 0 : 4, 0],
      pxAlign: 1,
      cursor: { show: false },
      legend: { show: false },
      scales: { x: { time: false, auto: false }, y: { auto: false } },
      series: [{}, { show: true, points: { show: false }, paths: () => null }],
      axes: [
        {
          ...axis(0),
          size: hasTime ? timeAxisHeight - labelRoom : 0,
          ...(hasTime && { label: options.timeAxis, labelSize: labelRoom }),
          ...(!hasTime && { ticks: { show: false }, values: (_u, splits) => splits.map(() => '') }),
        } as uPlot.Axis,
        { ...axis(1), size: axisWidth - labelRoom, label: options.axis, labelSize: labelRoom },
      ],
      hooks: {
        draw: [
          (u) => {
            const { left, top, width, height } = u.bbox;
            const x = u.scales.x as uPlot.Scale;
            const y = u.scales.y as uPlot.Scale;
            const [x0, y0] = [x.min ?? 0, y.min ?? 0];
            const kx = width / ((x.max ?? 1) - x0);
            const ky = height / ((y.max ?? 1) - y0);
            u.ctx.save();
            u.ctx.beginPath();
            u.ctx.rect(left, top, width, height);
            u.ctx.clip();
            options.paint({
              context: u.ctx,
              left,
              top,
              width,
              height,
              ratio: devicePixelRatio,
              x: (t) => left + (t - x0) * kx,
              y: (v) => top + height - (v - y0) * ky,
            });
            u.ctx.restore();
          },
        ],
      },
    },
    [
      [0, 1],
      [null, null],
    ] as unknown as uPlot.AlignedData,
    box,
  );
  return {
    show: ({ from, to }, [low, high]) =>
      plot.batch(() => {
        plot.setScale('x', { min: from, max: to });
        plot.setScale('y', { min: low, max: high });
        plot.redraw(false);
      }),
    resize: (width) => plot.setSize({ width, height: options.height + (hasTime ? timeAxisHeight : 0) }),
    destroy: () => plot.destroy(),
  };
}
