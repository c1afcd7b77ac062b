import { Fragment, type ReactNode, useId } from 'react';
import type { Dialect } from '../../../engine/recording/recording.js';
import type { Statements } from '../../api/types.js';
import { withDialect } from './importDraft.js';

interface Props {
  /** How the text was read; undefined where it could not be, or is no text. */
  readonly dialect: Dialect | undefined;
  readonly statements: Statements;
  readonly onChange: (next: Statements) => void;
  /** First lines as they stand in the file. */
  readonly text: readonly string[];
}

const words = {
  encoding: {
    'utf-8': 'UTF-8',
    'utf-16le': 'UTF-16',
    'utf-16be': 'UTF-16, big end first',
    'latin-1': 'Latin-1',
  },
  separator: { ',': 'comma', ';': 'semicolon', '\t': 'tab', '|': 'bar' },
  decimal: { '.': 'point', ',': 'comma' },
} as const;
const yesNo = { true: 'yes', false: 'no' } as const;
const labels = { encoding: 'Letters', separator: 'Between cells', decimal: 'Decimal sign' } as const;

/** How the text is read, as it was found, each part to be corrected; and the text itself. */
export function DialectFields({ dialect, statements, onChange, text }: Props): ReactNode {
  const id = useId();
  const stated = statements.dialect ?? {};
  const choice = (
    key: Exclude<keyof Dialect, 'titleLines'>,
    label: string,
    known: Readonly<Record<string, string>>,
    toValue: (text: string) => Dialect[typeof key],
  ): ReactNode => (
    <div>
      <label htmlFor={`${id}${key}`}>{label}</label>
      <select
        id={`${id}${key}`}
        value={stated[key] === undefined ? '' : String(stated[key])}
        onChange={(e) =>
          onChange(withDialect(statements, key, e.target.value === '' ? undefined : toValue(e.target.value)))
        }
      >
        <option value="">{dialect ? `${known[String(dialect[key])]} (found)` : 'as found'}</option>
        {Object.entries(known).map(([value, text]) => (
          <option key={value} value={value}>
            {text}
          </option>
        ))}
      </select>
    </div>
  );
  return (
    <fieldset className="import-part">
      <legend>How the text is read</legend>
      <div className="dialect">
        {(['encoding', 'separator', 'decimal'] as const).map((key) => (
          <Fragment key={key}>
            {choice(key, labels[key], words[key], (text) => text as Dialect[typeof key])}
          </Fragment>
        ))}
        <div>
          <label htmlFor={`${id}t`}>Lines before the table</label>
          <input
            id={`${id}t`}
            type="text"
            inputMode="numeric"
            size={6}
            placeholder={dialect ? String(dialect.titleLines) : ''}
            value={stated.titleLines ?? ''}
            onChange={(e) => {
              const n = Number(e.target.value);
              onChange(
                withDialect(
                  statements,
                  'titleLines',
                  /^\d+$/.test(e.target.value) && n <= 100_000 ? n : undefined,
                ),
              );
            }}
          />
        </div>
        {choice('hasHeader', 'Line of headers', yesNo, (text) => text === 'true')}
        {choice('hasUnitRow', 'Line of units', yesNo, (text) => text === 'true')}
      </div>
      {text.length > 0 && (
        <pre className="first-lines" role="region" tabIndex={0} aria-label="First lines of the file">
          {text.join('\n')}
        </pre>
      )}
    </fieldset>
  );
}
