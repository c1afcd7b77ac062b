import type { ReactNode } from 'react';
import type { RollPrediction } from '../../../engine/program/roll/predictRoll.js';
import { shortNumber } from '../../../engine/report/format.js';
import { type Column, DataTable } from '../../components/DataTable.js';
import { useUnits } from '../../state/units.js';

/** Rows of the table, evenly spread over the laps. */
const most = 21;

/** A roll as numbers, from the core outwards. */
export function RollTable({ prediction: p }: { readonly prediction: RollPrediction }): ReactNode {
  const units = useUnits();
  const n = p.radius.length;
  const rows = [...new Set(Array.from({ length: most }, (_, k) => Math.round((k * (n - 1)) / (most - 1))))];
  const number = (
    name: string,
    key: 'length' | 'pressure' | 'tensionPerWidth',
    of: Float64Array,
  ): Column<number> => ({
    name,
    unit: units.unit(key).label,
    isNumber: true,
    text: (i) => units.number(key, of[i] ?? Number.NaN),
  });
  const { slip } = p;
  const columns: Column<number>[] = [
    number('Radius', 'length', p.radius),
    number('Pressure', 'pressure', p.pressure),
    number('Hoop stress', 'pressure', p.hoopStress),
    number('Wound on', 'tensionPerWidth', p.woundOnTension),
    ...(slip === undefined
      ? []
      : [
          {
            name: 'Slip margin',
            isNumber: true,
            text: (i: number) => {
              const v = slip.margin[i] ?? Number.NaN;
              return Number.isFinite(v) ? shortNumber(v) : '–';
            },
          },
        ]),
  ];
  return (
    <DataTable caption="From the core outwards" columns={columns} rows={rows} rowKey={(i) => String(i)} />
  );
}
