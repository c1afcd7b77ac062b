import { type KeyboardEvent, type PointerEvent, type ReactNode, useId, useRef, useState } from 'react';
import { bandPath, linePath } from '../../../engine/report/svg/path.js';
import { extent, linearScale, type Scale } from '../../../engine/report/svg/scale.js';
import { SaveFigure } from '../../components/SaveFigure.js';
import type { Handle, KnobKey } from '../../schedules/handles.js';
import { useUnits } from '../../state/units.js';
import { columnsOf, type PanelModel } from './panels.js';
import {
  Axis,
  Cursor,
  domainOf,
  Grid,
  Header,
  headerHeight,
  Limits,
  left,
  right,
  width,
} from './plotParts.js';

export interface HandleAt {
  readonly knob: KnobKey;
  readonly id: string;
  readonly diameter: number;
  readonly value: number;
}

interface Props {
  readonly diameters: readonly number[];
  readonly panels: readonly PanelModel[];
  /** Panels as they stand in the text: their values set the axes, which stay while something is dragged. */
  readonly settled: readonly PanelModel[];
  /** The same panels of another product. */
  readonly other?: {
    readonly name: string;
    readonly diameters: readonly number[];
    readonly panels: readonly PanelModel[];
  };
  readonly handles: Partial<Record<KnobKey, readonly Handle[]>>;
  readonly cursor: number | undefined;
  readonly onCursor: (diameter: number | undefined) => void;
  readonly onDrag: (at: HandleAt) => void;
  readonly onDrop: (at: HandleAt | undefined) => void;
  readonly onNudge: (at: HandleAt) => void;
  readonly onKnob: (knob: KnobKey) => void;
  readonly onRemove: (knob: KnobKey, id: string) => void;
  /** Name of the files that it is kept as. */
  readonly name: string;
}

