import { type ReactNode, useMemo, useState } from 'react';
import { Tab, TabList, TabPanel, Tabs } from 'react-aria-components';
import { useSearchParams } from 'wouter';
import type { Line } from '../../../engine/line/line.js';
import type { ProgramLimit } from '../../../engine/program/limits.js';
import type { Product } from '../../../engine/program/product.js';
import type { ProgrammedRoll } from '../../../engine/program/programmedRoll.js';
import type { ProductDocument, ScheduleDocument } from '../../../engine/project/product/productDocument.js';
import { EmptyState, FindingList, ProblemBox } from '../../components/FindingItem.js';
import { Sign } from '../../components/Sign.js';
import {
  buildOf,
  type Handle,
  handlesOf,
  type KnobKey,
  knobKeys,
  knobWords,
  withHandle,
  withoutPoint,
} from '../../schedules/handles.js';
import { KnobPanel } from '../../schedules/KnobPanel.js';
import { setSchedule } from '../../schedules/setSchedule.js';
import type { DraftHandle } from '../../state/drafts.js';
import { useUnits } from '../../state/units.js';
import { panelsOf } from './panels.js';
import { programState, type Role, rollOf, withSchedule } from './programState.js';
import { RowTable } from './RowTable.js';
import { type HandleAt, SchedulePlot } from './SchedulePlot.js';

export interface OtherProgram {
  readonly name: string;
  readonly roll: ProgrammedRoll;
  readonly product: Product;
}

interface Props {
  readonly line: Line;
  readonly document: ProductDocument;
  readonly text: string;
  readonly handle: DraftHandle;
  readonly other: OtherProgram | undefined;
}

interface Dragged {
  readonly knob: KnobKey;
  readonly schedule: ScheduleDocument;
}

