import {
  type KeyboardEvent,
  type PointerEvent,
  type RefObject,
  useCallback,
  useEffect,
  useRef,
  useState,
} from 'react';
import type { RecordingTrace } from '../../api/types.js';
import { useUnits } from '../../state/units.js';
import { axisWidth } from './lanePlot.js';
import type { TrendPainter } from './painter.js';
import type { TrendProps } from './trendProps.js';
import { decimalsFor, panned, zoomed } from './window.js';

export interface TrendInput {
  readonly area: RefObject<HTMLDivElement | null>;
  readonly handlers: {
    readonly onPointerDown: (e: PointerEvent) => void;
    readonly onPointerMove: (e: PointerEvent) => void;
    readonly onPointerUp: (e: PointerEvent) => void;
    readonly onPointerCancel: (e: PointerEvent) => void;
    readonly onPointerLeave: () => void;
    readonly onDoubleClick: () => void;
    readonly onKeyDown: (e: KeyboardEvent) => void;
  };
  readonly isMarking: boolean;
  readonly toggleMarking: () => void;
  /** Zooms about the cursor, else the middle. */
  readonly zoom: (factor: number) => void;
  /** What was last done by keys, in words. */
  readonly said: string;
}

/** A drag that is under way: of the view, from where it was taken up, or of the end of a stretch that is being marked. */
type Drag = { readonly kind: 'pan'; readonly x: number } | { readonly kind: 'mark'; readonly from: number };

