import { type ReactNode, useState } from 'react';
import { useParams } from 'wouter';
import type { DesignedSchedule } from '../../../engine/program/roll/design/designSchedule.js';
import type { DesignTarget } from '../../../engine/program/roll/design/designTarget.js';
import type { NamedBound } from '../../../engine/program/roll/lineLimits/lineLimits.js';
import type { RollBand } from '../../../engine/program/roll/rollBand.js';
import { scheduleDocument } from '../../../engine/project/roll/designDocument.js';
import { highestTension, lowestTension } from '../../../engine/project/roll/designLimitsDocument.js';
import type { RollDocument } from '../../../engine/project/roll/rollDocument.js';
import { shortNumber } from '../../../engine/report/format.js';
import { FindingList, ProblemBox } from '../../components/FindingItem.js';
import { NumberEntry } from '../../components/NumberEntry.js';
import { setSchedule } from '../../schedules/setSchedule.js';
import type { DraftHandle } from '../../state/drafts.js';
import { type Units, useUnits } from '../../state/units.js';
import { BandWords } from './BandPanel.js';
import type { useDesign } from './useDesign.js';
import { type LimitsOfLine, useLineLimits } from './useLineLimits.js';

const kinds = ['slip margin', 'flat pressure', 'hoop stress'] as const;
const words: Readonly<Record<(typeof kinds)[number], string>> = {
  'slip margin': 'largest slip margin',
  'flat pressure': 'flattest pressure',
  'hoop stress': 'hoop stress above a floor',
};

interface Props {
  readonly document: RollDocument;
  readonly text: string;
  readonly handle: DraftHandle;
  readonly made: ReturnType<typeof useDesign>;
}

/** Schedules sought for a target within the limits of the roll. */
export function DesignPanel({ document, text, handle, made }: Props): ReactNode {
  const units = useUnits();
  const [kind, setKind] = useState<(typeof kinds)[number]>('slip margin');
  const [margin, setMargin] = useState(1.5);
  const [spread, setSpread] = useState(0.05);
  const [floor, setFloor] = useState(0);
  const { design } = made;
  const { roll = '' } = useParams<{ roll?: string }>();
  const ofLine = useLineLimits(document, roll);
  const target: DesignTarget =
    kind === 'slip margin'
      ? { kind, wanted: margin }
      : kind === 'flat pressure'
        ? { kind, wanted: spread }
        : { kind, floor };
  // a nip that is stated as one number stays as it is: only what has a schedule is designed
  const designed: RollDocument =
    document.wind.nip === undefined
      ? {
          ...document,
          limits: { ...document.limits, highest_nip_N_per_m: undefined } as RollDocument['limits'],
        }
      : document;
  return (
    <section className="panel" aria-labelledby="design-title">
      <h2 id="design-title">Design the schedule</h2>
      <div className="entry">
        <label htmlFor="design-target">For</label>
        <select
          id="design-target"
          value={kind}
          onChange={(e) => setKind(e.target.value as (typeof kinds)[number])}
        >
          {kinds.map((k) => (
            <option key={k} value={k}>
              {words[k]}
            </option>
          ))}
        </select>
      </div>
      {kind === 'slip margin' && (
        <NumberEntry
          label="Wanted margin"
          value={margin}
          refuse={(v) => (v > 0 ? undefined : 'state a margin above 0')}
          onChange={setMargin}
        />
      )}
      {kind === 'flat pressure' && (
        <NumberEntry
          label="Wanted spread, ±"
          value={spread}
          refuse={(v) => (v > 0 ? undefined : 'state a share above 0')}
          onChange={setSpread}
        />
      )}
      {kind === 'hoop stress' && (
        <NumberEntry label="Floor" quantity="pressure" value={floor} onChange={setFloor} />
      )}
      <LimitWords document={designed} ofLine={ofLine} units={units} />
      <div className="row">
        <button
          type="button"
          disabled={design.state === 'running'}
          onClick={() => made.start(designed, target, units.system, ofLine.limits)}
        >
          Design
        </button>
        {design.state === 'running' && (
          <>
            <progress value={design.step} max={design.of} aria-label="Design" />
            <span className="soft" role="status">
              step {design.step} of at most {design.of}
            </span>
            <button type="button" onClick={made.cancel}>
              Cancel
            </button>
          </>
        )}
      </div>
      {design.state === 'failed' && <ProblemBox problem={design.problem} />}
      {design.state === 'done' && (
        <Outcome
          design={design.design}
          {...(design.band && { band: design.band })}
          target={design.target}
          units={units}
          onTake={() => handle.edit(taken(text, document, design.design), 'designed schedules taken')}
          onDrop={made.cancel}
        />
      )}
    </section>
  );
}