/** A program: schedules with handles, and beside them what they ask of motors and web. */
export function ProgramEditor({ line, document, text, handle, other }: Props): ReactNode {
  const { system } = useUnits();
  const [search, setSearch] = useSearchParams();
  const [drag, setDrag] = useState<Dragged>();
  const [cursor, setCursor] = useState<number>();
  const roles = (['winder', 'unwind'] as const).filter((r) => document[r] !== undefined);
  const role: Role = roles.find((r) => r === search.get('role')) ?? roles[0] ?? 'winder';
  const stated = document[role];

  const settled = useMemo(() => programState(line, document, system), [line, document, system]);
  const shown = useMemo(
    () =>
      drag === undefined
        ? settled
        : programState(line, withSchedule(document, role, drag.knob, drag.schedule), system),
    [drag, settled, line, document, role, system],
  );
  const set = (changes: Readonly<Record<string, string>>): void =>
    setSearch(
      (before) => {
        const next = new URLSearchParams(before);
        for (const [key, value] of Object.entries(changes)) next.set(key, value);
        return next;
      },
      { replace: true },
    );

  if ('problem' in shown) return <ProblemBox problem={shown.problem} />;
  if ('problem' in settled) return <ProblemBox problem={settled.problem} />;
  const roll = rollOf(shown, role);
  const settledRoll = rollOf(settled, role);
  if (stated === undefined || roll === undefined || settledRoll === undefined)
    return (
      <EmptyState title="The line has no roll for this program">
        <FindingList findings={shown.programmed.productFindings} />
      </EmptyState>
    );
  const build = buildOf(stated);
  const knobs = knobKeys.filter((k) => stated[k] !== undefined);
  const knob = knobs.find((k) => k === search.get('knob')) ?? 'tension';
  const scheduleOf = (k: KnobKey): ScheduleDocument | undefined =>
    drag?.knob === k ? drag.schedule : stated[k];
  const handles = Object.fromEntries(
    knobs.map((k): [KnobKey, Handle[]] => [k, handlesOf(scheduleOf(k) as ScheduleDocument, build)]),
  );
  const change = (k: KnobKey, after: ScheduleDocument, words: string, joins = false): void => {
    const before = stated[k];
    if (before && before !== after) handle.edit(setSchedule(text, [role, k], before, after), words, joins);
  };
  const moved = (at: HandleAt): ScheduleDocument | undefined => {
    const schedule = stated[at.knob];
    return schedule && withHandle(schedule, at.id, at, build, at.knob === 'torque_differential');
  };
  const { schedules } = roll.result.maker;
  const curveOf = {
    tension: schedules.tension,
    nip: schedules.nip,
    torque_differential: schedules.torqueDifferential,
  };
  const findings = [...shown.programmed.productFindings, ...shown.programmed.lineFindings];

  return (
    <div className="editor">
      <div>
        {roles.length > 1 && (
          <fieldset className="choice">
            <legend className="hidden">Roll</legend>
            {roles.map((r) => (
              <label key={r}>
                <input
                  type="radio"
                  name="role"
                  checked={r === role}
                  onChange={() => set({ role: r, knob: 'tension' })}
                />
                {r === 'winder' ? 'Winder' : 'Unwind'}
              </label>
            ))}
          </fieldset>
        )}
        <SchedulePlot
          name={`${shown.product.name} ${role}`}
          diameters={roll.result.rows.map((r) => r.diameter)}
          panels={panelsOf(roll, shown.product)}
          settled={panelsOf(settledRoll, settled.product)}
          {...(other && {
            other: {
              name: other.name,
              diameters: other.roll.result.rows.map((r) => r.diameter),
              panels: panelsOf(other.roll, other.product),
            },
          })}
          handles={handles}
          cursor={cursor}
          onCursor={setCursor}
          onKnob={(k) => k !== knob && set({ knob: k })}
          onDrag={(at) => {
            const schedule = moved(at);
            if (schedule) setDrag({ knob: at.knob, schedule });
          }}
          onDrop={(at) => {
            setDrag(undefined);
            const schedule = at && moved(at);
            if (at && schedule) change(at.knob, schedule, `${knobWords[at.knob].toLowerCase()} dragged`);
          }}
          onNudge={(at) => {
            const schedule = moved(at);
            if (schedule)
              change(at.knob, schedule, `${knobWords[at.knob].toLowerCase()}, ${at.id} moved`, true);
          }}
          onRemove={(k, id) => {
            const schedule = stated[k];
            if (schedule && id.startsWith('point '))
              change(
                k,
                withoutPoint(schedule, Number(id.slice(6))),
                `${knobWords[k].toLowerCase()}: point taken out`,
              );
          }}
        />
        <RowTable roll={roll} />
      </div>
      <aside className="panel">
        <Tabs selectedKey={knob} onSelectionChange={(k) => k !== knob && set({ knob: String(k) })}>
          <TabList className="tabs" aria-label="Schedule">
            {knobs.map((k) => (
              <Tab key={k} id={k}>
                {knobWords[k]}
              </Tab>
            ))}
          </TabList>
          {knobs.map((k) => (
            <TabPanel key={k} id={k}>
              <KnobPanel
                knob={k}
                schedule={scheduleOf(k) as ScheduleDocument}
                build={build}
                inForce={roll.result.knobs.find((known) => known.name === knobWords[k].toLowerCase())}
                at={(d) => curveOf[k]?.at(d) ?? Number.NaN}
                onChange={(after, words) => change(k, after, words)}
              />
            </TabPanel>
          ))}
        </Tabs>
        <h2>Limits</h2>
        <LimitList limits={roll.limits} />
        <h2>Findings</h2>
        {findings.length === 0 && <p className="soft">Nothing speaks against this program.</p>}
        <FindingList findings={findings} />
      </aside>
    </div>
  );
}

const unitOfLimit = { N_per_m: 'tensionPerWidth', Nm: 'torque', rad_per_s: 'angularSpeed' } as const;

/** How near each limit comes, the tightest first. */
function LimitList({ limits }: { readonly limits: readonly ProgramLimit[] }): ReactNode {
  const units = useUnits();
  const sorted = [...limits].sort((a, b) => a.margin - b.margin);
  const show = (value: number, unit: ProgramLimit['unit']): string =>
    unit === 'per_m' ? `${Number(value.toPrecision(3))} 1/m` : units.withUnit(unitOfLimit[unit], value);
  return (
    <ul className="limit-list">
      {sorted.map((limit) => {
        const isBroken = limit.margin < 0;
        const left = `${Math.round(100 * limit.margin)} %`.replace('-', '−');
        const tip = `${show(limit.value, limit.unit)} of ${show(limit.limit, limit.unit)}, tightest at ${units.withUnit('length', limit.diameter)}`;
        return (
          <li key={limit.name} title={tip}>
            <span>
              {isBroken && <Sign kind="refuse" label="Broken" />} {limit.name}
              <span className="hidden">: {tip}, left:</span>
            </span>
            <div className={`meter${isBroken ? ' broken' : ''}`} aria-hidden="true">
              <div style={{ width: `${Math.min(100, Math.max(0, 100 * (1 - limit.margin)))}%` }} />
            </div>
            <span className="amount">{left}</span>
          </li>
        );
      })}
    </ul>
  );
}
