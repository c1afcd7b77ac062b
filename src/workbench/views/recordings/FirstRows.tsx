import type { ReactNode } from 'react';
import type { Proposal } from '../../api/types.js';
import { type Column, DataTable } from '../../components/DataTable.js';
import { roleWords } from '../../components/trend/channels.js';

/** The first rows as numbers, as they would be taken. */
export function FirstRows({ proposal }: { readonly proposal: Proposal }): ReactNode {
  const columns = proposal.columns.map(
    (c, k): Column<Proposal['rows'][number]> => ({
      name:
        c.role === undefined || c.header === roleWords(c.role)
          ? c.header
          : `${c.header}: ${roleWords(c.role)}`,
      ...(c.unit !== undefined && { unit: c.unit }),
      isNumber: true,
      text: (row) => {
        const v = row[k];
        return v === null || v === undefined ? '–' : String(Number(v.toPrecision(9)));
      },
    }),
  );
  return (
    <DataTable
      caption="First rows, as numbers"
      columns={columns}
      rows={proposal.rows.slice(0, 8)}
      rowKey={(_, k) => String(k)}
    />
  );
}