/** Between what a schedule is sought, and what makes each end. */
function LimitWords({
  document,
  ofLine,
  units,
}: {
  readonly document: RollDocument;
  readonly ofLine: LimitsOfLine;
  readonly units: Units;
}): ReactNode {
  const { limits } = ofLine;
  const low = lowestTension(document, limits);
  const high = highestTension(document, limits);
  const force = (bound: NamedBound | undefined): string =>
    bound === undefined ? 'not known' : `${units.withUnit('tensionPerWidth', bound.value)} (${bound.name})`;
  const { motor1, motor2, drum } = limits?.shares ?? {};
  const parts = [
    ...[motor1, motor2].flatMap((m) => (m === undefined ? [] : [`the motor of ${m.name}`])),
    ...(drum === undefined ? [] : [`the grip of ${drum.name}`]),
  ];
  return (
    <>
      <p className="soft">
        Tension from {force(low)} to {force(high)}
        {parts.length > 0 && `, within what ${parts.join(', ')} can do at each diameter`}.
      </p>
      {ofLine.findings.length > 0 && <FindingList findings={ofLine.findings} />}
    </>
  );
}

function Outcome({
  design,
  band,
  target,
  units,
  onTake,
  onDrop,
}: {
  readonly design: DesignedSchedule;
  readonly band?: RollBand;
  readonly target: DesignTarget;
  readonly units: Units;
  readonly onTake: () => void;
  readonly onDrop: () => void;
}): ReactNode {
  const show = (x: number): string =>
    target.kind === 'hoop stress'
      ? units.withUnit('pressure', x)
      : target.kind === 'flat pressure'
        ? `± ${shortNumber(100 * x)} %`
        : shortNumber(x);
  return (
    <div role="status">
      <p>
        {words[target.kind]}: <strong>{show(design.value)}</strong>, before {show(design.before)}.
      </p>
      {!design.isReached && (
        <>
          <p>Not reachable, because</p>
          <ul>
            {design.because.map((why) => (
              <li key={why}>{why}</li>
            ))}
          </ul>
        </>
      )}
      {band === undefined ? (
        <p className="soft">Finding out how sure that is …</p>
      ) : (
        <BandWords band={band} />
      )}
      <div className="row">
        <button type="button" className="strong" onClick={onTake}>
          Take these schedules
        </button>
        <button type="button" onClick={onDrop}>
          Drop them
        </button>
      </div>
    </div>
  );
}

/** The text of the roll with the designed schedules in place of its own. */
function taken(text: string, { wind }: RollDocument, { input }: DesignedSchedule): string {
  let out = setSchedule(text, ['wind', 'tension'], wind.tension, scheduleDocument(input.tension));
  if (wind.torque_differential && input.torqueDifferential)
    out = setSchedule(
      out,
      ['wind', 'torque_differential'],
      wind.torque_differential,
      scheduleDocument(input.torqueDifferential),
    );
  if (wind.nip && input.nipSchedule)
    out = setSchedule(out, ['wind', 'nip'], wind.nip, scheduleDocument(input.nipSchedule));
  return out;
}
