import { type ReactNode, useId, useState } from 'react';
import { type Role, roles } from '../../../engine/recording/recording.js';
import { roleQuantities } from '../../../engine/recording/roleProposal.js';
import { unitLabels } from '../../../engine/units/parse.js';
import type { Proposal, Statements } from '../../api/types.js';
import { capital } from '../../components/FindingItem.js';
import { Sign } from '../../components/Sign.js';
import { roleWords } from '../../components/trend/channels.js';
import { readNumber, writeNumber } from '../../state/numberEntry.js';
import { useUnits } from '../../state/units.js';
import { type RoleRow, roleRows, withChannel, withInterval, withUnit } from './importDraft.js';

interface Props {
  readonly proposal: Proposal;
  readonly statements: Statements;
  readonly onChange: (next: Statements) => void;
}

/** What each signal is taken from: column and unit, proposed or stated. What the file does not say is a question. */
export function RoleFields({ proposal, statements, onChange }: Props): ReactNode {
  const [isAll, setAll] = useState(false);
  const rows = roleRows(roles, proposal, statements);
  const shown = rows.filter(
    (r) =>
      isAll ||
      r.header !== undefined ||
      r.question !== undefined ||
      ['time', 'motor-torque', 'motor-speed'].includes(r.role),
  );
  return (
    <fieldset className="import-part">
      <legend>Which column is what</legend>
      <table className="roles">
        <thead>
          <tr>
            <th scope="col">Signal</th>
            <th scope="col">Column</th>
            <th scope="col">Unit</th>
            <th scope="col">Known from</th>
          </tr>
        </thead>
        <tbody>
          {shown.map((row) => (
            <RoleLine
              key={row.role}
              row={row}
              proposal={proposal}
              statements={statements}
              onChange={onChange}
            />
          ))}
        </tbody>
      </table>
      {shown.length < rows.length && (
        <button type="button" className="quiet" onClick={() => setAll(true)}>
          Other signals:{' '}
          {rows
            .filter((r) => !shown.includes(r))
            .map((r) => roleWords(r.role))
            .join(', ')}
        </button>
      )}
    </fieldset>
  );
}

function RoleLine({ row, proposal, statements, onChange }: Props & { readonly row: RoleRow }): ReactNode {
  const { role, header, question } = row;
  const headers = proposal.columns.map((c) => c.header);
  const isAsked = question !== undefined;
  const asksInterval = role === 'time' && (header === undefined || statements.sampleInterval !== undefined);
  return (
    <>
      <tr className={isAsked ? 'asked' : undefined}>
        <th scope="row">{capital(roleWords(role))}</th>
        <td>
          <select
            aria-label={`Column of the ${roleWords(role)}`}
            value={statements.channels?.[role] ?? ''}
            onChange={(e) => onChange(withChannel(statements, role, e.target.value || undefined))}
          >
            <option value="">{header === undefined ? 'none found' : `${header} (found)`}</option>
            {headers.map((h) => (
              <option key={h} value={h}>
                {h}
              </option>
            ))}
          </select>
        </td>
        <td>{row.needsUnit && <UnitSelect row={row} statements={statements} onChange={onChange} />}</td>
        <td className="soft">
          {row.by === undefined ? '' : row.by === 'you' ? 'you' : 'its header'}
          {row.needsUnit && row.unitBy === 'you' && row.by !== 'you' && '; the unit from you'}
        </td>
      </tr>
      {(isAsked || asksInterval) && (
        <tr className={isAsked ? 'asked' : undefined}>
          <td />
          <td colSpan={3}>
            {isAsked && (
              <p className="question">
                <Sign
                  kind={question.needed ? 'warn' : 'info'}
                  label={question.needed ? 'Question' : 'May stay open'}
                />{' '}
                {capital(question.message)}.
              </p>
            )}
            {asksInterval && (
              <IntervalEntry
                value={statements.sampleInterval}
                onChange={(s) => onChange(withInterval(statements, s))}
              />
            )}
          </td>
        </tr>
      )}
    </>
  );
}

function UnitSelect({
  row: { role, unit, unitBy },
  statements,
  onChange,
}: Pick<Props, 'statements' | 'onChange'> & { readonly row: RoleRow }): ReactNode {
  const stated = statements.units?.[role];
  const inFile = unitBy === 'file' ? unit : undefined;
  return (
    <select
      aria-label={`Unit of the ${roleWords(role)}`}
      value={stated ?? ''}
      onChange={(e) => onChange(withUnit(statements, role, e.target.value || undefined))}
    >
      <option value="">
        {inFile !== undefined ? `${inFile} (file)` : stated !== undefined ? 'as in the file' : 'which unit?'}
      </option>
      {unitLabels(roleQuantities[role as Role]).map((label) => (
        <option key={label} value={label}>
          {label}
        </option>
      ))}
    </select>
  );
}

/** Time between rows of a file without a time column. */
function IntervalEntry({
  value,
  onChange,
}: {
  readonly value: number | undefined;
  readonly onChange: (seconds: number | undefined) => void;
}): ReactNode {
  const { style } = useUnits();
  const id = useId();
  const [text, setText] = useState(value === undefined ? '' : writeNumber(value * 1000, style));
  const [isWrong, setWrong] = useState(false);
  const take = (): void => {
    const ms = text.trim() === '' ? undefined : readNumber(text, style);
    const wrong = text.trim() !== '' && !(ms !== undefined && ms > 0);
    setWrong(wrong);
    if (!wrong) onChange(ms === undefined ? undefined : ms / 1000);
  };
  return (
    <span className="row">
      <label htmlFor={id}>or the time from row to row</label>
      <input
        id={id}
        type="text"
        inputMode="decimal"
        size={8}
        value={text}
        aria-invalid={isWrong}
        onChange={(e) => setText(e.target.value)}
        onBlur={take}
        onKeyDown={(e) => e.key === 'Enter' && take()}
      />
      ms{isWrong && <span>: a number above 0</span>}
    </span>
  );
}
