import { useQuery } from '@tanstack/react-query';
import { type ReactNode, useId } from 'react';
import { Link } from 'wouter';
import { halfWidth95 } from '../../../engine/identify/dragBand.js';
import type { Drive } from '../../../engine/line/drive.js';
import type { IdentificationDocument } from '../../../engine/project/identification.js';
import { visitDate } from '../../../engine/project/visit.js';
import { queries } from '../../api/queries.js';
import type { ListedIdentification } from '../../api/types.js';
import { CopyButton, DataTable, toTsv } from '../../components/DataTable.js';
import { FormulaToggle } from '../../components/FormulaToggle.js';
import { NumberEntry } from '../../components/NumberEntry.js';
import { writeNumber } from '../../state/numberEntry.js';
import { useUnits } from '../../state/units.js';
import { addressOf } from '../addresses.js';
import { stepOf, toleranceAt, toleranceSteps } from './address.js';
import { tableCaption } from './FeedForwardTables.js';
import type { Made } from './made.js';
import { tableColumns } from './tableColumns.js';
import { tellTsv, toTell } from './tell.js';
import type { TorqueUnit } from './torqueUnit.js';

interface Props {
  readonly made: Made;
  readonly drive: Drive;
  readonly document: IdentificationDocument;
  readonly result: ListedIdentification;
  readonly torque: TorqueUnit;
  readonly tolerance: number;
  readonly acceleration: number | undefined;
  readonly isPercent: boolean;
  readonly onTolerance: (tolerance: number) => void;
  readonly onChange: (changes: Readonly<Record<string, string | undefined>>) => void;
}

/** What may be chosen, what is left to the web, what the drive has to be told, and where it is from. */
export function SidePanel(props: Props): ReactNode {
  const { made, drive, document, result, torque, acceleration, isPercent, onChange } = props;
  const units = useUnits();
  const told = toTell(made, drive, units, torque);
  const { offsetLeftOut } = made.feedForward;
  const identify = addressOf({
    view: 'identify',
    parameters: { drive: result.drive, identification: `identifications/${result.name}.json` },
  });
  const date = visitDate(result.visit);
  const tsv = (): string =>
    tellTsv(
      `Torque feed-forward of ${drive.name}, ${result.name}`,
      told,
      made.directions.map((d) => ({
        caption: tableCaption(d, torque),
        tsv: toTsv(tableColumns(d, drive, units, torque), d.table.rows),
      })),
    );
  return (
    <aside className="panel" aria-label="Settings and what is left">
      {drive.ratedTorque !== undefined && (
        <fieldset className="choice">
          <legend>Torque in</legend>
          {([false, true] as const).map((percent) => (
            <label key={String(percent)}>
              <input
                type="radio"
                name="torque-unit"
                checked={isPercent === percent}
                onChange={() => onChange({ unit: percent ? 'percent' : undefined })}
              />
              {percent ? '% of rated' : units.unit('torque').label}
            </label>
          ))}
        </fieldset>
      )}
      {made.directions.length > 0 && <ToleranceSlider {...props} />}
      {drive.rollerRadius !== undefined && (
        <NumberEntry
          label="Change of speed"
          quantity="acceleration"
          value={acceleration}
          refuse={(v) => (v > 0 ? undefined : 'it is above 0; slowing down is counted with it')}
          onChange={(v) => onChange({ acceleration: String(v) })}
          note={
            acceleration === undefined
              ? 'of the web; state it to see the torque for it and check the limit'
              : ''
          }
        />
      )}
      <WorstTug made={made} drive={drive} torque={torque} />
      <DataTable
        caption="What the drive’s program has to be told"
        columns={[
          { name: 'What', text: (t) => t.name },
          {
            name: 'Value',
            isNumber: true,
            text: (t) => `${t.value}${t.halfWidth === undefined ? '' : ` ± ${t.halfWidth}`}`,
          },
          { name: 'Unit', text: (t) => t.unit },
        ]}
        rows={told}
        rowKey={(t) => t.name}
      />
      <p className="row">
        <CopyButton words="Copy all with the table" text={tsv} />
      </p>
      {offsetLeftOut && (
        <p className="soft">
          Left out: torque offset {pairText(torque.pair(offsetLeftOut.value, halfWidth95(offsetLeftOut)))}. It
          may be the zero of the torque signal, which the drive does not feel.
        </p>
      )}
      <p className="caution">
        Whoever enters these values checks them first, at low speed and without a web. Nothing here is a
        safety function.
      </p>
      <dl className="facts">
        <dt>From</dt>
        <dd>
          {identify === undefined ? (
            document.inputs.file
          ) : (
            <Link href={identify}>{document.inputs.file}</Link>
          )}
        </dd>
        <dt>Visit</dt>
        <dd>{[result.visit, date !== result.visit ? date : undefined].filter(Boolean).join(', ')}</dd>
        <dt>Speeds seen</dt>
        <dd>
          {made.feedForward.identifiedRange
            ? `${made.feedForward.identifiedRange.map((w) => units.number('angularSpeed', w)).join(' to ')} ${units.unit('angularSpeed').label} at the motor`
            : '–'}
        </dd>
      </dl>
      <FormulaToggle
        words="Formulas"
        tex={[
          'T = s\\,M(|\\omega|) + J\\alpha + s\\,A\\,f',
          'f = \\max\\left(0, 1 - \\tfrac{\\omega}{\\omega_f}\\right)\\cdot\\min\\left(1, \\max\\left(0, 2 - \\tfrac{2t}{t_f}\\right)\\right)',
          '\\pm F = (h + e)\\,\\frac{i}{r}',
        ]}
      >
        T torque at the motor, M drag from the table, s sign of rotation, J inertia at the motor, α its
        acceleration, A breakaway torque less M(0), fading with speed and time; h half width of the 95 %
        interval of the drag, e error of the straight lines, i gear ratio, r roller radius. Torque balance; h
        after JCGM 100; rows and assist are our own. docs/models/feedforward.md.
      </FormulaToggle>
    </aside>
  );
}

