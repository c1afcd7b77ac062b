import type { Identification } from '../../../engine/identify/identification.js';
import type { Drive } from '../../../engine/line/drive.js';
import { dragFigure } from '../../../engine/report/commissioning/figures.js';
import type { Format } from '../../../engine/report/format.js';
import type { Figure, Mark, Panel } from '../../../engine/report/svg/figure.js';
import type { PlotPoint } from '../../components/plot/FigurePlot.js';
import { segmentId } from './stretches.js';

/** A result with what it is called. */
export interface NamedResult {
  readonly identification: Identification;
  readonly words: string;
}

/**
 * Drag over speed of a result, or of two: then the earlier has hollow points and a dashed line, the later filled points and a full one. A result by
 * itself is drawn as found.
 */
export function dragPlot(
  drive: Drive,
  result: NamedResult,
  earlier: NamedResult | undefined,
  format: Format,
): Figure | undefined {
  if (earlier === undefined) return dragFigure('identify', drive, result.identification, 'as-found', format);
  const after = dragFigure('identify', drive, result.identification, 'as-left', format);
  const before = dragFigure('identify', drive, earlier.identification, 'as-found', format);
  if (after === undefined || before === undefined) return after ?? before;
  const panels = after.panels.map((panel): Panel => {
    const other = before.panels.find((p) => p.y.label === panel.y.label) ?? sameDirection(before, panel);
    const marks = (other?.marks ?? []).map((m) => named(asEarlier(m), earlier.words));
    return { ...panel, marks: [...marks, ...panel.marks.map((m) => named(m, result.words))] };
  });
  return { ...after, title: `Drag over speed, ${earlier.words} and ${result.words}`, panels };
}

/** One result has a panel a direction, the other one for both: forward belongs to the one. */
const sameDirection = (figure: Figure, panel: Panel): Panel | undefined =>
  /reverse|web on/.test(panel.y.label)
    ? undefined
    : figure.panels.find((p) => !/reverse|web on/.test(p.y.label));

const asEarlier = (mark: Mark): Mark =>
  mark.kind === 'line' && mark.meaning === 'model' ? { ...mark, meaning: 'reference' } : mark;

const named = (mark: Mark, words: string): Mark =>
  mark.label === undefined ? mark : { ...mark, label: `${mark.label}, ${words}` };

/** The plateau points of a drag plot, each with the stretch that it was measured on. Not those of a result laid under it. */
export function plateauPoints(identification: Identification, figure: Figure, format: Format): PlotPoint[] {
  const curves = [identification.dragCurve, identification.dragCurveReverse];
  const panelOf = (isReverse: boolean): number =>
    figure.panels.findIndex((p) => /reverse/.test(p.y.label) === isReverse && !/web on/.test(p.y.label));
  return curves.flatMap((curve, k) => {
    const panel = panelOf(k === 1);
    if (panel < 0) return [];
    return (curve ?? []).flatMap((p): PlotPoint[] =>
      p.from === 'plateau' && p.segment !== undefined
        ? [
            {
              id: segmentId(p.segment),
              panel,
              x: format.value('angularSpeed', p.speed),
              y: format.value('torque', p.torque),
            },
          ]
        : [],
    );
  });
}
