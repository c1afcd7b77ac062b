import type { FeedForwardRow } from '../../../engine/feedforward/types.js';
import type { Drive } from '../../../engine/line/drive.js';
import type { QuantityKey } from '../../../engine/units/quantity.js';
import type { Column } from '../../components/DataTable.js';
import { writeNumber } from '../../state/numberEntry.js';
import type { Units } from '../../state/units.js';
import type { MadeDirection } from './made.js';
import type { TorqueUnit } from './torqueUnit.js';

type RowColumn = Column<FeedForwardRow>;

/** The columns of a table: speed at motor and web, drag, torque while the speed changes, with assist, and what is left to the web. */
export function tableColumns(
  { table }: MadeDirection,
  { rollerRadius, gearRatio }: Drive,
  units: Units,
  torque: TorqueUnit,
): RowColumn[] {
  const { rows, assist } = table;
  const column = (
    name: string,
    unit: string,
    text: (r: FeedForwardRow) => string | undefined,
  ): RowColumn[] =>
    rows.some((r) => text(r) !== undefined)
      ? [{ name, unit, isNumber: true, text: (r) => text(r) ?? '–' }]
      : [];
  const of = (key: QuantityKey, v: number | undefined): string | undefined =>
    v === undefined ? undefined : units.number(key, v);
  const torqueOf = (v: number | undefined): string | undefined =>
    v === undefined ? undefined : torque.number(v);
  const tug = (v: number | undefined): string | undefined =>
    v === undefined ? undefined : writeNumber(units.value('tension', v), units.style, 2);
  return [
    ...column('Motor speed', units.unit('angularSpeed').label, (r) => of('angularSpeed', r.speed)),
    ...column('Web speed', units.unit('speed').label, (r) =>
      rollerRadius === undefined ? undefined : of('speed', (r.speed * rollerRadius) / gearRatio),
    ),
    ...column('Drag', torque.short, (r) => torqueOf(r.torque)),
    ...column('Speeding up', torque.short, (r) => torqueOf(r.accelerating)),
    ...column('Slowing down', torque.short, (r) => torqueOf(r.decelerating)),
    ...column('At the start', torque.short, (r) =>
      assist !== undefined && r.speed === 0 ? torqueOf(r.torque + assist.torque) : undefined,
    ),
    ...column('Tug left, ±', units.unit('tension').label, (r) => tug(r.tugHalfWidth)),
    ...column('Tug then, ±', units.unit('tension').label, (r) => tug(r.tugHalfWidthAccelerating)),
    {
      name: 'Note',
      text: (r) => (r.extrapolated ? 'not measured' : ''),
    },
  ];
}
