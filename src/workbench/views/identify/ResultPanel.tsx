import { type ReactNode, useMemo } from 'react';
import { Link } from 'wouter';
import type { Finding } from '../../../engine/findings.js';
import type { Estimates, Identification, NotEstimated } from '../../../engine/identify/identification.js';
import type { IdentificationDocument } from '../../../engine/project/identification.js';
import { parameterWords } from '../../../engine/report/commissioning/words.js';
import { DataTable } from '../../components/DataTable.js';
import { FindingList } from '../../components/FindingItem.js';
import { FormulaToggle } from '../../components/FormulaToggle.js';
import { useUnits } from '../../state/units.js';
import { addressOf } from '../addresses.js';
import { ChannelTable } from './DetailTables.js';
import { resultRows, testFor, usedTime } from './rows.js';
import { formatOf } from './shown.js';

interface Props {
  readonly identification: Identification;
  readonly document: IdentificationDocument;
  readonly driveName: string;
  /** What may be chosen besides; not offered for a kept result. */
  /** Path of the recording, where it is still there. */
  readonly file?: string;
  readonly choices?: ReactNode;
  /** What a click on a finding does. */
  readonly onFinding?: (finding: Finding) => (() => void) | undefined;
  readonly wordsOf?: (finding: Finding) => string | undefined;
}

/** The numbers of a result, what could not be had and what would give it, what there is to say, and where it is from. */
export function ResultPanel(props: Props): ReactNode {
  const { identification, document, driveName, file, choices, onFinding, wordsOf } = props;
  const { estimates, reverse, symmetric, findings, notEstimated } = identification;
  const units = useUnits();
  const recordings =
    file === undefined
      ? undefined
      : addressOf({ view: 'recordings', parameters: { drive: driveName, recording: file } });
  const { used, all } = usedTime(identification);
  const isRefused = identification.verdict === 'refused';
  const said = (
    <section aria-label="Findings">
      <h2>Findings</h2>
      {findings.length === 0 && <p className="soft">Nothing speaks against this recording.</p>}
      <FindingList
        findings={findings}
        {...(onFinding && { onOpen: onFinding })}
        {...(wordsOf && { openWords: wordsOf })}
      />
    </section>
  );
  return (
    <div className="results">
      {isRefused && said}
      <section aria-label="Result">
        <ResultTable
          caption={`At the motor shaft${reverse ? ', forward' : identification.direction === -1 ? ', reverse' : ''}; ± is a 95 % half width.`}
          estimates={estimates}
          direction={reverse ? 1 : 0}
          identification={identification}
        />
        {reverse && (
          <ResultTable
            caption="Reverse"
            estimates={reverse.estimates}
            direction={-1}
            identification={identification}
          />
        )}
        {symmetric && (
          <details>
            <summary>One drag for both directions, with an offset</summary>
            <ResultTable
              caption="Symmetric model"
              estimates={symmetric.estimates}
              direction={0}
              identification={identification}
            />
          </details>
        )}
        <FormulaToggle
          words="How it is computed"
          tex={[
            'T = J\\,\\dot\\omega + s\\,M(|\\omega|) + T_0',
            '\\sum_k c_k\\,\\omega_k = \\sum_j g_j\\,\\dot\\omega_j,\\quad g_j = -\\sum_{k\\le j} c_k',
          ]}
        >
          T torque, ω speed, J inertia, all at the motor shaft, M drag, T₀ offset, s sign of rotation. Each
          term is averaged over windows of the used stretches with one kernel g, so that the speed is never
          differentiated; weighted least squares by QR over all windows. The interval is the larger of one
          that allows for errors shared by a stretch and one for residuals that follow one another, with type
          B parts for delay and cutting. A wrong scale of the torque column passes into every number and
          cannot be seen. docs/models/drive.md.
        </FormulaToggle>
      </section>
      {notEstimated.length > 0 && (
        <section aria-label="Not in this recording">
          <h2>Not in this recording</h2>
          <ul className="missing">
            {notEstimated.map((n) => (
              <Missing key={n.name} missing={n} driveName={driveName} />
            ))}
          </ul>
        </section>
      )}
      {!isRefused && said}
      {choices}
      <section aria-label="Where it is from">
        <h2>Where it is from</h2>
        <dl className="facts">
          <dt>Recording</dt>
          <dd>
            {recordings === undefined ? (
              document.inputs.file
            ) : (
              <Link href={recordings}>{document.inputs.file}</Link>
            )}
          </dd>
          <dt>Rows</dt>
          <dd>{document.inputs.rows}</dd>
          <dt>Used</dt>
          <dd>
            {units.withUnit('time', used)} of {units.withUnit('time', all)}
          </dd>
          {identification.speedRange && (
            <>
              <dt>Speeds</dt>
              <dd>
                {units.number('angularSpeed', identification.speedRange[0])} to{' '}
                {units.withUnit('angularSpeed', identification.speedRange[1])} at the motor
              </dd>
            </>
          )}
          <dt>SHA-256</dt>
          <dd className="soft">{document.inputs.sha256}</dd>
        </dl>
        <ChannelTable channels={document.channels} />
      </section>
    </div>
  );
}

function ResultTable({
  caption,
  estimates,
  direction,
  identification,
}: {
  readonly caption: string;
  readonly estimates: Estimates;
  readonly direction: 1 | -1 | 0;
  readonly identification: Identification;
}): ReactNode {
  const units = useUnits();
  const rows = useMemo(() => {
    const local = (text: string): string => (units.style.decimal === ',' ? text.replaceAll('.', ',') : text);
    return resultRows(estimates, identification, direction, formatOf(units), local);
  }, [estimates, identification, direction, units]);
  if (rows.length === 0) return <p>{caption}: the recording supports no estimate.</p>;
  return (
    <DataTable
      caption={caption}
      columns={[
        { name: 'Parameter', text: (r) => r.words },
        { name: 'Value', isNumber: true, text: (r) => r.value },
        { name: '±', isNumber: true, text: (r) => r.halfWidth },
        { name: '95 % interval', isNumber: true, text: (r) => r.interval },
        { name: 'Unit', text: (r) => r.unit },
        { name: 'From', text: (r) => r.source },
      ]}
      rows={rows}
      rowKey={(r) => r.name}
    />
  );
}

function Missing({
  missing: { name, why, next },
  driveName,
}: {
  readonly missing: NotEstimated;
  readonly driveName: string;
}): ReactNode {
  const sheet = addressOf({
    view: 'test-sheet',
    parameters: { drive: driveName, test: testFor[name] },
  });
  return (
    <li>
      <strong>{parameterWords[name]}</strong>: {why}.
      <p className="soft">
        Next: {next}. {sheet !== undefined && <Link href={sheet}>Test sheet</Link>}
      </p>
    </li>
  );
}