/** Schedules over diameter, one plot below the other on one axis; handles shape them. */
export function SchedulePlot(props: Props): ReactNode {
  const {
    diameters,
    panels,
    settled,
    other,
    handles,
    cursor,
    onCursor,
    onDrag,
    onDrop,
    onNudge,
    onKnob,
    onRemove,
  } = props;
  const units = useUnits();
  const id = useId().replace(/[^\w-]/g, '');
  const svg = useRef<SVGSVGElement>(null);
  const held = useRef<{ at?: HandleAt }>(undefined);
  const [heldId, setHeldId] = useState<string>();
  const xs = diameters.map((d) => units.value('length', d));
  const sx = linearScale(extent(xs) ?? [0, 1], [left, right]);
  const unitX = units.unit('length').factor;

  let top = 4;
  const placed = panels.map((panel, k) => {
    const y = top + headerHeight;
    top = y + panel.height + 12;
    const sy = linearScale(
      domainOf(
        settled[k] ?? panel,
        other?.panels.find((p) => p.id === panel.id),
        units,
      ),
      [y + panel.height, y],
    );
    return { panel, y, sy };
  });
  const height = top + 34;

  const pointer = (e: PointerEvent): { x: number; y: number } => {
    const box = svg.current?.getBoundingClientRect() ?? { left: 0, top: 0, width: 1 };
    const k = width / box.width;
    return { x: (e.clientX - box.left) * k, y: (e.clientY - box.top) * k };
  };
  const inverse = (s: Scale, at: number): number =>
    s.domain[0] + ((at - s.range[0]) * (s.domain[1] - s.domain[0])) / (s.range[1] - s.range[0]);

  const handleAt = (e: PointerEvent, panel: PanelModel, sy: Scale, handle: Handle): HandleAt => {
    const p = pointer(e);
    const y = Math.min(Math.max(p.y, Math.min(...sy.range)), Math.max(...sy.range));
    return {
      knob: panel.knob as KnobKey,
      id: handle.id,
      diameter: handle.moves === 'up-down' ? handle.diameter : inverse(sx, p.x) * unitX,
      value: handle.moves === 'sideways' ? handle.value : inverse(sy, y) * units.unit(panel.quantity).factor,
    };
  };
  const end = (at: HandleAt | undefined): void => {
    if (held.current === undefined) return;
    held.current = undefined;
    setHeldId(undefined);
    onDrop(at);
  };
  const onKeyDown = (e: KeyboardEvent, panel: PanelModel, handle: Handle): void => {
    if (panel.knob === undefined || e.ctrlKey || e.metaKey || e.altKey) return;
    if (e.key === 'Escape') {
      end(undefined);
      return;
    }
    if (e.key === 'Delete' || e.key === 'Backspace') {
      onRemove(panel.knob, handle.id);
      return;
    }
    const step =
      (e.shiftKey ? 0.1 : 1) * units.unit(panel.quantity).factor * (units.system === 'us' ? 0.05 : 2);
    const sideways = e.shiftKey ? 0.001 : 0.01;
    const by = {
      ArrowUp: [0, step],
      ArrowDown: [0, -step],
      ArrowRight: [sideways, 0],
      ArrowLeft: [-sideways, 0],
    }[e.key];
    if (by === undefined) return;
    e.preventDefault();
    onNudge({
      knob: panel.knob,
      id: handle.id,
      diameter: handle.diameter + (by[0] as number),
      value: handle.value + (by[1] as number),
    });
  };

  return (
    <>
      <SaveFigure
        name={props.name}
        svg={() => svg.current}
        columns={() => columnsOf(diameters, panels, units)}
      />
      <svg
        ref={svg}
        className="figure plot"
        viewBox={`0 0 ${width} ${height}`}
        role="group"
        aria-label="Schedules over the diameter of the roll"
        onPointerMove={(e) => {
          const { x } = pointer(e);
          onCursor(x >= left && x <= right ? inverse(sx, x) * unitX : undefined);
        }}
        onPointerLeave={() => onCursor(undefined)}
      >
        <defs>
          <pattern
            id={`${id}-hatch`}
            width="7"
            height="7"
            patternUnits="userSpaceOnUse"
            patternTransform="rotate(45)"
          >
            <path className="hatch" d="M0 0v7" />
          </pattern>
        </defs>
        {placed.map(({ panel, y, sy }) => (
          <g key={panel.id}>
            <Header panel={panel} y={y} units={units} otherName={other?.name} />
            <Limits panel={panel} y={y} sy={sy} units={units} hatch={`url(#${id}-hatch)`} />
            <Grid sx={sx} sy={sy} y={y} height={panel.height} />
            <clipPath id={`${id}-${panel.id}`}>
              <rect x={left} y={y} width={right - left} height={panel.height} />
            </clipPath>
            <g clipPath={`url(#${id}-${panel.id})`}>
              {panel.band && (
                <path
                  className="band neutral"
                  d={bandPath(
                    xs,
                    panel.band.low.map((v) => units.value(panel.quantity, v)),
                    panel.band.high.map((v) => units.value(panel.quantity, v)),
                    sx,
                    sy,
                  )}
                />
              )}
              {other?.panels
                .find((p) => p.id === panel.id)
                ?.curves.map((c) => (
                  <path
                    key={`other ${c.label}`}
                    className={`line reference ${c.signal} other`}
                    d={linePath(
                      other.diameters.map((d) => units.value('length', d)),
                      c.y.map((v) => units.value(panel.quantity, v)),
                      sx,
                      sy,
                    )}
                  />
                ))}
              {panel.curves.map((c) => (
                <path
                  key={c.label}
                  className={`line ${c.meaning} ${c.signal}`}
                  d={linePath(
                    xs,
                    c.y.map((v) => units.value(panel.quantity, v)),
                    sx,
                    sy,
                  )}
                />
              ))}
            </g>
            <rect className="frame" x={left} y={y} width={right - left} height={panel.height} />
            {cursor !== undefined && (
              <Cursor
                panel={panel}
                diameters={diameters}
                cursor={cursor}
                x={sx(cursor / unitX)}
                y={y}
                sy={sy}
                units={units}
              />
            )}
            {(panel.knob ? (handles[panel.knob] ?? []) : []).map((handle) => {
              const cx = sx(units.value('length', handle.diameter));
              const cy = sy(units.value(panel.quantity, handle.value));
              const key = `${panel.id} ${handle.id}`;
              return (
                <circle
                  key={key}
                  className={`handle${heldId === key ? ' held' : ''}`}
                  data-handle={`${panel.knob} ${handle.id}`}
                  cx={cx}
                  cy={cy}
                  r={handle.moves === 'both' ? 6 : 7}
                  role="slider"
                  tabIndex={0}
                  aria-label={`${panel.label}: ${handle.label}`}
                  aria-orientation={handle.moves === 'sideways' ? 'horizontal' : 'vertical'}
                  aria-valuenow={Number(
                    units
                      .value(
                        handle.moves === 'sideways' ? 'length' : panel.quantity,
                        handle.moves === 'sideways' ? handle.diameter : handle.value,
                      )
                      .toPrecision(4),
                  )}
                  aria-valuetext={`${units.withUnit(panel.quantity, handle.value)} at ${units.withUnit('length', handle.diameter)}`}
                  onPointerDown={(e) => {
                    if (e.button !== 0) return;
                    e.currentTarget.setPointerCapture(e.pointerId);
                    e.currentTarget.focus();
                    held.current = {};
                    setHeldId(key);
                    if (panel.knob) onKnob(panel.knob);
                  }}
                  onPointerMove={(e) => {
                    if (held.current === undefined || heldId !== key) return;
                    held.current.at = handleAt(e, panel, sy, handle);
                    onDrag(held.current.at);
                  }}
                  onPointerUp={() => end(held.current?.at)}
                  onPointerCancel={() => end(undefined)}
                  onFocus={() => panel.knob && onKnob(panel.knob)}
                  onKeyDown={(e) => onKeyDown(e, panel, handle)}
                />
              );
            })}
          </g>
        ))}
        <Axis sx={sx} y={top - 12} label={`Diameter, D [${units.unit('length').label}]`} />
      </svg>
    </>
  );
}
