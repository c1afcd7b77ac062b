import {
  type KeyboardEvent,
  type PointerEvent,
  type ReactNode,
  useEffect,
  useMemo,
  useRef,
  useState,
} from 'react';
import type { Point } from '../../../engine/line/path/circle.js';
import type { DrawnCircle, LineDrawing } from '../../../engine/report/line/model.js';
import { SaveFigure } from '../../components/SaveFigure.js';
import {
  drawNames,
  fitSheet,
  type LabelOffsets,
  labelOffsets,
  type Sheet,
  sketch,
  toMachine,
  toSheet,
} from '../../components/sideView/sketch.js';

const room = { width: 1000, height: 470, edge: 56 };

export interface Drag {
  /** Name of the circle. */
  readonly name: string;
  /** Where its centre is now [m]. */
  readonly centre: Point;
}

interface Props {
  /** As it is while something is dragged. */
  readonly drawing: LineDrawing;
  /** As it stands in the text: labels and scale follow this one only. */
  readonly settled: LineDrawing;
  readonly chosen: string | undefined;
  readonly onChoose: (circle: DrawnCircle) => void;
  readonly onDrag: (drag: Drag) => void;
  /** The pointer was let go; undefined when the drag was given up. */
  readonly onDrop: (drag: Drag | undefined) => void;
  readonly onNudge: (circle: DrawnCircle, by: Point) => void;
  readonly onFlip: (circle: DrawnCircle) => void;
}

/** One millimetre: what a drag snaps to [m]. */
const snap = (x: number): number => Math.round(x * 1000) / 1000;

/** The side view as an editor: rollers are dragged, moved by arrow keys, turned over by F. */
export function Stage(props: Props): ReactNode {
  const { drawing, settled, chosen, onChoose, onDrag, onDrop, onNudge, onFlip } = props;
  const svg = useRef<SVGSVGElement>(null);
  const held = useRef<{ name: string; grab: Point; last?: Drag }>(undefined);
  const [isHeld, setHeld] = useState(false);
  const sheet = useSheet(settled);
  const offsets = useMemo((): LabelOffsets => labelOffsets(settled, sheet), [settled, sheet]);
  const markup = useMemo(
    () => sketch(drawing, sheet) + drawNames(drawing, sheet, offsets),
    [drawing, sheet, offsets],
  );

  const at = (e: PointerEvent): Point => {
    const box = svg.current?.getBoundingClientRect() ?? { left: 0, top: 0, width: 1 };
    const k = room.width / box.width;
    return toMachine(sheet, (e.clientX - box.left) * k, (e.clientY - box.top) * k);
  };
  const end = (drag: Drag | undefined): void => {
    if (held.current === undefined) return;
    held.current = undefined;
    setHeld(false);
    onDrop(drag);
  };
  const onKeyDown = (e: KeyboardEvent, circle: DrawnCircle): void => {
    if (e.key === 'Escape') {
      end(undefined);
      return;
    }
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    const step = e.shiftKey ? 0.001 : 0.01;
    const by = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[e.key];
    if (by !== undefined) {
      e.preventDefault();
      onNudge(circle, { x: step * (by[0] as number), y: step * (by[1] as number) });
    } else if (e.key === 'f' || e.key === 'F') onFlip(circle);
    else if (e.key === 'Enter' || e.key === ' ') {
      e.preventDefault();
      onChoose(circle);
    }
  };
  // small ones on top, so that a roller on a roll can be taken
  const byRadius = [...drawing.circles].sort((a, b) => b.radius - a.radius);
  return (
    <>
      <SaveFigure name={`${drawing.title} side view`} svg={() => svg.current} />
      <div className="stage">
        <svg
          ref={svg}
          className="line-drawing"
          viewBox={`0 0 ${room.width} ${room.height}`}
          role="group"
          aria-label={`Side view of ${drawing.title}. ${drawing.description}`}
        >
          {/* markup of our own drawing, every text in it escaped */}
          <g aria-hidden="true" dangerouslySetInnerHTML={{ __html: markup }} />
          {byRadius.map((circle) => {
            const { x, y } = toSheet(sheet, circle.centre);
            return (
              // a shape in a drawing cannot be a button element
              <circle
                key={circle.name}
                className={`grip${circle.name === chosen ? ' chosen' : ''}`}
                data-roller={circle.name}
                cx={x}
                cy={y}
                r={Math.max(10, circle.radius * sheet.scale + 3)}
                role="button"
                tabIndex={0}
                aria-pressed={circle.name === chosen}
                aria-label={`${circle.tip}. Arrow keys move it, F turns it over.`}
                style={{ cursor: isHeld ? 'grabbing' : undefined }}
                onPointerDown={(e) => {
                  if (e.button !== 0) return;
                  e.currentTarget.setPointerCapture(e.pointerId);
                  e.currentTarget.focus();
                  const p = at(e);
                  held.current = {
                    name: circle.name,
                    grab: { x: p.x - circle.centre.x, y: p.y - circle.centre.y },
                  };
                  setHeld(true);
                  onChoose(circle);
                }}
                onPointerMove={(e) => {
                  const now = held.current;
                  if (now === undefined || now.name !== circle.name) return;
                  const p = at(e);
                  const drag = {
                    name: circle.name,
                    centre: { x: snap(p.x - now.grab.x), y: snap(p.y - now.grab.y) },
                  };
                  if (
                    now.last === undefined &&
                    Math.hypot(drag.centre.x - circle.centre.x, drag.centre.y - circle.centre.y) <
                      3 / sheet.scale
                  )
                    return;
                  now.last = drag;
                  onDrag(drag);
                }}
                onPointerUp={() => end(held.current?.last)}
                onPointerCancel={() => end(undefined)}
                onKeyDown={(e) => onKeyDown(e, circle)}
              />
            );
          })}
        </svg>
      </div>
    </>
  );
}

/** The scale stays while rollers move inside the sheet, so that nothing jumps; it is made anew when one leaves it or the rollers are others. */
function useSheet(drawing: LineDrawing): Sheet {
  const names = drawing.circles.map((c) => c.name).join('\n');
  const [kept, setKept] = useState(() => ({ names, sheet: fitSheet(drawing, room) }));
  const isOutside = drawing.circles.some((k) => {
    const { x, y } = toSheet(kept.sheet, k.centre);
    const r = k.radius * kept.sheet.scale;
    return x - r < 0 || x + r > room.width || y - r < 0 || y + r > room.height;
  });
  const isStale = kept.names !== names || isOutside;
  const fresh = useMemo(
    () => (isStale ? { names, sheet: fitSheet(drawing, room) } : kept),
    [isStale, names, drawing, kept],
  );
  useEffect(() => setKept(fresh), [fresh]);
  return fresh.sheet;
}
