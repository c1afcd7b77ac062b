import type { ReactNode } from 'react';
import type { TaperAdvice, TaperVariant } from '../../../engine/program/roll/taperAdvice.js';
import { shortNumber } from '../../../engine/report/format.js';
import { type Column, DataTable } from '../../components/DataTable.js';
import { useUnits } from '../../state/units.js';

/** Does taper help here? The words of the engine, and the three schedules side by side. */
export function TaperPanel({ advice }: { readonly advice: TaperAdvice }): ReactNode {
  const units = useUnits();
  const number = (
    name: string,
    key: 'tensionPerWidth' | 'pressure',
    of: (v: TaperVariant) => number,
  ): Column<TaperVariant> => ({
    name,
    unit: units.unit(key).label,
    isNumber: true,
    text: (v) => units.number(key, of(v)),
  });
  const columns: Column<TaperVariant>[] = [
    { name: 'Schedule', text: (v) => v.name },
    number('At the full roll', 'tensionPerWidth', (v) => v.measures.endTension),
    {
      name: 'Slip margin',
      isNumber: true,
      text: (v) => (v.measures.slip === undefined ? '–' : shortNumber(v.measures.slip.value)),
    },
    number('Hoop stress', 'pressure', (v) => v.measures.minimumHoopStress),
    number('Near the outside', 'pressure', (v) => v.measures.outerPressure),
    number('At the core', 'pressure', (v) => v.measures.corePressure),
  ];
  const [lever, ...rest] = advice.words;
  return (
    <section aria-labelledby="taper-title">
      <h2 id="taper-title">Does taper help here?</h2>
      <p>
        <strong>{lever}</strong>
      </p>
      {rest.map((words) => (
        <p key={words}>{words}</p>
      ))}
      <DataTable
        caption="Three schedules side by side"
        columns={columns}
        rows={advice.variants}
        rowKey={(v) => v.name}
      />
    </section>
  );
}
