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
  /** Points that stand for something elsewhere: pointing at one lights it, and a click on it picks it. */
  readonly points?: readonly PlotPoint[];
  readonly lit?: string | undefined;
  readonly onLight?: (id: string | undefined) => void;
}

/** A measured point of a panel, in the units of the axes. */
export interface PlotPoint {
  readonly id: string;
  readonly panel: number;
  readonly x: number;
  readonly y: number;
}

/** How near the pointer has to come to a point, in drawing units. */
const reach = 14;

const noPoints: readonly PlotPoint[] = [];

/**
 * A figure of the engine in the page, as the report shows it: with a cursor by pointer and by arrow keys that reads its lines out, and saved
 * as SVG and CSV.
 */
export function FigurePlot({
  figure,
  fileName,
  cursor: stated,
  onCursor,
  onPick,
  points = noPoints,
  lit,
  onLight,
}: Props): ReactNode {
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
  const placed = (p: PlotPoint): { x: number; y: number } => ({
    x: sx(p.x),
    y: layout.panels[p.panel]?.sy?.(p.y) ?? Number.NaN,
  });
  /** The point that the pointer is at; by keys, the one at the cursor. */
  const light = (e: PointerEvent): void => {
    const at = box.current?.getBoundingClientRect();
    if (onLight === undefined || at === undefined || at.width === 0) return;
    const scale = width / at.width;
    const near = points
      .map((p) => {
        const { x, y } = placed(p);
        return {
          id: p.id,
          distance: Math.hypot((e.clientX - at.left) * scale - x, (e.clientY - at.top) * scale - y),
        };
      })
      .sort((a, b) => a.distance - b.distance)[0];
    onLight(near !== undefined && near.distance < reach ? near.id : undefined);
  };
  const lightAt = (x: number): void => {
    const near = [...points].sort((a, b) => Math.abs(a.x - x) - Math.abs(b.x - x))[0];
    onLight?.(near !== undefined && Math.abs(sx(near.x) - sx(x)) < reach ? near.id : undefined);
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
    if (to !== undefined) {
      setCursor(to);
      lightAt(to);
    } else if (e.key === 'Escape') setCursor(undefined);
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
        onPointerMove={(e) => {
          setCursor(placeOf(e));
          light(e);
        }}
        onPointerLeave={() => {
          setCursor(undefined);
          onLight?.(undefined);
        }}
        onPointerUp={(e) => {
          const at = placeOf(e);
          if (at !== undefined && e.button === 0) onPick?.(at);
        }}
        onKeyDown={onKeyDown}
      >
        {/* markup of our own drawing, every text in it escaped */}
        <div dangerouslySetInnerHTML={{ __html: markup }} />
        {points.some((p) => p.id === lit) && (
          <svg className="figure figure-over" viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
            {points
              .filter((p) => p.id === lit)
              .map((p) => (
                <circle key={`${p.panel} ${p.x}`} className="lit" cx={placed(p).x} cy={placed(p).y} r={10} />
              ))}
          </svg>
        )}
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