const pairText = ({ value, halfWidth, unit }: ReturnType<TorqueUnit['pair']>): string =>
  `${value}${halfWidth === undefined ? '' : ` ± ${halfWidth}`} ${unit}`;

function ToleranceSlider({ made, torque, tolerance, onTolerance }: Props): ReactNode {
  const id = useId();
  const units = useUnits();
  const [direction] = made.directions;
  const error = Math.max(...made.directions.map((d) => d.table.interpolationError ?? 0));
  const rows = made.directions.map((d) => d.table.rows.length).join(' + ');
  const percent = `${writeNumber(100 * tolerance, units.style, 2)} %`;
  return (
    <div className="slider">
      <label htmlFor={id}>Straight-line error allowed</label>
      <input
        id={id}
        type="range"
        min={0}
        max={toleranceSteps}
        step={1}
        value={stepOf(tolerance)}
        aria-valuetext={`${percent}, ${rows} rows`}
        onChange={(e) => onTolerance(toleranceAt(Number(e.target.value)))}
      />
      <p>
        <strong>{percent}</strong> <span className="soft">of the largest drag at either end</span>
      </p>
      <p aria-live="polite">
        <strong>{rows} rows</strong>, error {torque.withUnit(error)} at most
        {direction?.table.tolerance !== undefined && (
          <span className="soft"> (allowed: {torque.withUnit(direction.table.tolerance)})</span>
        )}
      </p>
    </div>
  );
}

/** The largest force that is left, also per width of the web. */
function WorstTug({
  made: { worst },
  drive,
  torque,
}: {
  readonly made: Made;
  readonly drive: Drive;
  readonly torque: TorqueUnit;
}): ReactNode {
  const units = useUnits();
  const width = useWidth(drive);
  if (worst === undefined)
    return drive.rollerRadius === undefined ? (
      <p className="soft">
        What is left to the web is not stated as force: the drive file gives no roller_diameter_m.
      </p>
    ) : null;
  const two = (key: 'tension' | 'tensionPerWidth', v: number): string =>
    `${writeNumber(units.value(key, v), units.style, 2)} ${units.unit(key).label}`;
  return (
    <section className="worst" aria-label="Tug left on the web">
      <h2>Left on the web, steady</h2>
      <p>
        <strong>± {two('tension', worst.force)}</strong> at most
        {width && (
          <>
            , ± {two('tensionPerWidth', worst.force / width.value)}{' '}
            <span className="soft">
              over {units.withUnit('length', width.value)} ({width.words})
            </span>
          </>
        )}
      </p>
      <p className="soft">
        At {units.withUnit('angularSpeed', worst.speed)}: {torque.withUnit(worst.halfWidth)} not known of the
        drag (95 %) and {torque.withUnit(worst.lineError)} between rows.
      </p>
    </section>
  );
}

/** Width that the web has, as far as a document states it; else that of the roller. */
function useWidth(drive: Drive): { readonly value: number; readonly words: string } | undefined {
  const { data: products } = useQuery(queries.products());
  const first = products?.[0]?.name;
  const { data } = useQuery({ ...queries.product(first ?? ''), enabled: first !== undefined });
  if (drive.web) return { value: drive.web.width, words: 'web of the drive file' };
  const width = data?.document?.web.width_m;
  if (width !== undefined) return { value: width, words: `web of ${first}` };
  return drive.rollerWidth === undefined
    ? undefined
    : { value: drive.rollerWidth, words: 'face of the roller' };
}
