import type { ReactNode } from 'react';
import { renderStandaloneFigure } from '../../../engine/report/svg/standalone.js';
import { saveText } from '../plot/saveText.js';
import type { Lane } from './channels.js';
import type { TrendPainter } from './painter.js';
import type { TrendStretch } from './stretches.js';
import { csvOf, figureOf } from './trendFile.js';

interface Props {
  readonly name: string;
  readonly timeAxis: string;
  readonly lanes: readonly Lane[];
  readonly stretches: readonly TrendStretch[];
  readonly painter: TrendPainter;
}

/** Keeps what the window shows: the picture as SVG, its values as CSV. */
export function SaveTrend({ name, timeAxis, lanes, stretches, painter }: Props): ReactNode {
  return (
    <>
      <button
        type="button"
        className="quiet"
        onClick={() =>
          saveText(
            `${name}.svg`,
            'image/svg+xml',
            renderStandaloneFigure(figureOf(name, timeAxis, lanes, stretches, painter)),
          )
        }
      >
        Save as SVG
      </button>
      <button
        type="button"
        className="quiet"
        title="What the window shows: each sample, or the least and greatest of neighbouring samples"
        onClick={() => saveText(`${name}.csv`, 'text/csv', csvOf(timeAxis, lanes, painter))}
      >
        Data as CSV
      </button>
    </>
  );
}
