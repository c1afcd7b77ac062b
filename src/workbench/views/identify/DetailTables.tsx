import { type ReactNode, useMemo } from 'react';
import type { Identification } from '../../../engine/identify/identification.js';
import type { IdentificationDocument } from '../../../engine/project/identification.js';
import type { Role } from '../../../engine/recording/recording.js';
import { roleWords } from '../../../engine/report/commissioning/words.js';
import { DataTable } from '../../components/DataTable.js';
import { FormulaToggle } from '../../components/FormulaToggle.js';
import { writeNumber } from '../../state/numberEntry.js';
import { useUnits } from '../../state/units.js';
import { formatOf } from './shown.js';
import { segmentAt, segmentId } from './stretches.js';

interface Props {
  readonly identification: Identification;
  readonly onLight: (id: string | undefined) => void;
}

/** Inertia by ramp up and ramp down, each pair by itself. */
export function RampPairTable({ identification, onLight }: Props): ReactNode {
  const units = useUnits();
  const { rampPairs = [], segments, estimates } = identification;
  const rows = useMemo(() => {
    const format = formatOf(units);
    const local = (text: string): string => (units.style.decimal === ',' ? text.replaceAll('.', ',') : text);
    return rampPairs.map((pair) => {
      const [low, high] = pair.inertia.interval95;
      const whole = estimates.inertia?.value ?? Number.NaN;
      const at = (k: number): string => writeNumber(segments[k]?.from ?? Number.NaN, units.style, 4);
      return {
        pair,
        ramps: `${at(pair.up)} and ${at(pair.down)}`,
        direction: pair.direction === 1 ? 'forward' : 'reverse',
        value: local(format.pair('inertia', pair.inertia.value, 0.5 * (high - low))),
        agrees: whole >= low && whole <= high ? 'yes' : 'no',
      };
    });
  }, [rampPairs, segments, estimates, units]);
  if (rows.length === 0) return null;
  return (
    <section aria-label="Inertia by ramp pair">
      <DataTable
        caption="Inertia by ramp pair: a ramp up and a ramp down by themselves, ± 95 %."
        columns={[
          {
            name: 'Ramps from',
            unit: 's',
            text: (r) => r.ramps,
            cell: (r) => (
              <button
                type="button"
                className="quiet"
                onPointerEnter={() => onLight(segmentId(r.pair.up))}
                onPointerLeave={() => onLight(undefined)}
                onFocus={() => onLight(segmentId(r.pair.up))}
                onBlur={() => onLight(undefined)}
                onClick={() => onLight(segmentId(r.pair.down))}
              >
                {r.ramps}
              </button>
            ),
          },
          { name: 'Direction', text: (r) => r.direction },
          { name: 'Inertia', unit: units.unit('inertia').label, isNumber: true, text: (r) => r.value },
          { name: 'Holds the result', text: (r) => r.agrees },
        ]}
        rows={rows}
        rowKey={(r) => `${r.pair.up} ${r.pair.down}`}
      />
      <FormulaToggle
        words="Formula of a pair"
        tex={[
          'T = J\\,\\dot\\omega + s\\,c_0 + c_1\\,\\omega',
          'J = \\frac{T_{\\text{up}} - T_{\\text{down}}}{\\dot\\omega_{\\text{up}} - \\dot\\omega_{\\text{down}}}\\ \\text{at equal speed}',
        ]}
      >
        Least squares over the windows of both ramps in the speeds that both pass; drag opposes both, inertia
        only one. The interval is from the scatter of the windows alone (Student’s t). Of 20 pairs one may
        miss. docs/models/drive.md.
      </FormulaToggle>
    </section>
  );
}

/** Every start of motion that counts as a breakaway test. */
export function BreakawayTable({ identification, onLight }: Props): ReactNode {
  const units = useUnits();
  const { breakawayEvents: events, segments } = identification;
  if (events.length === 0) return null;
  const time = (t: number): string => writeNumber(t, units.style, 4);
  return (
    <DataTable
      caption="Starts of motion. Breakaway depends on the rest before and on how fast the torque rises."
      columns={[
        {
          name: 'At',
          unit: 's',
          isNumber: true,
          text: (e) => time(e.time),
          cell: (e) => {
            const k = segmentAt(segments, e.time);
            const id = k < 0 ? undefined : segmentId(k);
            return (
              <button
                type="button"
                className="quiet"
                onPointerEnter={() => onLight(id)}
                onPointerLeave={() => onLight(undefined)}
                onFocus={() => onLight(id)}
                onBlur={() => onLight(undefined)}
              >
                {time(e.time)}
              </button>
            );
          },
        },
        { name: 'Direction', text: (e) => (e.direction === 1 ? 'forward' : 'reverse') },
        {
          name: 'Torque',
          unit: units.unit('torque').label,
          isNumber: true,
          text: (e) => units.number('torque', e.torque),
        },
        { name: 'Rest before', unit: 's', isNumber: true, text: (e) => writeNumber(e.dwell, units.style, 2) },
        {
          name: 'Rate of torque',
          unit: units.unit('torqueRate').label,
          isNumber: true,
          text: (e) => units.number('torqueRate', e.rate),
        },
      ]}
      rows={events}
      rowKey={(e) => String(e.time)}
    />
  );
}

/** What each column was taken for, and how late it was. */
export function ChannelTable({
  channels,
}: {
  readonly channels: IdentificationDocument['channels'];
}): ReactNode {
  const units = useUnits();
  return (
    <DataTable
      caption="Channels, with the delay that was taken out"
      columns={[
        { name: 'Taken as', text: (c) => roleWords[c.role as Role] ?? c.role },
        { name: 'Column', text: (c) => c.header },
        { name: 'Unit', text: (c) => c.unit },
        {
          name: 'Late by',
          unit: 'ms',
          isNumber: true,
          text: (c) => writeNumber(1000 * c.delay_s, units.style, 3),
        },
      ]}
      rows={channels}
      rowKey={(c) => c.role}
    />
  );
}
