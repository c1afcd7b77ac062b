import { type KeyboardEvent, type PointerEvent, type ReactNode, useMemo, useRef, useState } from 'react';
import { shortNumber } from '../../../engine/report/format.js';
import type { Figure } from '../../../engine/report/svg/figure.js';
import { layoutFigure, renderFigure } from '../../../engine/report/svg/render.js';
import { useUnits } from '../../state/units.js';
import { SaveFigure } from '../SaveFigure.js';
import { figureColumns, readoutAt } from './readout.js';

interface Props {
  /** In the units that are shown. */
  readonly figure: Figure;
  /** Name of the files that it saves as, without ending. */
  readonly fileName: string;
  /** Place of the cursor on x, in the unit of the axis. Left out, the plot keeps a cursor of its own. */
  readonly cursor?: number | undefined;
  readonly onCursor?: (x: number | undefined) => void;
  /** A click, or Enter at the cursor. */
  readonly onPick?: (x: number) => void;
}

/**
 * A figure of the engine in the page, as the report shows it: with a cursor by pointer and by arrow keys that reads its lines out, and saved
 * as SVG and CSV.
 */
export function FigurePlot({ figure, fileName, cursor: stated, onCursor, onPick }: Props): ReactNode {
  const units = useUnits();
  const box = useRef<HTMLDivElement>(null);
  const [own, setOwn] = useState<number>();
  const cursor = onCursor === undefined ? own : stated;
  const setCursor = onCursor ?? setOwn;
  const markup = useMemo(() => renderFigure(figure), [figure]);
  const layout = useMemo(() => layoutFigure(figure), [figure]);
  const { sx, width, height } = layout;
  const [first, last] = sx.domain;
  const [left, right] = sx.range;

  const placeOf = (e: PointerEvent): number | undefined => {
    const at = box.current?.getBoundingClientRect();
    if (at === undefined || at.width === 0) return undefined;
    const px = ((e.clientX - at.left) * width) / at.width;
    return px >= left && px <= right ? first + ((px - left) * (last - first)) / (right - left) : undefined;
  };
  const onKeyDown = (e: KeyboardEvent): void => {
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    const step = (last - first) / (e.shiftKey ? 500 : 50);
    const from = cursor ?? (first + last) / 2;
    const to = {
      ArrowLeft: Math.max(first, from - step),
      ArrowRight: Math.min(last, from + step),
      Home: first,
      End: last,
    }[e.key];
    if (to !== undefined) setCursor(to);
    else if (e.key === 'Escape') setCursor(undefined);
    else if (e.key === 'Enter' && cursor !== undefined && onPick) onPick(cursor);
    else return;
    e.preventDefault();
  };
  const local = (text: string): string => (units.style.decimal === ',' ? text.replace('.', ',') : text);
  const read = (value: number): string => local(shortNumber(value));
  const isShown = cursor !== undefined && cursor >= first && cursor <= last;
  const x = isShown ? sx(cursor) : 0;
  const entries = isShown ? figure.panels.map((panel) => readoutAt(panel, cursor)) : [];
  const words = entries
    .flat()
    .map(
      (e) =>
        `${e.label} ${e.low === undefined ? read(e.value) : `${read(e.low)} to ${read(e.high as number)}`}`,
    );
  return (
    <div className="figure-plot">
      <div
        ref={box}
        className="figure-box"
        role="group"
        tabIndex={0}
        aria-label={`${figure.title}. Arrow keys move the cursor.`}
        onPointerMove={(e) => setCursor(placeOf(e))}
        onPointerLeave={() => setCursor(undefined)}
        onPointerUp={(e) => {
          const at = placeOf(e);
          if (at !== undefined && e.button === 0) onPick?.(at);
        }}
        onKeyDown={onKeyDown}
      >
        {/* markup of our own drawing, every text in it escaped */}
        <div dangerouslySetInnerHTML={{ __html: markup }} />
        {isShown && (
          <svg className="figure figure-over" viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
            {layout.panels.map((panel, k) => (
              <g key={panel.top}>
                <path className="cursor" d={`M${x} ${panel.top}v${figure.panels[k]?.height ?? 0}`} />
                {panel.sy &&
                  spread(
                    (entries[k] ?? [])
                      .filter((e) => e.low === undefined)
                      .map((e) => ({ text: read(e.value), y: panel.sy?.(e.value) ?? 0 })),
                    panel.top,
                    figure.panels[k]?.height ?? 0,
                  ).map(({ text, y }) => (
                    <text
                      key={y}
                      className="readout"
                      x={x + (x > right - 80 ? -6 : 6)}
                      y={y}
                      textAnchor={x > right - 80 ? 'end' : 'start'}
                    >
                      {text}
                    </text>
                  ))}
              </g>
            ))}
          </svg>
        )}
      </div>
      <div className="figure-foot">
        <span className="soft" aria-live="polite">
          {isShown && `${figure.x.label}: ${[read(cursor), ...words].join(' · ')}`}
        </span>
        <SaveFigure
          name={fileName}
          svg={() => box.current?.querySelector('svg') ?? null}
          columns={() => figureColumns(figure)}
        />
      </div>
    </div>
  );
}

const lineHeight = 15;

/** Texts beside their values, moved apart where they would stand on each other, inside the plot. */
function spread(
  texts: readonly { readonly text: string; readonly y: number }[],
  top: number,
  height: number,
): { text: string; y: number }[] {
  let above = top;
  return [...texts]
    .sort((a, b) => a.y - b.y)
    .map(({ text, y }) => {
      above = Math.min(Math.max(y - 5, above + lineHeight), top + height + lineHeight * texts.length);
      return { text, y: above };
    });
}