/** Pointer, wheel and keys of a trend. */
export function useTrendInput(
  painter: TrendPainter,
  props: TrendProps,
  unit: RecordingTrace['time']['unit'],
): TrendInput {
  const { style } = useUnits();
  const area = useRef<HTMLDivElement>(null);
  const latest = useRef(props);
  latest.current = props;
  const drag = useRef<Drag>(undefined);
  const pointers = useRef(new Map<number, number>());
  const cursor = useRef<number>(undefined);
  const markFrom = useRef<number>(undefined);
  const [isMarking, setMarking] = useState(false);
  const [said, setSaid] = useState('');

  const timeAt = useCallback(
    (clientX: number): number =>
      painter.timeAt(clientX - (area.current?.getBoundingClientRect().left ?? 0) + axisWidth),
    [painter],
  );
  const point = (t: number | undefined): void => {
    cursor.current = t;
    painter.point(t);
    latest.current.onCursor?.(t);
  };
  const within = (t: number): number => Math.min(painter.whole.to, Math.max(painter.whole.from, t));
  const endMark = (from: number, to: number): void => {
    painter.brush(undefined);
    setMarking(false);
    const [a, b] = from < to ? [from, to] : [to, from];
    // a click marks nothing
    if (b - a > 3 * painter.perPixel) latest.current.onMark?.({ from: within(a), to: within(b) });
  };
  const zoom = (factor: number, about?: number): void => {
    const { from, to } = painter.window;
    const c = cursor.current;
    const room = painter.perPixel;
    const isSeen = c !== undefined && c >= from - room && c <= to + room;
    painter.go(zoomed(painter.window, factor, about ?? (isSeen ? c : 0.5 * (from + to))));
  };

  // React listens to wheels passively, and a passive listener cannot keep the page from scrolling
  useEffect(() => {
    const element = area.current;
    const onWheel = (e: WheelEvent): void => {
      if (e.ctrlKey || e.metaKey) return;
      e.preventDefault();
      const lines = e.deltaMode === WheelEvent.DOM_DELTA_LINE ? 16 : 1;
      const sideways = e.shiftKey ? e.deltaY || e.deltaX : e.deltaX;
      if (e.shiftKey || Math.abs(e.deltaX) > Math.abs(e.deltaY))
        painter.go(panned(painter.window, sideways * lines * painter.perPixel));
      else painter.go(zoomed(painter.window, 1.0016 ** (e.deltaY * lines), timeAt(e.clientX)));
    };
    element?.addEventListener('wheel', onWheel, { passive: false });
    return () => element?.removeEventListener('wheel', onWheel);
  }, [painter, timeAt]);

  const onPointerDown = (e: PointerEvent): void => {
    if (e.button !== 0) return;
    area.current?.setPointerCapture(e.pointerId);
    pointers.current.set(e.pointerId, e.clientX);
    const marks = latest.current.onMark !== undefined && (isMarking || e.shiftKey);
    drag.current = marks ? { kind: 'mark', from: timeAt(e.clientX) } : { kind: 'pan', x: e.clientX };
  };
  const onPointerMove = (e: PointerEvent): void => {
    const before = pointers.current.get(e.pointerId);
    if (before !== undefined) pointers.current.set(e.pointerId, e.clientX);
    if (before !== undefined && pointers.current.size === 2) {
      pinch(before, e);
      return;
    }
    const held = drag.current;
    if (held?.kind === 'pan') {
      painter.go(panned(painter.window, (held.x - e.clientX) * painter.perPixel));
      drag.current = { kind: 'pan', x: e.clientX };
    } else if (held?.kind === 'mark') {
      const to = timeAt(e.clientX);
      painter.brush({ from: Math.min(held.from, to), to: Math.max(held.from, to) });
    }
    const t = timeAt(e.clientX);
    point(t >= painter.window.from && t <= painter.window.to ? t : undefined);
  };
  /** Two fingers: the times under them stay under them. */
  const pinch = (before: number, { pointerId, clientX }: PointerEvent): void => {
    const other = [...pointers.current].find(([id]) => id !== pointerId)?.[1];
    if (other === undefined || Math.abs(clientX - other) < 10 || Math.abs(before - other) < 10) return;
    painter.go(zoomed(painter.window, Math.abs((before - other) / (clientX - other)), timeAt(other)));
  };
  const onPointerUp = (e: PointerEvent): void => {
    pointers.current.delete(e.pointerId);
    const held = drag.current;
    drag.current = undefined;
    if (held?.kind === 'mark') endMark(held.from, timeAt(e.clientX));
  };
  const onPointerCancel = (e: PointerEvent): void => {
    pointers.current.delete(e.pointerId);
    drag.current = undefined;
    painter.brush(undefined);
  };

  const say = (t: number): void => {
    const number = t.toFixed(decimalsFor(painter.perPixel)).replace('-', '−');
    const at = `${style.decimal === ',' ? number.replace('.', ',') : number}${unit === 's' ? ' s' : ''}`;
    setSaid(`${unit === 's' ? 'At' : 'At row'} ${at}: ${painter.wordsAt(t)}`);
  };
  const moveCursor = (to: number): void => {
    const t = within(to);
    const { from, to: end } = painter.window;
    if (t < from) painter.go(panned(painter.window, t - from));
    else if (t > end) painter.go(panned(painter.window, t - end));
    point(t);
    if (markFrom.current !== undefined)
      painter.brush({ from: Math.min(markFrom.current, t), to: Math.max(markFrom.current, t) });
    say(t);
  };
  const onKeyDown = (e: KeyboardEvent): void => {
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    const { from, to } = painter.window;
    const length = to - from;
    const at = cursor.current ?? 0.5 * (from + to);
    const step = e.shiftKey ? painter.perPixel : length / 50;
    const keys: Record<string, () => void> = {
      ArrowLeft: () => moveCursor(at - step),
      ArrowRight: () => moveCursor(at + step),
      Home: () => moveCursor(painter.whole.from),
      End: () => moveCursor(painter.whole.to),
      PageDown: () => painter.go(panned(painter.window, 0.8 * length)),
      PageUp: () => painter.go(panned(painter.window, -0.8 * length)),
      '+': () => zoom(0.5),
      '=': () => zoom(0.5),
      '-': () => zoom(2),
      '0': () => painter.go(painter.whole),
      m: () => markByKey(at),
      Escape: () => {
        markFrom.current = undefined;
        painter.brush(undefined);
        setMarking(false);
        point(undefined);
        setSaid('');
      },
    };
    const act = keys[e.key.length === 1 ? e.key.toLowerCase() : e.key];
    if (act === undefined) return;
    e.preventDefault();
    act();
  };
  const markByKey = (at: number): void => {
    if (latest.current.onMark === undefined) return;
    if (markFrom.current === undefined) {
      markFrom.current = at;
      painter.brush({ from: at, to: at });
      setSaid('The stretch begins here; move the cursor to its end and press M, or Escape to leave it.');
      return;
    }
    endMark(markFrom.current, at);
    markFrom.current = undefined;
    setSaid('');
  };

  return {
    area,
    isMarking,
    said,
    toggleMarking: () => setMarking((is) => !is),
    zoom,
    handlers: {
      onPointerDown,
      onPointerMove,
      onPointerUp,
      onPointerCancel,
      onPointerLeave: () => {
        if (drag.current === undefined) point(undefined);
      },
      onDoubleClick: () => painter.go(painter.whole),
      onKeyDown,
    },
  };
}
