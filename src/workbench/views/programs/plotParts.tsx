import type { ReactNode } from 'react';
import { extent, niceTicks, type Scale, tickLabels } from '../../../engine/report/svg/scale.js';
import type { Units } from '../../state/units.js';
import { type PanelModel, valueAtDiameter } from './panels.js';

// What stands around and behind the curves of the schedules. Lengths are units of the plot's own view box.
export const width = 760;
export const left = 62;
export const right = width - 12;
export const headerHeight = 26;

/** Values from 0, with air above to drag into. */
export function domainOf(panel: PanelModel, other: PanelModel | undefined, units: Units): [number, number] {
  const all = [panel, ...(other ? [other] : [])].flatMap((p) => [
    ...p.curves.flatMap((c) => c.y),
    ...(p.band ? [...p.band.low, ...p.band.high] : []),
    0,
  ]);
  const [low, high] = extent(all) ?? [0, 1];
  // a limit far away would flatten the curves
  const limit = panel.highest !== undefined && panel.highest < 2 * high ? panel.highest : high;
  const air = 0.14 * (Math.max(high, limit) - low);
  return [
    units.value(panel.quantity, low < 0 ? low - air : 0),
    units.value(panel.quantity, Math.max(high, limit) + air),
  ];
}

interface PartProps {
  readonly panel: PanelModel;
  readonly y: number;
  readonly units: Units;
}

export function Header({
  panel,
  y,
  units,
  otherName,
}: PartProps & { readonly otherName: string | undefined }): ReactNode {
  let x = left + 16 + 8.1 * `${panel.label}, ${panel.symbol} [${units.unit(panel.quantity).label}]`.length;
  const items = [
    ...panel.curves.map((c) => ({ key: c.label, className: `line ${c.meaning} ${c.signal}`, text: c.label })),
    ...(otherName === undefined
      ? []
      : [{ key: 'other', className: 'line reference neutral other', text: otherName }]),
  ];
  return (
    <>
      <text className="axis-label" x={left} y={y - 8}>
        {panel.label}, {panel.symbol} [{units.unit(panel.quantity).label}]
      </text>
      {items.map((item) => {
        const at = x;
        x += 30 + 6.9 * item.text.length + 14;
        return (
          <g key={item.key}>
            <path className={item.className} d={`M${at} ${y - 12}h22`} />
            <text className="legend" x={at + 27} y={y - 8}>
              {item.text}
            </text>
          </g>
        );
      })}
    </>
  );
}

/** What is not allowed is hatched. */
export function Limits({
  panel,
  y,
  sy,
  units,
  hatch,
}: PartProps & { readonly sy: Scale; readonly hatch: string }): ReactNode {
  const bottom = y + panel.height;
  const at = (v: number | undefined): number | undefined => {
    if (v === undefined) return undefined;
    const p = sy(units.value(panel.quantity, v));
    return p > y && p < bottom ? p : undefined;
  };
  const [high, low] = [at(panel.highest), at(panel.lowest)];
  return (
    <>
      {high !== undefined && <rect fill={hatch} x={left} y={y} width={right - left} height={high - y} />}
      {high !== undefined && <path className="limit-edge" d={`M${left} ${high}H${right}`} />}
      {low !== undefined && <rect fill={hatch} x={left} y={low} width={right - left} height={bottom - low} />}
      {low !== undefined && <path className="limit-edge" d={`M${left} ${low}H${right}`} />}
    </>
  );
}

export function Grid({
  sx,
  sy,
  y,
  height,
}: {
  readonly sx: Scale;
  readonly sy: Scale;
  readonly y: number;
  readonly height: number;
}): ReactNode {
  const ticks = niceTicks(sy.domain[0], sy.domain[1], Math.max(3, Math.round(height / 40)));
  const labels = tickLabels(ticks);
  return (
    <>
      {ticks.map((t, i) => (
        <g key={t}>
          <path className={t === 0 ? 'zero' : 'grid'} d={`M${left} ${sy(t)}H${right}`} />
          <text className="tick" x={left - 7} y={sy(t) + 4.5} textAnchor="end">
            {labels[i]}
          </text>
        </g>
      ))}
      {niceTicks(sx.domain[0], sx.domain[1], 10).map((t) => (
        <path key={t} className="tickmark" d={`M${sx(t)} ${y + height}v5`} />
      ))}
    </>
  );
}

export function Axis({
  sx,
  y,
  label,
}: {
  readonly sx: Scale;
  readonly y: number;
  readonly label: string;
}): ReactNode {
  const ticks = niceTicks(sx.domain[0], sx.domain[1], 10);
  const labels = tickLabels(ticks);
  return (
    <>
      {ticks.map((t, i) => (
        <text key={t} className="tick" x={sx(t)} y={y + 19} textAnchor="middle">
          {labels[i]}
        </text>
      ))}
      <text className="axis-label" x={(left + right) / 2} y={y + 38} textAnchor="middle">
        {label}
      </text>
    </>
  );
}

/** One diameter through all plots, with the values there. */
export function Cursor({
  panel,
  diameters,
  cursor,
  x,
  y,
  sy,
  units,
}: PartProps & {
  readonly diameters: readonly number[];
  readonly cursor: number;
  readonly x: number;
  readonly sy: Scale;
}): ReactNode {
  if (!(x >= left && x <= right)) return null;
  const isRight = x > right - 80;
  return (
    <>
      <path className="cursor" d={`M${x} ${y}v${panel.height}`} />
      {panel.curves.map((c) => {
        const v = valueAtDiameter(diameters, c.y, cursor);
        if (!Number.isFinite(v)) return null;
        const at = sy(units.value(panel.quantity, v));
        return (
          <text
            key={c.label}
            className="readout"
            x={x + (isRight ? -6 : 6)}
            y={at - 5}
            textAnchor={isRight ? 'end' : 'start'}
          >
            {units.number(panel.quantity, v)}
          </text>
        );
      })}
    </>
  );
}
