import type { ReactNode } from 'react';
import type { FeedForwardRow } from '../../../engine/feedforward/types.js';
import type { Drive } from '../../../engine/line/drive.js';
import { DataTable } from '../../components/DataTable.js';
import { useUnits } from '../../state/units.js';
import type { Made, MadeDirection } from './made.js';
import { tableColumns } from './tableColumns.js';
import type { TorqueUnit } from './torqueUnit.js';

/** The rows to enter, a table a direction. */
export function FeedForwardTables({
  made,
  drive,
  torque,
}: {
  readonly made: Made;
  readonly drive: Drive;
  readonly torque: TorqueUnit;
}): ReactNode {
  const units = useUnits();
  return made.directions.map((d) => (
    <DataTable<FeedForwardRow>
      key={d.name}
      caption={tableCaption(d, torque)}
      columns={tableColumns(d, drive, units, torque)}
      rows={d.table.rows}
      rowKey={(r) => String(r.speed)}
    />
  ));
}

export const tableCaption = ({ name }: MadeDirection, { key }: TorqueUnit): string =>
  `Values to enter${name === '' ? '' : `, ${name}`}, torques at the motor${key === 'torque' ? '' : ' in % of rated'}; ± is a 95 % half width.`;
