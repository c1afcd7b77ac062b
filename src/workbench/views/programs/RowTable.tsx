import type { ReactNode } from 'react';
import type { ProgrammedRoll } from '../../../engine/program/programmedRoll.js';
import type { RollRow } from '../../../engine/program/rollRows.js';
import type { QuantityKey } from '../../../engine/units/quantity.js';
import { type Column, DataTable } from '../../components/DataTable.js';
import { useUnits } from '../../state/units.js';

/** Every how many rows of the program one is listed. */
const every = 8;

/** The program as numbers, from core to full roll. */
export function RowTable({ roll }: { readonly roll: ProgrammedRoll }): ReactNode {
  const units = useUnits();
  const rows = roll.result.rows
    .map((row, k) => ({ row, motors: roll.motors[k] ?? [] }))
    .filter((_, k) => k % every === 0);
  type Listed = (typeof rows)[number];
  const column = (
    name: string,
    key: QuantityKey,
    pick: (r: Listed) => number | undefined,
  ): Column<Listed>[] =>
    rows.some((r) => pick(r) !== undefined)
      ? [
          {
            name,
            unit: units.unit(key).label,
            isNumber: true,
            text: (r) => {
              const v = pick(r);
              return v === undefined || !Number.isFinite(v) ? '–' : units.number(key, v);
            },
          },
        ]
      : [];
  const force = (name: string, pick: (r: RollRow) => number | undefined): Column<Listed>[] =>
    column(name, 'tensionPerWidth', (r) => pick(r.row));
  const columns = [
    ...column('Diameter', 'length', (r) => r.row.diameter),
    ...force('Tension', (r) => r.tension),
    ...force('Wound-on', (r) => r.woundOnTension),
    ...force('Nip', (r) => r.nip),
    ...force('Differential', (r) => r.torqueDifferential),
    ...(roll.motors[0] ?? []).flatMap((m, k): Column<Listed>[] =>
      column(m.name, 'torque', (r) => r.motors[k]?.torque),
    ),
  ];
  return (
    <DataTable
      caption="Program from core to full roll, motors running"
      columns={columns}
      rows={rows}
      rowKey={(r) => String(r.row.diameter)}
    />
  );
}
