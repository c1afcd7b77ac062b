import type { ReactNode } from 'react';
import type { KnobInForce } from '../../engine/program/rollProgram.js';
import type { Build } from '../../engine/program/schedule/laws.js';
import { type ScheduleDocument, scheduleLaws } from '../../engine/project/product/productDocument.js';
import { NumberEntry } from '../components/NumberEntry.js';
import { useUnits } from '../state/units.js';
import { type KnobKey, knobWords, withLaw, withoutPoint, withPointAt } from './handles.js';
import { LawFormula } from './LawFormula.js';

interface Props {
  readonly knob: KnobKey;
  readonly schedule: ScheduleDocument;
  readonly build: Build;
  readonly inForce: Pick<KnobInForce, 'start' | 'end' | 'taper'> | undefined;
  /** The schedule as a function, hard start included. */
  readonly at: (diameter: number) => number;
  readonly onChange: (schedule: ScheduleDocument, words: string) => void;
  /** False where the document knows no hard start. */
  readonly mayStartHard?: boolean;
}

/** A schedule in exact values. */
export function KnobPanel({
  knob,
  schedule: s,
  build,
  inForce,
  at,
  onChange,
  mayStartHard = true,
}: Props): ReactNode {
  const units = useUnits();
  const name = knobWords[knob];
  const notBelow0 = (v: number): string | undefined =>
    knob === 'torque_differential' || v >= 0 ? undefined : 'it cannot be below 0';
  const change = (next: ScheduleDocument, what: string): void =>
    onChange(next, `${name.toLowerCase()}: ${what}`);
  return (
    <section className="panel" aria-label={name}>
      <div className="entry">
        <label htmlFor="law">Law</label>
        <select
          id="law"
          value={s.law}
          onChange={(e) =>
            change(withLaw(s, e.target.value as ScheduleDocument['law'], build, at), `law ${e.target.value}`)
          }
        >
          {scheduleLaws.map((law) => (
            <option key={law}>{law}</option>
          ))}
        </select>
      </div>
      {s.start_N_per_m !== undefined && (
        <NumberEntry
          label="At the core"
          quantity="tensionPerWidth"
          value={s.start_N_per_m}
          refuse={notBelow0}
          onChange={(v) => change({ ...s, start_N_per_m: v }, 'start')}
        />
      )}
      {s.end_N_per_m !== undefined && (
        <NumberEntry
          label="At the full roll"
          quantity="tensionPerWidth"
          value={s.end_N_per_m}
          refuse={notBelow0}
          onChange={(v) => change({ ...s, end_N_per_m: v }, 'end')}
        />
      )}
      {s.taper !== undefined && (
        <NumberEntry
          label="Taper"
          value={s.taper}
          refuse={(v) => (v <= 1 ? undefined : 'a taper of more than 1 falls below 0')}
          onChange={(v) => change({ ...s, taper: v }, 'taper')}
        />
      )}
      {s.linear_share !== undefined && (
        <NumberEntry
          label="Share of linear"
          value={s.linear_share}
          refuse={(v) => (v >= 0 && v <= 1 ? undefined : 'a share is from 0 to 1')}
          onChange={(v) => change({ ...s, linear_share: v }, 'share of linear')}
        />
      )}
      {s.hard_start && (
        <>
          <NumberEntry
            label="Hard start, boost"
            value={s.hard_start.boost}
            refuse={(v) => (v > -1 ? undefined : 'a boost is above -1')}
            onChange={(boost) =>
              change({ ...s, hard_start: { depth_m: s.hard_start?.depth_m ?? 0, boost } }, 'hard start')
            }
          />
          <NumberEntry
            label="Hard start, depth"
            quantity="length"
            value={s.hard_start.depth_m}
            refuse={(v) =>
              v > 0 && v <= build.full - build.core ? undefined : 'it must end within the build-up'
            }
            onChange={(depth_m) =>
              change({ ...s, hard_start: { boost: s.hard_start?.boost ?? 0, depth_m } }, 'hard start')
            }
          />
        </>
      )}
      <div className="row">
        {mayStartHard &&
          s.law !== 'table' &&
          (s.hard_start ? (
            <button
              type="button"
              onClick={() => {
                const { hard_start: _, ...rest } = s;
                change(rest, 'hard start taken out');
              }}
            >
              Take the hard start out
            </button>
          ) : (
            <button
              type="button"
              onClick={() =>
                change(
                  {
                    ...s,
                    hard_start: {
                      boost: 0.1,
                      depth_m: Number((0.15 * (build.full - build.core)).toFixed(3)),
                    },
                  },
                  'hard start',
                )
              }
            >
              Add a hard start
            </button>
          ))}
        {s.law === 'table' && <TablePoints schedule={s} at={at} onChange={change} />}
      </div>
      {inForce && (
        <p className="soft">
          In force: {units.withUnit('tensionPerWidth', inForce.start)} at the core,{' '}
          {units.withUnit('tensionPerWidth', inForce.end)} at the full roll
          {inForce.taper !== undefined && `, taper ${Number(inForce.taper.toFixed(3))}`}.
        </p>
      )}
      <LawFormula law={s.law} hasHardStart={s.hard_start !== undefined} />
    </section>
  );
}

/** Points of a table: put one in where the gap is widest, take one out. */
function TablePoints({
  schedule: s,
  at,
  onChange,
}: {
  readonly schedule: ScheduleDocument;
  readonly at: (diameter: number) => number;
  readonly onChange: (schedule: ScheduleDocument, words: string) => void;
}): ReactNode {
  const d = s.diameters_m ?? [];
  const gaps = d.slice(1).map((x, k) => x - (d[k] as number));
  const widest = gaps.indexOf(Math.max(...gaps));
  const middle = ((d[widest] ?? 0) + (d[widest + 1] ?? 0)) / 2;
  return (
    <>
      <button type="button" onClick={() => onChange(withPointAt(s, middle, at(middle)), 'point added')}>
        Add a point
      </button>
      <button
        type="button"
        disabled={d.length <= 2}
        onClick={() => onChange(withoutPoint(s, d.length - 2), 'point taken out')}
      >
        Take a point out
      </button>
      <p className="soft">Delete takes out the point that has the focus.</p>
    </>
  );
}
