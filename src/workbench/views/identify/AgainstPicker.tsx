import { useQuery } from '@tanstack/react-query';
import { type ReactNode, useMemo } from 'react';
import { queries } from '../../api/queries.js';
import { DataTable } from '../../components/DataTable.js';
import { FindingList } from '../../components/FindingItem.js';
import { Sign } from '../../components/Sign.js';
import { useUnits } from '../../state/units.js';
import { type ComparedResults, changeRows } from './comparison.js';
import { formatOf } from './shown.js';
import type { KeptResult } from './useAgainst.js';

interface Props {
  readonly drive: string;
  readonly chosen: string | undefined;
  readonly kept: KeptResult | undefined;
  readonly compared: ComparedResults | undefined;
  readonly words: string;
  readonly onChange: (name: string | undefined) => void;
}

/** A second kept result: its curve in the plot, and what changed, as numbers. */
export function AgainstPicker({ drive, chosen, kept, compared, words, onChange }: Props): ReactNode {
  const listed = useQuery(queries.identifications());
  const offered = (listed.data ?? []).filter((i) => i.drive === drive && i.verdict !== 'refused');
  if (offered.length === 0 && chosen === undefined) return null;
  return (
    <section className="against" aria-label="Comparison">
      <label className="row">
        <strong>Compare with</strong>
        <select value={chosen ?? ''} onChange={(e) => onChange(e.target.value || undefined)}>
          <option value="">no other result</option>
          {offered.map((i) => (
            <option key={i.name} value={i.name}>
              {i.name.slice(drive.length + 1)}
            </option>
          ))}
          {chosen !== undefined && !offered.some((i) => i.name === chosen) && <option>{chosen}</option>}
        </select>
      </label>
      {kept && compared && <Changes compared={compared} kept={kept} words={words} />}
    </section>
  );
}

function Changes({
  compared: { comparison, isKeptEarlier },
  kept,
  words,
}: {
  readonly compared: ComparedResults;
  readonly kept: KeptResult;
  readonly words: string;
}): ReactNode {
  const units = useUnits();
  const rows = useMemo(() => {
    const local = (text: string): string => (units.style.decimal === ',' ? text.replaceAll('.', ',') : text);
    return changeRows(comparison, formatOf(units), local);
  }, [comparison, units]);
  const [earlier, later] = isKeptEarlier ? [kept.words, words] : [words, kept.words];
  return (
    <>
      <DataTable
        caption={`${later} against ${earlier}, at the motor shaft; ± and intervals 95 %.`}
        columns={[
          { name: 'Parameter', text: (r) => r.words },
          { name: earlier, isNumber: true, text: (r) => r.earlier },
          { name: later === earlier ? `${later}, now` : later, isNumber: true, text: (r) => r.later },
          { name: 'Unit', text: (r) => r.unit },
          { name: 'Ratio', isNumber: true, text: (r) => r.ratio },
          {
            name: 'Result',
            text: (r) => r.verdict,
            cell: (r) => (
              <>
                {r.verdict === 'changed' && <Sign kind="warn" />} {r.verdict}
              </>
            ),
          },
        ]}
        rows={rows}
        rowKey={(r) => r.key}
      />
      <FindingList findings={comparison.findings} />
    </>
  );
}
